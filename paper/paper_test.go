package paper

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
)

var printedAt = time.Date(2026, 4, 2, 18, 5, 0, 0, time.UTC)

func testOptions() Options {
	return Options{
		Now:     printedAt,
		JobURL:  "https://bay.example/jobs/job-1",
		ItemURL: func(item string) string { return "https://bay.example/jobs/job-1/item?id=" + item },
		Photo: func(hash string) ([]byte, error) {
			if hash == "bb22" {
				return nil, os.ErrNotExist
			}
			return testPhoto(hash), nil
		},
	}
}

func testPhoto(hash string) []byte {
	img := image.NewGray(image.Rect(0, 0, 640, 480))
	for y := range 480 {
		for x := range 640 {
			img.SetGray(x, y, color.Gray{uint8((x*int(hash[0]) + y*3) / 16)})
		}
	}
	var out bytes.Buffer
	_ = jpeg.Encode(&out, img, nil)
	return out.Bytes()
}

// printers are all the papers, by name.
var printers = map[string]func(s *job.State, o Options, trace *[]placed) ([]byte, error){
	"sheet": sheet,
	"ready": func(s *job.State, o Options, tr *[]placed) ([]byte, error) {
		return readyList(s, job.Ready(s, garage.Shelf{}), o, tr)
	},
	"labels": labels,
	"tag":    tag,
	"record": record,
}

// jobs are states that are hard to print, by name.
func jobs(t *testing.T) map[string]*job.State {
	plain := func(int) string { return "Bracket behind the heater hose" }
	long := strings.Repeat("Very long name of a bracket that nobody would ever write in full ", 40)
	empty := newJob(t)
	empty.add(job.KindStarted, job.Started{Complaint: "Squeals"})
	return map[string]*job.State{
		"empty":         empty.state(),
		"planned":       planned(t).state(),
		"half apart":    halfApart(t).state(),
		"finished":      finished(t).state(),
		"1 step":        longJob(t, 1, plain).state(),
		"12 steps":      longJob(t, 12, plain).state(),
		"80 steps":      longJob(t, 80, plain).state(),
		"long names":    longJob(t, 5, func(int) string { return long }).state(),
		"one long word": longJob(t, 3, func(int) string { return strings.Repeat("Unterfahrschutz", 90) }).state(),
		"emoji":         longJob(t, 4, func(int) string { return "Cover 🔧 behind 👩🏽‍🔧 → lamp" }).state(),
		"right to left": longJob(t, 4, func(int) string { return "מכסה תחתון (front) غطاء" }).state(),
		"not UTF-8":     longJob(t, 2, func(int) string { return "Cover \xff\xfe of \x00 the lamp" }).state(),
		"crowded":       crowded(t),
	}
}

func TestEveryLineOfTypeStandsInsideTheMarginsAndOnNoOther(t *testing.T) {
	for name, s := range jobs(t) {
		for kind, print := range printers {
			for _, size := range []Size{A4, Letter} {
				opt := testOptions()
				opt.Paper = size
				w, h := size.mm()
				if kind == "tag" {
					h /= 2
				}
				var trace []placed
				if _, err := print(s, opt, &trace); err != nil {
					t.Errorf("%s of %s: %v", kind, name, err)
					continue
				}
				if len(trace) == 0 {
					t.Errorf("%s of %s has no text", kind, name)
				}
				checkLayout(t, kind+" of "+name, trace, w, h)
			}
		}
	}
}

func checkLayout(t *testing.T, name string, trace []placed, w, h float64) {
	t.Helper()
	const hair = 0.3 // mm: what descenders and rounding may reach over
	for i, p := range trace {
		if p.left < margin-hair || p.right > w-margin+hair || p.top < margin-hair || p.bottom > h-margin+2 {
			t.Errorf("%s, page %d: %q stands outside the margins: %.1f to %.1f across, %.1f to %.1f down, on %.1f × %.1f", name, p.page, clipped(p.text), p.left, p.right, p.top, p.bottom, w, h)
		}
		for _, o := range trace[i+1:] {
			if o.page != p.page {
				continue
			}
			if p.left < o.right-hair && o.left < p.right-hair && p.top < o.bottom-hair && o.top < p.bottom-hair {
				t.Errorf("%s, page %d: %q stands on %q", name, p.page, clipped(p.text), clipped(o.text))
			}
		}
	}
}

func clipped(s string) string { return s[:min(len(s), 60)] }

func TestTheSameJobPrintsTheSameBytes(t *testing.T) {
	s := finished(t).state()
	for kind, print := range printers {
		x, err1 := print(s, testOptions(), nil)
		y, err2 := print(finished(t).state(), testOptions(), nil)
		if err1 != nil || err2 != nil {
			t.Fatalf("%s: %v, %v", kind, err1, err2)
		}
		if !bytes.Equal(x, y) {
			t.Errorf("%s: two prints of the same job differ", kind)
		}
	}
}

// TestWriteAll writes every paper for a look, where PAPER_OUT names a folder.
func TestWriteAll(t *testing.T) {
	dir := os.Getenv("PAPER_OUT")
	if dir == "" {
		t.Skip("set PAPER_OUT to a folder to have every paper written there")
	}
	for name, s := range jobs(t) {
		for kind, print := range printers {
			pdf, err := print(s, testOptions(), nil)
			if err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(dir, strings.ReplaceAll(kind+"-"+name, " ", "-")+".pdf")
			if err := os.WriteFile(file, pdf, 0o600); err != nil {
				t.Fatal(err)
			}
		}
	}
}
