package cli_test

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"hash/crc32"
	"image"
	"image/png"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bep/imagemeta"

	"lastbolt/keep"
)

// gps is what a phone writes into a photo: 51° 28' 40.1" N, 0° 0' 5.3" W, as a
// TIFF block with a GPS directory (Exif 2.3, section 4.6.6).
func gps() []byte {
	le := binary.LittleEndian
	b := []byte("II*\x00\x08\x00\x00\x00")
	entry := func(tag, kind uint16, count, value uint32) {
		b = le.AppendUint32(le.AppendUint32(le.AppendUint16(le.AppendUint16(b, tag), kind), count), value)
	}
	const directory = 8 + 2 + 12 + 4
	const data = directory + 2 + 4*12 + 4
	b = le.AppendUint16(b, 1)
	entry(0x8825, 4, 1, directory)
	b = le.AppendUint32(b, 0)
	b = le.AppendUint16(b, 4)
	entry(1, 2, 2, uint32('N'))
	entry(2, 5, 3, data)
	entry(3, 2, 2, uint32('W'))
	entry(4, 5, 3, data+24)
	b = le.AppendUint32(b, 0)
	for _, n := range []uint32{51, 1, 28, 1, 401, 10, 0, 1, 0, 1, 53, 10} {
		b = le.AppendUint32(b, n)
	}
	return b
}

const placeText = "Mill Lane 12"

// placed puts the place into a JPEG, a PNG and a WebP, in every way they have.
func placed(t *testing.T) map[string][]byte {
	t.Helper()
	plain := picture(t, 640, 480)
	segment := func(marker byte, body string) []byte {
		return append(binary.BigEndian.AppendUint16([]byte{0xFF, marker}, uint16(len(body)+2)), body...)
	}
	jpg := bytes.Join([][]byte{plain[:2], segment(0xE1, "Exif\x00\x00"+string(gps())), segment(0xFE, placeText), plain[2:]}, nil)
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 64, 48))); err != nil {
		t.Fatal(err)
	}
	chunk := func(name string, body []byte) []byte {
		all := append([]byte(name), body...)
		return binary.BigEndian.AppendUint32(append(binary.BigEndian.AppendUint32(nil, uint32(len(body))), all...), crc32.ChecksumIEEE(all))
	}
	const head = 8 + 25 // the signature and IHDR
	text := append([]byte("Comment\x00"), placeText...)
	p := bytes.Join([][]byte{b.Bytes()[:head], chunk("eXIf", gps()), chunk("tEXt", text), chunk("iTXt", append([]byte("XML:com.adobe.xmp\x00\x00\x00\x00\x00"), placeText...)), b.Bytes()[head:]}, nil)
	return map[string][]byte{"a.jpg": jpg, "b.png": p, "c.webp": placedWebP()}
}

// placedWebP is one dot, with EXIF and XMP beside it.
func placedWebP() []byte {
	dot := []byte{0x2F, 0, 0, 0, 0x10, 0x07, 0x10, 0x11, 0x11, 0x88, 0x88, 0xFE, 0x07, 0} // VP8L
	chunk := func(name string, body []byte) []byte {
		c := append(binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body))), body...)
		return append(c, make([]byte, len(body)&1)...)
	}
	extended := append([]byte{0x08 | 0x04, 0, 0, 0}, 0, 0, 0, 0, 0, 0)
	body := bytes.Join([][]byte{[]byte("WEBP"), chunk("VP8X", extended), chunk("VP8L", dot), chunk("EXIF", gps()), chunk("XMP ", []byte(placeText))}, nil)
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

// tells reports what an independent reader finds of the place in a picture.
func tells(t *testing.T, content []byte) (found []string) {
	t.Helper()
	format := imagemeta.JPEG
	switch {
	case bytes.HasPrefix(content, []byte("\x89PNG")):
		format = imagemeta.PNG
	case bytes.HasPrefix(content, []byte("RIFF")):
		format = imagemeta.WebP
	}
	_, err := imagemeta.Decode(imagemeta.Options{R: bytes.NewReader(content), ImageFormat: format, Sources: imagemeta.EXIF,
		HandleTag: func(tag imagemeta.TagInfo) error { found = append(found, tag.Tag); return nil }})
	if err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(content, []byte(placeText)) {
		found = append(found, placeText)
	}
	return found
}

func TestWhereAPhotoWasTakenIsInNothingThatLeaves(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	s := serving(t, "serve", "--dir", dir)
	for name, content := range placed(t) {
		if !slices.Contains(tells(t, content), "GPSLatitude") || !slices.Contains(tells(t, content), placeText) {
			t.Fatalf("%s: the reader does not find the place in the sample: %v", name, tells(t, content))
		}
		if code, page := s.upload("jobs/"+id+"/photo", "photo", name, content, "full", "yes", "note", name); code != http.StatusOK {
			t.Fatalf("%s: status %d: %.200s", name, code, page)
		}
	}
	_, record := s.get("jobs/" + id + "/paper/record")
	if !strings.HasPrefix(record, "%PDF") || strings.Contains(record, placeText) || strings.Contains(record, "GPS") {
		t.Error("the record holds the place, or is no PDF")
	}
	text, _ := must(t, "export", "--dir", dir)
	var export struct {
		Files []struct{ Name, Media, Base64 string }
	}
	if err := json.Unmarshal([]byte(text), &export); err != nil {
		t.Fatal(err)
	}
	if len(export.Files) != 3 {
		t.Errorf("%d photos are in the export, want 3", len(export.Files))
	}
	for _, f := range export.Files {
		content, err := base64.StdEncoding.DecodeString(f.Base64)
		if err != nil {
			t.Fatal(err)
		}
		shown := map[string]string{"export": string(content)}
		for _, size := range []string{"", "?size=small", "?size=full"} {
			_, shown["page"+size] = s.get("photos/" + f.Name + size)
		}
		for where, content := range shown {
			if found := tells(t, []byte(content)); len(found) > 0 {
				t.Errorf("%s, %s: %v are still in it", f.Media, where, found)
			}
		}
	}
}

func TestAnExportWithAPlaceInItIsNotTakenIn(t *testing.T) {
	dir := t.TempDir()
	for name, content := range placed(t) {
		media := map[string]string{".jpg": "image/jpeg", ".png": "image/png", ".webp": "image/webp"}[filepath.Ext(name)]
		text, err := json.Marshal(map[string]string{"name": keep.Hash(content), "media": media, "base64": base64.StdEncoding.EncodeToString(content)})
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "export.json")
		export := []byte(`{"format":"lastbolt export 1","jobs":[],"documents":[],"files":[` + "\n" + string(text) + "]}\n")
		if err := os.WriteFile(file, export, 0o600); err != nil {
			t.Fatal(err)
		}
		code, _, said := run(t, "import", "--dir", dir, file)
		if code != 3 {
			t.Errorf("%s: exit status %d", name, code)
		}
		contains(t, name, said, "Line 2, column 1", "still says where or when it was taken")
	}
}
