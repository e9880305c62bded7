package paper

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"lastbolt/calc"
	"lastbolt/calc/all"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/quantity"
)

var update = flag.Bool("update", false, "write the golden files anew")

// pages is the text of a PDF, page by page, a line of type a line, with single
// spaces: what somebody can select and search.
func pages(t *testing.T, pdf []byte, err error) []string {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	tool, lookErr := exec.LookPath("pdftotext")
	if lookErr != nil {
		t.Skip("pdftotext is not installed (Debian: poppler-utils): the text of the PDF is not looked at")
	}
	cmd := exec.Command(tool, "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(pdf)
	out, runErr := cmd.Output()
	if runErr != nil {
		t.Fatalf("pdftotext cannot read the PDF: %v", runErr)
	}
	var all []string
	for page := range strings.SplitSeq(strings.TrimSuffix(string(out), "\f"), "\f") {
		var lines []string
		for line := range strings.Lines(page) {
			if words := strings.Fields(line); len(words) > 0 {
				lines = append(lines, strings.Join(words, " "))
			}
		}
		all = append(all, strings.Join(lines, "\n"))
	}
	return all
}

func TestTextOfThePapers(t *testing.T) {
	for name, test := range map[string]struct {
		print func(*job.State, Options, *[]placed) ([]byte, error)
		state *job.State
	}{
		"sheet":  {sheet, withoutCautions(planned(t).state())},
		"labels": {labels, halfApart(t).state()},
		"tag":    {tag, halfApart(t).state()},
	} {
		t.Run(name, func(t *testing.T) {
			pdf, err := test.print(test.state, testOptions(), nil)
			got := strings.Join(pages(t, pdf, err), "\n--- page ---\n") + "\n"
			file := filepath.Join("testdata", name+".txt")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("the text differs from %s (after a wanted change: go test ./paper -update); got:\n%s", file, got)
			}
		})
	}
}

// withoutCautions takes out what is worded elsewhere.
func withoutCautions(s *job.State) *job.State {
	for _, st := range s.Steps {
		st.Hazards = nil
	}
	for _, it := range s.Items {
		for i := range it.Ways {
			it.Ways[i].Opens = nil
		}
	}
	return s
}

func withNoise(t *testing.T) *job.State {
	m := halfApart(t)
	m.add(job.KindClip, job.ClipRecorded{Step: "down/cooler", File: "aabbccddeeff00112233", When: job.ClipBefore, Seconds: 12.2, Note: "cold start"})
	return m.state()
}

func TestPapersSayWhatTheyMust(t *testing.T) {
	imperial := testOptions()
	imperial.Units = quantity.Imperial()
	imperial.Zone = time.FixedZone("two ahead", 2*3600)
	for name, test := range map[string]struct {
		print func(*job.State, Options, *[]placed) ([]byte, error)
		state *job.State
		opt   Options
		want  []string
		not   []string
	}{
		"record of a finished job": {record, finished(t).state(), testOptions(), []string{
			"Released by Nell Okafor", "Odometer: 84,212 km", "Resealed, run warm, dry.", "Boot of the right drive shaft is cracked: soon.",
			"Tray bolts: 7 out, 6 back", "one sheared, plate nut ordered", "tightened 20 N·m (own measurement) with small wrench, marked",
			"torque not recorded", "seized", "Spring nut M6", "Oil pressure, warm idle: 2.4 bar, passes", "at least 1.5 bar, maker's sheet, sheet 4", "Right drive shaft boot cracked", "Plate nut fitted on 20 March.",
			"missing T30 bit: broken, thrown away", "Step 6, Oil cooler: gasket face", "The photo is not here", "The log", "To look at again"}, nil},
		"ready list of a finished job": {func(s *job.State, o Options, trace *[]placed) ([]byte, error) {
			return readyList(s, job.Ready(s, garage.Shelf{}), o, trace)
		}, finished(t).state(), testOptions(), []string{"Every step is done: nothing more is needed"}, []string{"Not stated"}},
		"record of an open job": {record, halfApart(t).state(), testOptions(), []string{
			"Not released.", "Open now", "Undertray is still off", "not done", "Tools: not counted"}, []string{"Released by"}},
		"record of a job with a noise": {record, withNoise(t), testOptions(), []string{
			"Sound clips", "Before the repair, 12 s: cold start (step 6, Oil cooler)", "file aabbccddeeff of the export"}, nil},
		"sheet in other units and another zone": {sheet, halfApart(t).state(), imperial, []string{
			"8 N·m", "(5.9 lbf·ft conv.)", "maker's sheet, sheet 1", "torque not known: look it up", "common practice", "own measurement", "7 Mar 2026, 11:33"}, nil},
		"sheet of a finished job":       {sheet, finished(t).state(), testOptions(), []string{"missing T30 bit", "Odometer 84,212 km Signed Nell Okafor"}, nil},
		"cautions at the step":          {sheet, planned(t).state(), testOptions(), []string{"DANGER", "WARNING", "Stop: ", "(in full at step 2)"}, nil},
		"sheet of a job without a plan": {sheet, jobs(t)["empty"], testOptions(), []string{"Nothing is planned yet", "Complaint Squeals"}, []string{invented}},
		"tag of a paused job": {tag, jobs(t)["crowded"], testOptions(), []string{
			"DO NOT START", "DO NOT DRIVE", "waiting for a gasket", "until Friday", "Left arm", "Engine: no oil", "Heater", "Panel"}, nil},
		"signs that the type lacks": {sheet, jobs(t)["right to left"], testOptions(), []string{"◊◊◊◊ ◊◊◊◊◊ (front)", "stands for a sign"}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			pdf, err := test.print(test.state, test.opt, nil)
			text := strings.Join(pages(t, pdf, err), "\n")
			for _, want := range test.want {
				if !strings.Contains(text, want) {
					t.Errorf("it does not say %q; it says:\n%s", want, text)
				}
			}
			for _, not := range test.not {
				if strings.Contains(text, not) {
					t.Errorf("it says %q", not)
				}
			}
		})
	}
}

func TestReadyListTellsNoneFromNotStated(t *testing.T) {
	r := job.Readiness{Missing: 1, Unknown: 1, Tight: true, NoReturn: &job.Step{Name: "Lower hose"}, Lists: []job.ReadyList{
		{ID: "tools", Title: "Tools", Lines: []job.ReadyLine{
			{Name: "T30 bit", Status: job.AtHand},
			{Name: "10 mm socket", Or: []string{"10 mm spanner"}, For: []string{"Undertray"}, Status: job.Missing}}},
		{ID: "parts", Title: "Parts", None: true},
		{ID: "pieces", Title: "Single-use pieces", NotKnown: []string{"Undertray"}},
		{ID: "fluids", Title: "Fluids to put in", Lines: []job.ReadyLine{{Name: "coolant", Need: "4.1 L", Short: "1.1 L", OnHand: "3 L", Status: job.NotKnownYet}}},
	}}
	pdf, err := ReadyList(planned(t).state(), r, testOptions())
	text := strings.Join(pages(t, pdf, err), "\n")
	for _, want := range []string{"T30 bit have", "10 mm socket MISSING", "or 10 mm spanner", "Parts\nNone.", "Not stated for: Undertray. Look for yourself.",
		"4.1 L of coolant", "1.1 L short", "on the shelf: 3 L", "1 thing is missing", "“Lower hose”", "Something is missing for a step after that."} {
		if !strings.Contains(text, want) {
			t.Errorf("it does not say %q; it says:\n%s", want, text)
		}
	}
}

func TestEveryPageIsNumberedAndMarkedAsInvented(t *testing.T) {
	for kind, print := range printers {
		pdf, err := print(finished(t).state(), testOptions(), nil)
		all := pages(t, pdf, err)
		for i, page := range all {
			if !strings.Contains(page, invented) {
				t.Errorf("%s, page %d does not say %q", kind, i+1, invented)
			}
			if want := "page " + string(rune('1'+i)) + " of " + string(rune('0'+len(all))); kind != "tag" && !strings.Contains(page, want) {
				t.Errorf("%s, page %d does not say %q", kind, i+1, want)
			}
		}
	}
}

func TestNoStepIsCutByAPage(t *testing.T) {
	for _, name := range []string{"planned", "12 steps", "80 steps", "long names"} {
		var trace []placed
		if _, err := sheet(jobs(t)[name], testOptions(), &trace); err != nil {
			t.Fatal(err)
		}
		at, lastPage := 0, 1 // lines seen on the page
		for _, p := range trace {
			if p.page != lastPage {
				at, lastPage = 0, p.page
			}
			at++
			head := 2 // the running head comes first, behind the mark of invented values
			if name == "planned" {
				head = 3
			}
			if p.page == 1 || at != head {
				continue
			}
			if atNumber, atEdge := near(p.left, margin+numberAt), near(p.left, margin); !atNumber && !atEdge && !strings.HasPrefix(p.text, "Point of no return") {
				t.Errorf("%s: page %d begins inside a step, with %q", name, p.page, p.text)
			}
		}
		if lastPage == 1 {
			t.Errorf("%s: everything is on one page, so nothing was tried", name)
		}
	}
}

func near(x, y float64) bool { return x-y < 0.01 && y-x < 0.01 }

func TestAPhotoTellsNothingButItsPicture(t *testing.T) {
	raw := testPhoto("aa11")
	secret := []byte("Exif\x00\x00 51.5000 N 0.1200 W, phone of Nell")
	segment := append([]byte{0xff, 0xe1, 0, byte(len(secret) + 2)}, secret...)
	raw = slices.Concat(raw[:2], segment, raw[2:])
	if _, _, err := image.Decode(bytes.NewReader(raw)); err != nil {
		t.Fatal(err)
	}
	opt := testOptions()
	opt.Photo = func(string) ([]byte, error) { return raw, nil }
	pdf, err := Record(finished(t).state(), opt)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(pdf, []byte("/DCTDecode")) {
		t.Error("there is no photo in the record")
	}
	if bytes.Contains(pdf, []byte("51.5000")) {
		t.Error("the place where the photo was taken is in the record")
	}
}

func TestPhotosThatCannotBePrintedSayWhy(t *testing.T) {
	var huge bytes.Buffer
	if err := png.Encode(&huge, image.NewGray(image.Rect(0, 0, 8000, 8000))); err != nil {
		t.Fatal(err)
	}
	damaged := testPhoto("aa11")[:600]
	for name, test := range map[string]struct {
		raw  []byte
		want string
	}{
		"no photo":        {[]byte("%PDF-1.7"), "not a photo"},
		"empty":           {nil, "not a photo"},
		"too many pixels": {huge.Bytes(), "too many pixels"},
		"cut off":         {damaged, "damaged"},
	} {
		got := shrink(test.raw, map[int]bool{})
		if got.jpeg != nil || !strings.Contains(got.why, test.want) {
			t.Errorf("%s: got %q, want something with %q", name, got.why, test.want)
		}
	}
}

func TestPrintable(t *testing.T) {
	for _, test := range []struct {
		in, want string
		lacking  bool
	}{
		{"Undertray", "Undertray", false},
		{"Ölwanne für Łódź", "Ölwanne für Łódź", false},
		{"8 N·m ± 2 °C × ½ µm", "8 N·m ± 2 °C × ½ μm", false},
		{"10\u202fmm\u2011hex", "10 mm-hex", false},
		{"🔧 wrench", "◊ wrench", true},
		{"👩🏽\u200d🔧", "◊◊", true},
		{"\u202eevil\u202c", "evil", false},
		{"a\x00b\xff", "ab◊", true},
		{"two\nlines", "two\nlines", false},
		{"", "", false},
	} {
		if got, lacking := printable(test.in); got != test.want || lacking != test.lacking {
			t.Errorf("printable(%q) = %q, %v; want %q, %v", test.in, got, lacking, test.want, test.lacking)
		}
	}
}

func TestWrapKeepsEveryWord(t *testing.T) {
	c := newCanvas(document{}, &Options{}, 1)
	for _, text := range []string{"one", "some words that have to be broken into several lines", strings.Repeat("Unterfahrschutz", 20), "short then " + strings.Repeat("x", 200) + " then short", "a\nb"} {
		for _, w := range []float64{5, 20, 60} {
			lines := c.wrap(styleText, text, w, 0)
			if got, want := strings.Join(strings.Fields(strings.Join(lines, "")), ""), strings.Join(strings.Fields(text), ""); got != want {
				t.Errorf("at %v mm: %q became %q", w, text, lines)
			}
			for _, l := range lines {
				if got := c.measure(styleText, l); got > w+0.001 {
					t.Errorf("at %v mm: %q is %.1f mm wide", w, l, got)
				}
			}
		}
	}
}

func TestTraysKeepTheLettersOfTheRecord(t *testing.T) {
	s := halfApart(t).state()
	got := trays(s)
	for step, want := range map[string]string{"down/tray": "A", "down/pipe": "B", "down/cooler": "C", "up/cooler": "C", "up/tray": "A", "down/hose": ""} {
		if got[step] != want {
			t.Errorf("tray of %s is %q, want %q", step, got[step], want)
		}
	}
	for n, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 51: "AZ", 52: "BA", 701: "ZZ", 702: "AAA"} {
		if got := letter(n); got != want {
			t.Errorf("letter(%d) = %q, want %q", n, got, want)
		}
	}
}

// Formulas are written with Greek letters, small figures and signs of
// arithmetic, names in more alphabets than one.
func TestFormulasAndNamesPrintWithAllTheirSigns(t *testing.T) {
	for _, text := range []string{"η ≈ 0.9, σ ≤ 640 MPa, ΔT = t₂ − t₁", "x² · √(b₀) ≠ ∞", "Łódź, Ćuprija, Ağrı", "Болт крышки", "Φλάντζα"} {
		if got, lacking := printable(text); lacking || got != text {
			t.Errorf("%q is printed as %q", text, got)
		}
	}
	if got, lacking := printable("ברגים"); !lacking || got != "◊◊◊◊◊" {
		t.Errorf("letters that nothing here can set come out as %q, said to lack %v", got, lacking)
	}
	for _, g := range all.Registry().Groups() {
		for _, d := range g.Calculations() {
			printsWithAllSigns(t, d)
		}
	}
}

func printsWithAllSigns(t *testing.T, d *calc.Definition) {
	t.Helper()
	out, err := d.Run(d.Example)
	if err != nil {
		t.Fatalf("%s: %v", d.Name, err)
	}
	said := []string{d.Title, d.About, strings.Join(out.Cautions, " "), strings.Join(out.Notes, " ")}
	for _, s := range d.Sources {
		said = append(said, s.Text)
	}
	for _, s := range out.Steps {
		said = append(said, s.Title, s.Formula, s.Filled)
	}
	for _, a := range out.Asked {
		said = append(said, a.Input.Title, a.Show())
	}
	for _, r := range out.Results {
		said = append(said, r.Output.Title, r.Why, r.Show())
	}
	for _, text := range said {
		if _, lacking := printable(text); lacking {
			t.Errorf("%s cannot be printed with all its signs: %q", d.Name, text)
		}
	}
}

func TestASignFromTheOtherTypeTakesItsOwnWidth(t *testing.T) {
	opt := testOptions()
	c := newCanvas(document{what: "x", title: "x"}, &opt, 1)
	whole := c.measure(styleText, "a₂b")
	if sum := c.measure(styleText, "a") + c.measure(styleText, "₂") + c.measure(styleText, "b"); math.Abs(whole-sum) > 1e-6 || whole <= c.measure(styleText, "ab") {
		t.Errorf("a line of both types is %g mm wide, its parts %g", whole, sum)
	}
}
