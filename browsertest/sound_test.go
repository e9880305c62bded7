package browsertest

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"image"
	"image/jpeg"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lastbolt/internal/browser"
)

// A noise is recorded in the page with the browser's own (pretended) microphone,
// listened to, kept on the step, played back from the server, and taken back.
func TestASoundIsRecordedInThePageAndPlaysFromTheStep(t *testing.T) {
	s := demoShop(t)
	h := s.onJob(halfApart, browser.Phone(t))
	tab := h.tab
	h.open("")
	tab.Tap("[data-main]")
	h.passResume()
	step := h.heading()
	tab.Tap("Sound")
	tab.Tap("Record")
	tab.WaitText("Recording: 1 of at most 120 seconds")
	tab.Screenshot("sound-recording")
	tab.Tap("Stop")
	tab.WaitText("seconds recorded. Listen to it, then keep it.")
	tab.WaitFor("the recording to be heard before it is sent", `(() => { const a = document.querySelector("[data-sound-play]"); return !a.hidden && a.readyState > 0 && !a.error; })()`)
	tab.Screenshot("sound-recorded")
	tab.Tap("after the repair")
	tab.Fill("note", "idle, bonnet open")
	tab.Tap("Keep the sound")
	tab.WaitText(step)
	tab.WaitText("After the repair")
	tab.WaitText("idle, bonnet open")
	tab.Screenshot("sound-on-step")
	tab.Do(`document.querySelector(".clips audio").muted = true; document.querySelector(".clips audio").play()`)
	tab.WaitFor("the clip to play from the server", `document.querySelector(".clips audio").currentTime > 0.2`)
	tab.Tap("[data-undo]")
	tab.WaitGone("idle, bonnet open")
}

// Without a microphone or scripts a recording is chosen as a file.
func TestASoundFileIsKeptWithoutScripts(t *testing.T) {
	s := demoShop(t)
	h := s.onJob(halfApart, browser.Phone(t))
	tab := h.tab
	tab.WithoutScripts()
	file := filepath.Join(t.TempDir(), "noise.wav")
	writeFile(t, file, wav(2*time.Second))
	h.open("/sound")
	tab.Upload("input[type=file]", file)
	tab.Tap("Keep the sound")
	tab.WaitText("Before the repair, 2 s")
	tab.Screenshot("sound-plain")
}

// wav is silence of a length: 8,000 samples a second, 16 bit.
func wav(long time.Duration) []byte {
	n := uint32(long.Seconds() * 8000 * 2)
	le := func(v uint32) []byte { return []byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)} }
	return bytes.Join([][]byte{[]byte("RIFF"), le(36 + n), []byte("WAVEfmt "), le(16), {1, 0, 1, 0}, le(8000), le(16000), {2, 0, 16, 0}, []byte("data"), le(n), make([]byte, n)}, nil)
}

// A large photo is made smaller on the phone, before it is sent; with the box
// ticked the full picture comes. In plain mode the server makes it smaller.
func TestAPhotoIsReducedOnThePhoneUnlessTheFullOneIsWanted(t *testing.T) {
	s := demoShop(t)
	file := filepath.Join(t.TempDir(), "engine.jpg")
	large := largePhoto(t)
	writeFile(t, file, large)
	job := s.jobID(halfApart)
	for _, row := range []struct {
		name                 string
		full, plain          bool
		wantWide, sentAtMost int // bytes; 0 is not looked at
	}{
		{name: "reduced", wantWide: 2560, sentAtMost: len(large) * 2 / 3},
		{name: "full", full: true, wantWide: 3200},
		{name: "plain", plain: true, wantWide: 2560},
	} {
		t.Run(row.name, func(t *testing.T) {
			h := s.onJob(halfApart, browser.Phone(t))
			tab := h.tab
			if row.plain {
				tab.WithoutScripts()
			}
			h.open("/photo")
			if got := browser.Eval[string](tab, `document.querySelector("input[type=file]").getAttribute("capture")`); got != "environment" {
				t.Errorf("the first input takes from %q, want the camera", got)
			}
			if !row.plain { // what the browser sends, seen in the page
				tab.Do(`XMLHttpRequest.prototype.send = ((real) => function (body) { sessionStorage.setItem("sent", body.get("photo").size); real.call(this, body); })(XMLHttpRequest.prototype.send)`)
			}
			tab.Upload("input[type=file]", file)
			if row.full {
				tab.Tap("Keep the full picture")
			}
			tab.Fill("note", "engine bay, "+row.name)
			tab.Screenshot("photo-" + row.name)
			tab.Tap("Keep the photo")
			tab.WaitText("engine bay, " + row.name)
			if got := tab.Has(`.photos a[href$="size=full"]`) && row.full; got != row.full {
				t.Errorf("a link to the full picture: %t, want %t", got, row.full)
			}
			if wide := s.photoNoted(t, job, "engine bay, "+row.name); wide != row.wantWide {
				t.Errorf("kept is one %d wide, want %d", wide, row.wantWide)
			}
			if row.sentAtMost > 0 {
				if sent := browser.Eval[int](tab, `Number(sessionStorage.getItem("sent"))`); sent == 0 || sent > row.sentAtMost {
					t.Errorf("the phone sent %d bytes of %d, want at most %d", sent, len(large), row.sentAtMost)
				}
			}
		})
	}
}

// largePhoto is a picture of 3200 by 2400 with fine detail.
func largePhoto(t *testing.T) []byte {
	t.Helper()
	img := image.NewYCbCr(image.Rect(0, 0, 3200, 2400), image.YCbCrSubsampleRatio420)
	for i := range img.Y {
		img.Y[i] = byte(64 + (i%3200)/32 + int(uint32(i)*2654435761>>29))
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// photoNoted is the width of the photo with a note, as it is exported.
func (s *server) photoNoted(t *testing.T, job, note string) (wide int) {
	t.Helper()
	var export struct {
		Jobs []struct {
			ID     string
			Events []struct {
				Kind string
				Data struct{ File, Note string }
			}
		}
		Files []struct {
			Name   string
			Base64 string
		}
	}
	text, err := exec.Command(build(t), "export", "--dir", s.dir).Output()
	if err == nil {
		err = json.Unmarshal(text, &export)
	}
	if err != nil {
		t.Fatal(err)
	}
	name := ""
	for _, j := range export.Jobs {
		for _, e := range j.Events {
			if j.ID == job && e.Kind == "photo" && strings.Contains(e.Data.Note, note) {
				name = e.Data.File
			}
		}
	}
	for _, f := range export.Files {
		if f.Name != name {
			continue
		}
		content, err := base64.StdEncoding.DecodeString(f.Base64)
		if err != nil {
			t.Fatal(err)
		}
		config, _, err := image.DecodeConfig(bytes.NewReader(content))
		if err != nil {
			t.Fatal(err)
		}
		return config.Width
	}
	t.Fatalf("there is no photo with the note %q", note)
	return 0
}
