package photo_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bep/imagemeta"

	"lastbolt/fault"
	"lastbolt/photo"
)

// The corners of the test picture, from the top left clockwise.
var corners = [4]color.RGBA{{220, 30, 30, 255}, {30, 200, 30, 255}, {30, 30, 220, 255}, {230, 220, 40, 255}}

// quarters is a picture of four fields in those colours.
func quarters(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			i := 0
			switch {
			case y < h/2 && x >= w/2:
				i = 1
			case y >= h/2 && x >= w/2:
				i = 2
			case y >= h/2:
				i = 3
			}
			m.SetRGBA(x, y, corners[i])
		}
	}
	return m
}

func jpegOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := jpeg.Encode(&out, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := png.Encode(&out, m); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// secret must not be found in what comes out.
const secret = "N 52 31 12.3 phone of the owner"

// exif is a TIFF block with an orientation and the secret, in either byte order.
func exif(order binary.AppendByteOrder, orientation int) []byte {
	b := []byte("MM\x00*\x00\x00\x00\x08")
	if order == binary.AppendByteOrder(binary.LittleEndian) {
		b = []byte("II*\x00\x08\x00\x00\x00")
	}
	b = order.AppendUint16(b, 3)
	entry := func(tag, kind uint16, count, value uint32) {
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, kind)
		b = order.AppendUint32(b, count)
		b = order.AppendUint32(b, value)
	}
	const data = 8 + 2 + 3*12 + 4
	entry(0x010F, 2, uint32(len(secret)), data) // make
	b = order.AppendUint16(b, 0x0112)
	b = order.AppendUint16(b, 3)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint16(b, uint16(orientation))
	b = order.AppendUint16(b, 0)
	entry(0x8298, 2, uint32(len(secret)), data) // copyright
	b = order.AppendUint32(b, 0)
	return append(b, secret...)
}

// tagged puts metadata into a JPEG: EXIF, XMP, a comment, another picture
// behind the end.
func tagged(plain, tiff []byte) []byte {
	segment := func(marker byte, body string) []byte {
		return append(binary.BigEndian.AppendUint16([]byte{0xFF, marker}, uint16(len(body)+2)), body...)
	}
	return bytes.Join([][]byte{
		plain[:2],
		segment(0xE0, "JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00"),
		segment(0xE1, "Exif\x00\x00"+string(tiff)),
		segment(0xE1, "http://ns.adobe.com/xap/1.0/\x00<x>"+secret+"</x>"),
		segment(0xE2, "ICC_PROFILE\x00\x01\x01profile"),
		segment(0xE2, "MPF\x00"+secret),
		segment(0xED, secret),
		segment(0xFE, secret),
		{0xFF}, // a fill byte
		plain[2:], []byte(secret), plain,
	}, nil)
}

// corner names the field in each corner of a picture, from the top left
// clockwise.
func cornersOf(t testing.TB, content []byte) (names string, w, h int) {
	t.Helper()
	m, _, err := image.Decode(bytes.NewReader(content))
	if err != nil {
		t.Fatal(err)
	}
	b := m.Bounds()
	w, h = b.Dx(), b.Dy()
	for _, at := range []image.Point{{w / 8, h / 8}, {w * 7 / 8, h / 8}, {w * 7 / 8, h * 7 / 8}, {w / 8, h * 7 / 8}} {
		r, g, bl, _ := m.At(b.Min.X+at.X, b.Min.Y+at.Y).RGBA()
		best, name := 1<<30, ' '
		for i, c := range corners {
			d := abs(int(r>>8)-int(c.R)) + abs(int(g>>8)-int(c.G)) + abs(int(bl>>8)-int(c.B))
			if d < best {
				best, name = d, rune("RGBY"[i])
			}
		}
		if best > 60 {
			t.Errorf("the colour at %v is %d off", at, best)
		}
		names += string(name)
	}
	return names, w, h
}

func abs(n int) int { return max(n, -n) }

// seen is how a picture RGBY shows at each orientation: by the EXIF 2.3
// description of what row 0 and column 0 of the stored picture are (1: top and
// left, 2: top and right, 3: bottom and right, 4: bottom and left, 5: left and
// top, 6: right and top, 7: right and bottom, 8: left and bottom).
var seen = [9]string{1: "RGBY", 2: "GRYB", 3: "BYRG", 4: "YBGR", 5: "RYBG", 6: "YRGB", 7: "BGRY", 8: "GBYR"}

func TestEveryOrientationComesOutUpright(t *testing.T) {
	pictures := map[string][]byte{
		"even": jpegOf(t, quarters(64, 32)),
		"odd":  jpegOf(t, quarters(63, 33)),
	}
	for name, plain := range pictures {
		_, w, h := cornersOf(t, plain)
		for o := 1; o <= 8; o++ {
			for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
				what := fmt.Sprintf("%s, orientation %d, %v", name, o, order)
				got, err := photo.Intake(tagged(plain, exif(order, o)))
				if err != nil {
					t.Fatal(what, err)
				}
				wantW, wantH := w, h
				if o >= 5 {
					wantW, wantH = h, w
				}
				colours, gotW, gotH := cornersOf(t, got.Content)
				if colours != seen[o] || gotW != wantW || gotH != wantH || got.Width != wantW || got.Height != wantH {
					t.Errorf("%s: %s %dx%d (said %dx%d), want %s %dx%d", what, colours, gotW, gotH, got.Width, got.Height, seen[o], wantW, wantH)
				}
				clean(t, what, got.Content)
				small, err := photo.Thumbnail(tagged(plain, exif(order, o)))
				if err != nil {
					t.Fatal(what, err)
				}
				if colours, gotW, gotH := cornersOf(t, small); colours != seen[o] || gotW != wantW || gotH != wantH {
					t.Errorf("%s: thumbnail %s %dx%d, want %s %dx%d", what, colours, gotW, gotH, seen[o], wantW, wantH)
				}
			}
		}
	}
}

// clean fails the test when metadata is in content. The reader that looks for
// it is another program's.
func clean(t *testing.T, what string, content []byte) {
	t.Helper()
	if bytes.Contains(content, []byte(secret[:10])) {
		t.Errorf("%s: the secret is still in it", what)
	}
	format := imagemeta.JPEG
	if bytes.HasPrefix(content, []byte("\x89PNG")) {
		format = imagemeta.PNG
	}
	for _, tag := range tags(t, content, format) {
		if tag != "Orientation" {
			t.Errorf("%s: the tag %s is still in it", what, tag)
		}
	}
}

func tags(t *testing.T, content []byte, format imagemeta.ImageFormat) (names []string) {
	t.Helper()
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(content), ImageFormat: format, Sources: imagemeta.EXIF,
		HandleTag: func(tag imagemeta.TagInfo) error {
			names = append(names, tag.Tag)
			return nil
		},
	})
	if err != nil {
		t.Fatalf("reading the metadata: %v", err)
	}
	return names
}

func TestTheReaderOfMetadataFindsWhatIsTakenOut(t *testing.T) {
	got := tags(t, tagged(jpegOf(t, quarters(16, 16)), exif(binary.BigEndian, 6)), imagemeta.JPEG)
	if want := []string{"Make", "Orientation", "Copyright"}; !slices.Equal(got, want) {
		t.Errorf("found %v, want %v", got, want)
	}
}

func TestAnUprightPhotoKeepsItsPixelsToTheByte(t *testing.T) {
	plain := jpegOf(t, quarters(64, 48))
	got, err := photo.Intake(tagged(plain, exif(binary.BigEndian, 1)))
	if err != nil {
		t.Fatal(err)
	}
	want, _ := jpeg.Decode(bytes.NewReader(plain))
	have, err := jpeg.Decode(bytes.NewReader(got.Content))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(have.(*image.YCbCr).Y, want.(*image.YCbCr).Y) || !bytes.HasSuffix(got.Content, plain[len(plain)-200:]) {
		t.Error("the picture was written anew")
	}
	if !bytes.Contains(got.Content, []byte("ICC_PROFILE")) || !bytes.Contains(got.Content, []byte("JFIF")) {
		t.Error("the colour profile or the JFIF header is gone")
	}
	again, err := photo.Intake(got.Content)
	if err != nil || !bytes.Equal(again.Content, got.Content) {
		t.Errorf("taking it in again changes it: %v", err)
	}
}

func TestStrippingKeepsOnlyTheNoteThatTurns(t *testing.T) {
	for o := 1; o <= 8; o++ {
		out, err := photo.StripLocation(tagged(jpegOf(t, quarters(40, 20)), exif(binary.LittleEndian, o)))
		if err != nil {
			t.Fatal(err)
		}
		clean(t, fmt.Sprint("orientation ", o), out)
		got, err := photo.Intake(out)
		if err != nil {
			t.Fatal(err)
		}
		if colours, _, _ := cornersOf(t, got.Content); colours != seen[o] {
			t.Errorf("orientation %d: then shows %s, want %s", o, colours, seen[o])
		}
		again, err := photo.StripLocation(out)
		if err != nil || !bytes.Equal(again, out) {
			t.Errorf("orientation %d: stripping again changes it: %v", o, err)
		}
	}
}

func TestAPNGIsStripped(t *testing.T) {
	plain := pngOf(t, quarters(40, 20))
	chunk := func(name, body string) []byte {
		b := append(binary.BigEndian.AppendUint32(nil, uint32(len(body))), name+body...)
		return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
	}
	const head = 8 + 25 // signature and IHDR
	content := bytes.Join([][]byte{plain[:head], chunk("tEXt", "Comment\x00"+secret), chunk("eXIf", string(exif(binary.BigEndian, 1))), plain[head:], []byte(secret)}, nil)
	got, err := photo.Intake(content)
	if err != nil || got.Media != "image/png" || !bytes.Equal(got.Content, plain) {
		t.Errorf("%d bytes, %s, %v; want the plain %d", len(got.Content), got.Media, err, len(plain))
	}
	clean(t, "png", got.Content)
	turned := bytes.Join([][]byte{plain[:head], chunk("eXIf", string(exif(binary.BigEndian, 6))), plain[head:]}, nil)
	got, err = photo.Intake(turned)
	if err != nil {
		t.Fatal(err)
	}
	if colours, w, h := cornersOf(t, got.Content); colours != seen[6] || w != 20 || h != 40 {
		t.Errorf("turned: %s %dx%d, want %s 20x40", colours, w, h, seen[6])
	}
}

// webpDot is a lossless WebP of one pixel, made by hand from the container's
// specification: RIFF, VP8X with the EXIF bit, VP8L, EXIF.
func webpDot() []byte {
	vp8l := []byte{0x2F, 0, 0, 0, 0x10, 0x07, 0x10, 0x11, 0x11, 0x88, 0x88, 0xFE, 0x07, 0}
	chunk := func(name string, body []byte) []byte {
		b := append(binary.LittleEndian.AppendUint32([]byte(name), uint32(len(body))), body...)
		if len(body)%2 == 1 {
			b = append(b, 0)
		}
		return b
	}
	body := bytes.Join([][]byte{
		[]byte("WEBP"), chunk("VP8X", []byte{0x08 | 0x04, 0, 0, 0, 0, 0, 0, 0, 0, 0}),
		chunk("VP8L", vp8l), chunk("EXIF", exif(binary.LittleEndian, 1)), chunk("XMP ", []byte(secret)),
	}, nil)
	return append(binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func TestAWebPIsStripped(t *testing.T) {
	got, err := photo.Intake(webpDot())
	if err != nil || got.Media != "image/webp" || got.Width != 1 || got.Height != 1 {
		t.Fatalf("Intake = %s %dx%d, %v", got.Media, got.Width, got.Height, err)
	}
	if bytes.Contains(got.Content, []byte("EXIF")) || bytes.Contains(got.Content, []byte(secret)) {
		t.Error("metadata is still in it")
	}
	if n := binary.LittleEndian.Uint32(got.Content[4:]); int(n) != len(got.Content)-8 {
		t.Errorf("it says %d bytes and has %d", n, len(got.Content)-8)
	}
	if flags := got.Content[20]; flags != 0 {
		t.Errorf("its header still announces metadata: %#x", flags)
	}
	if _, err := photo.Screen(got.Content); err != nil {
		t.Error(err)
	}
}

func TestWhatIsShownFitsAndKeepsItsShape(t *testing.T) {
	for _, test := range []struct{ w, h, screenW, screenH, smallW, smallH int }{
		{4000, 3000, 1600, 1200, 320, 240},
		{300, 200, 300, 200, 300, 200},
		{1000, 2000, 800, 1600, 160, 320},
		{1601, 1, 1600, 1, 320, 1},
		{1, 1, 1, 1, 1, 1},
	} {
		content := jpegOf(t, image.NewGray(image.Rect(0, 0, test.w, test.h)))
		for _, one := range []struct {
			make func([]byte) ([]byte, error)
			w, h int
		}{{photo.Screen, test.screenW, test.screenH}, {photo.Thumbnail, test.smallW, test.smallH}} {
			out, err := one.make(content)
			if err != nil {
				t.Fatal(err)
			}
			config, err := jpeg.DecodeConfig(bytes.NewReader(out))
			if err != nil || config.Width != one.w || config.Height != one.h {
				t.Errorf("%d by %d became %d by %d (%v), want %d by %d", test.w, test.h, config.Width, config.Height, err, one.w, one.h)
			}
		}
	}
}

func TestTransparentShowsOnWhite(t *testing.T) {
	out, err := photo.Screen(pngOf(t, image.NewNRGBA(image.Rect(0, 0, 10, 10))))
	if err != nil {
		t.Fatal(err)
	}
	m, err := jpeg.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	if r, g, b, _ := m.At(5, 5).RGBA(); min(r, g, b) < 0xF000 {
		t.Errorf("shows %x %x %x, want white", r>>8, g>>8, b>>8)
	}
}

func TestWhatIsNoPhotoIsRefusedInWords(t *testing.T) {
	whole := jpegOf(t, quarters(64, 64))
	vast := pngOf(t, quarters(4, 4))
	binary.BigEndian.PutUint32(vast[16:], 10_000)
	binary.BigEndian.PutUint32(vast[20:], 10_000)
	binary.BigEndian.PutUint32(vast[29:], crc32.ChecksumIEEE(vast[12:29]))
	for _, test := range []struct {
		name    string
		content []byte
		code    fault.Code
		say     string
	}{
		{"empty", nil, fault.Bad, "is empty"},
		{"text", []byte("hello, this is a letter"), fault.Bad, "is not a photo"},
		{"pdf named jpg", []byte("%PDF-1.7"), fault.Bad, "is not a photo"},
		{"gif", []byte("GIF89a..."), fault.Bad, "a GIF"},
		{"heic", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), fault.Bad, "the page turns it into JPEG"},
		{"only a beginning", whole[:3], fault.Bad, "cut short"},
		{"cut short", whole[:len(whole)/2], fault.Bad, "cut short"},
		{"cut PNG", pngOf(t, quarters(40, 40))[:60], fault.Bad, "cut short"},
		{"a vast one in a small file", vast, fault.TooLarge, "has 100 million pixels (10000 by 10000); at most 60 million"},
	} {
		_, err := photo.Intake(test.content)
		if got := fault.CodeOf(err); got != test.code || !strings.Contains(fault.Say(err), test.say) {
			t.Errorf("%s: %v with code %q, want %q with %q in it", test.name, err, got, test.code, test.say)
		}
	}
}

// shaded is a picture about as rich in detail as a photo: slow shades and a
// little grain.
func shaded(w, h int) *image.YCbCr {
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for i := range m.Y {
		grain := uint32(i) * 2654435761 >> 28
		m.Y[i] = byte(64 + (i%m.YStride)/64 + (i/m.YStride)/64 + int(grain))
	}
	return m
}

func TestFortyMegapixelsAreTakenInWithinTheMemoryBound(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	const w, h = 7296, 5472 // 39.9 million
	content := tagged(jpegOf(t, shaded(w, h)), exif(binary.BigEndian, 6))
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := time.Now()
	got, err := photo.Intake(content)
	took := time.Since(start)
	runtime.ReadMemStats(&after)
	if err != nil || got.Width != h || got.Height != w {
		t.Fatalf("%d by %d, %v", got.Width, got.Height, err)
	}
	allocated := after.TotalAlloc - before.TotalAlloc // at least what was held at once
	t.Logf("%d MB JPEG: Intake %v, %d MB allocated in all", len(content)>>20, took, allocated>>20)
	if allocated > photo.MaxMemory {
		t.Errorf("allocated %d MB, want at most %d", allocated>>20, photo.MaxMemory>>20)
	}
	start = time.Now()
	if _, err := photo.Screen(got.Content); err != nil {
		t.Fatal(err)
	}
	t.Logf("Screen %v", time.Since(start))
}

func TestALargePhotoIsKeptSmallerUnlessTheFullOneIsWanted(t *testing.T) {
	const w, h = photo.KeptSide + 440, 2000
	for o, turned := range map[int]bool{1: false, 6: true} {
		content := tagged(jpegOf(t, quarters(w, h)), exif(binary.LittleEndian, o))
		for name, row := range map[string]struct {
			take func([]byte) (photo.Photo, error)
			w, h int
		}{"full": {photo.Intake, w, h}, "reduced": {photo.IntakeReduced, photo.KeptSide, (h*photo.KeptSide + w/2) / w}} {
			got, err := row.take(content)
			if err != nil {
				t.Fatal(err)
			}
			if turned {
				row.w, row.h = row.h, row.w
			}
			colours, gotW, gotH := cornersOf(t, got.Content)
			if colours != seen[o] || gotW != row.w || gotH != row.h || got.Width != gotW || got.Height != gotH {
				t.Errorf("%s, orientation %d: %s %dx%d (said %dx%d), want %s %dx%d", name, o, colours, gotW, gotH, got.Width, got.Height, seen[o], row.w, row.h)
			}
			clean(t, name, got.Content)
		}
	}
	small := tagged(jpegOf(t, quarters(640, 480)), exif(binary.BigEndian, 1))
	full, err := photo.Intake(small)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := photo.IntakeReduced(small); err != nil || !bytes.Equal(got.Content, full.Content) {
		t.Errorf("a small photo is not kept as it was taken: %v", err)
	}
}

func FuzzIntake(f *testing.F) {
	plain := jpegOf(f, quarters(16, 8))
	f.Add(plain)
	f.Add(tagged(plain, exif(binary.BigEndian, 6)))
	f.Add(tagged(plain, exif(binary.LittleEndian, 3)))
	f.Add(pngOf(f, quarters(8, 8)))
	f.Add(webpDot())
	f.Fuzz(func(t *testing.T, content []byte) {
		stripped, err := photo.StripLocation(content)
		if err == nil {
			if len(stripped) > len(content)+36 {
				t.Fatalf("stripping made %d bytes of %d", len(stripped), len(content))
			}
			again, err := photo.StripLocation(stripped)
			if err != nil || !bytes.Equal(again, stripped) {
				t.Fatalf("stripping again: %v, the same: %v", err, bytes.Equal(again, stripped))
			}
		}
		got, err := photo.Intake(content)
		if err != nil {
			if fault.CodeOf(err) == fault.Internal {
				t.Fatalf("no sentence for a person: %v", err)
			}
			return
		}
		if again, err := photo.Intake(got.Content); err != nil || again.Width != got.Width || again.Height != got.Height {
			t.Fatalf("what was taken in, taken in again: %dx%d, %v, want %dx%d", again.Width, again.Height, err, got.Width, got.Height)
		}
		if _, err := photo.Thumbnail(got.Content); err != nil {
			t.Fatal(err)
		}
	})
}

func BenchmarkTwelveMegapixels(b *testing.B) {
	plain := jpegOf(b, shaded(4032, 3024))
	for name, run := range map[string]func() error{
		"intake upright": func() error { _, err := photo.Intake(plain); return err },
		"intake turned":  func() error { _, err := photo.Intake(tagged(plain, exif(binary.BigEndian, 6))); return err },
		"screen":         func() error { _, err := photo.Screen(plain); return err },
		"thumbnail":      func() error { _, err := photo.Thumbnail(plain); return err },
		"strip":          func() error { _, err := photo.StripLocation(plain); return err },
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := run(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
