package cli_test

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os/exec"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"lastbolt/cli"
)

func TestATapOnAFullDiskIsRefusedInASentenceAndNothingIsLost(t *testing.T) {
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", disk).CombinedOutput(); err != nil {
		t.Skipf("a small file system cannot be mounted here (it needs root): %v %s", err, out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", "-l", disk).CombinedOutput(); err != nil {
			t.Errorf("umount: %v %s", err, out)
		}
	})
	dir := filepath.Join(disk, "data")
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	s := serving(t, "serve", "--dir", dir)
	form := url.Values{"text": {strings.Repeat("much to say ", 4000)}}
	kept, code, page := 0, 0, ""
	for ; kept < 1000; kept++ {
		if code, page = s.post("jobs/"+id+"/note", form); code != http.StatusOK {
			break
		}
	}
	if code != http.StatusInsufficientStorage {
		t.Errorf("after %d notes: status %d, want %d", kept, code, http.StatusInsufficientStorage)
	}
	contains(t, "the page", page, "There is no room left on the disk that holds "+dir)
	if code, _ := s.get("jobs/" + id); code != http.StatusOK {
		t.Errorf("the job cannot be read any more: status %d", code)
	}
	if out, err := exec.Command("mount", "-o", "remount,size=16m", disk).CombinedOutput(); err != nil {
		t.Fatalf("remount: %v %s", err, out)
	}
	if code, page := s.post("jobs/"+id+"/note", form); code != http.StatusOK {
		t.Errorf("with room again: status %d: %.300s", code, page)
	}
	s.stop()
	if got := events(t, dir, id) - before; got != kept+1 {
		t.Errorf("%d events were kept, want the %d that were said to be", got, kept+1)
	}
}

// zeros is a body that never ends and counts what was asked of it.
type zeros struct{ read atomic.Int64 }

func (z *zeros) Read(p []byte) (int, error) {
	clear(p)
	z.read.Add(int64(len(p)))
	return len(p), nil
}

const (
	gigabyte = 1 << 30
	// mostSent is what leaves a sender before it is refused: the largest upload,
	// 40 MB, and what waits unread in the network's buffers, which on a busy
	// machine grow to 32 MB and more.
	mostSent = 100 << 20
)

func TestAPhotoOfAGigabyteIsRefusedEarly(t *testing.T) {
	for _, test := range []struct {
		name   string
		length int64
	}{{"its size is told", gigabyte}, {"its size is not told", -1}} {
		t.Run(test.name, func(t *testing.T) {
			dir := t.TempDir()
			id := demoFolder(t, dir)
			s := serving(t, "serve", "--dir", dir)
			head := "--x\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\nContent-Type: image/jpeg\r\n\r\n"
			body := &zeros{}
			ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
			defer cancel()
			r, err := http.NewRequestWithContext(ctx, "POST", s.url+"jobs/"+id+"/photo", io.LimitReader(io.MultiReader(strings.NewReader(head), body), gigabyte))
			if err != nil {
				t.Fatal(err)
			}
			r.ContentLength = test.length
			r.Header.Set("Content-Type", "multipart/form-data; boundary=x")
			code, page := answer(t)(http.DefaultClient.Do(r))
			if code != http.StatusRequestEntityTooLarge {
				t.Errorf("status %d, want %d", code, http.StatusRequestEntityTooLarge)
			}
			contains(t, "the page", page, "larger than 40 MB, so it was not kept")
			if got := body.read.Load(); got > mostSent {
				t.Errorf("%d MB were read before it was refused", got>>20)
			}
			t.Logf("%d MB were read", body.read.Load()>>20)
		})
	}
}

func (s *server) photo(id, name string, content []byte) (int, string) {
	s.t.Helper()
	return s.upload("jobs/"+id+"/photo", "photo", name, content)
}

// upload sends a form with one file, and fields as name, value, name, value …
func (s *server) upload(path, field, name string, content []byte, fields ...string) (int, string) {
	s.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	file, err := form.CreateFormFile(field, name)
	if err == nil {
		_, err = file.Write(content)
	}
	for i := 0; err == nil && i < len(fields); i += 2 {
		err = form.WriteField(fields[i], fields[i+1])
	}
	if err == nil {
		err = form.Close()
	}
	if err != nil {
		s.t.Fatal(err)
	}
	r, err := http.NewRequestWithContext(s.t.Context(), "POST", s.url+path, &body)
	if err != nil {
		s.t.Fatal(err)
	}
	r.Header.Set("Content-Type", form.FormDataContentType())
	return answer(s.t)(http.DefaultClient.Do(r))
}

func picture(t *testing.T, wide, high int) []byte {
	t.Helper()
	img := image.NewYCbCr(image.Rect(0, 0, wide, high), image.YCbCrSubsampleRatio420)
	for i := range img.Y {
		img.Y[i] = color.YCbCr{Y: uint8(i / wide)}.Y
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPhotosAreKeptOrRefusedInASentence(t *testing.T) {
	dir := t.TempDir()
	id := demoFolder(t, dir)
	before := events(t, dir, id)
	s := serving(t, "serve", "--dir", dir)
	if code, page := s.photo(id, "forty-megapixels.jpg", picture(t, 7300, 5500)); code != http.StatusOK {
		t.Errorf("40 megapixels: status %d: %.300s", code, page)
	}
	small := picture(t, 320, 200)
	for _, test := range []struct {
		name    string
		content []byte
	}{
		{"notes.jpg", []byte("This is no picture.")},
		{"empty.jpg", nil},
		{"cut.jpg", small[:len(small)/2]},
		{"page.svg", []byte("<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>")},
	} {
		code, page := s.photo(id, test.name, test.content)
		if code < 400 || code > 499 {
			t.Errorf("%s: status %d, want a refusal", test.name, code)
		}
		if strings.Contains(page, "Something went wrong inside") {
			t.Errorf("%s: no reason is given", test.name)
		}
	}
	s.stop()
	if got := events(t, dir, id) - before; got != 1 {
		t.Errorf("%d events were added, want that of the one good photo", got)
	}
}

func TestAnExportFollowsThePublishedSchema(t *testing.T) {
	dir := t.TempDir()
	demoFolder(t, dir)
	run := func(args ...string) []byte {
		t.Helper()
		var out, errs bytes.Buffer
		if code := cli.Run(t.Context(), args, cli.Env{Out: &out, Err: &errs, Now: time.Now, DataDir: dir}); code != 0 {
			t.Fatalf("%v: exit status %d: %s", args, code, errs.String())
		}
		return out.Bytes()
	}
	decode := func(b []byte) any {
		t.Helper()
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	compiler := jsonschema.NewCompiler()
	if err := compiler.AddResource("export.json", decode(run("schema", "export"))); err != nil {
		t.Fatal(err)
	}
	schema, err := compiler.Compile("export.json")
	if err != nil {
		t.Fatal(err)
	}
	export := run("export")
	if err := schema.Validate(decode(export)); err != nil {
		t.Error(err)
	}
	// A file that is none must fail, or the check above says nothing.
	var broken map[string]any
	if err := json.Unmarshal(export, &broken); err != nil {
		t.Fatal(err)
	}
	broken["jobs"] = "none"
	if schema.Validate(broken) == nil {
		t.Error("the schema lets anything pass")
	}
}
