package browsertest

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A photo taken on a step is shown on it; what is no photo, or too big, is
// refused with a sentence.
func TestAPhotoIsKeptAndWrongFilesAreRefused(t *testing.T) {
	s := demoShop(t)
	h := s.onJob(halfApart, browser.Phone(t))
	tab := h.tab
	folder := t.TempDir()
	good, text, big := filepath.Join(folder, "bolt.jpg"), filepath.Join(folder, "notes.jpg"), filepath.Join(folder, "big.jpg")
	writeFile(t, good, picture(t))
	writeFile(t, text, []byte("These are the notes of the day, not a photo."))
	writeFile(t, big, nil)
	if err := os.Truncate(big, 60<<20); err != nil {
		t.Fatal(err)
	}
	h.open("")
	tab.Tap("[data-main]")
	h.passResume()
	step := h.heading()
	tab.Tap("Photo")
	tab.Upload("input[type=file]", good)
	tab.Screenshot("photo-form")
	tab.Tap("Keep the photo")
	tab.WaitText(step)
	tab.WaitFor("the photo on the step", `[...document.querySelectorAll("main .photos img")].some((i) => i.complete && i.naturalWidth > 0)`)
	tab.Screenshot("photo-on-step")

	for file, words := range map[string]string{text: "photo", big: "40 MB"} {
		h.open("/photo")
		tab.Upload("input[type=file]", file)
		tab.Tap("Keep the photo")
		tab.WaitFor("a sentence about "+filepath.Base(file), `document.querySelector(".error-box, .toast")`)
		if said := tab.Text(".error-box, .toast"); !strings.Contains(said, words) {
			t.Errorf("about %s the page says %q, which does not name %q", filepath.Base(file), said, words)
		}
		tab.Screenshot("photo-refused-" + slug(filepath.Base(file)))
	}
}

func writeFile(t *testing.T, name string, content []byte) {
	t.Helper()
	if err := os.WriteFile(name, content, 0o600); err != nil {
		t.Fatal(err)
	}
}

// picture is a small photo.
func picture(t *testing.T) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 640, 480))
	for y := range 480 {
		for x := range 640 {
			img.Set(x, y, color.RGBA{uint8(x / 3), uint8(y / 2), 90, 255})
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, nil); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// What is due after a released job goes into any calendar.
func TestFollowUpsGoIntoACalendar(t *testing.T) {
	s := demoShop(t)
	answer, body := s.get("/jobs/" + s.jobID("Front left pads and drop link") + "/follow-ups.ics")
	if got := answer.Header.Get("Content-Type"); answer.StatusCode != http.StatusOK || !strings.HasPrefix(got, "text/calendar") {
		t.Fatalf("status %d, type %q", answer.StatusCode, got)
	}
	text := string(body)
	for _, line := range []string{"BEGIN:VCALENDAR\r\n", "BEGIN:VEVENT\r\n", "DTSTAMP:", "DTSTART", "UID:", "SUMMARY:Tern van 1.4", "END:VCALENDAR\r\n"} {
		if !strings.Contains(text, line) {
			t.Errorf("the calendar has no %q:\n%s", line, text)
		}
	}
}
