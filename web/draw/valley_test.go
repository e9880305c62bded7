package draw

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

var names = []string{
	"Wheels up on stands", "Undertray", "Wheel, front left", "Battery earth off", "Charge pipe", "Belt shield",
	"Coolant down", "Lower hose", "Engine mount, right", "Relay box aside", "Filter housing", "Heat shield",
}

// job is n steps down and n up with the step `at` in hand.
func job(n, at int) Valley {
	v := Valley{NoReturn: min(3, n-1), Wide: true, Bottom: Knot{Label: "New seal in", Minutes: 10, Href: "/b"}}
	for i := range n {
		k := Knot{Label: names[i%len(names)], Minutes: float64(1 + (i*7)%23), Href: fmt.Sprintf("/step/%d", i)}
		up := k
		switch {
		case i == at:
			k.State = Now
		case i < at:
			k.State, up.State = Done, Owed
		}
		v.Down = append(v.Down, k)
		v.Up = append([]Knot{up}, v.Up...)
	}
	return v
}

func strip(v Valley) Valley {
	v.Wide = false
	return v
}

// words are the texts of a picture that belong to one label, as one box each.
func words(p Picture) []Rect {
	var boxes []Rect
	for _, g := range p.Groups {
		for _, s := range g.Shapes {
			if s.Kind == Words {
				boxes = append(boxes, s.Bounds())
			}
		}
	}
	return boxes
}

// crowding says what a reader would stumble over in the picture: words over
// words, knots or the line, or anything outside the view. It looks at the
// finished primitives alone, not at how they were placed.
func crowding(p Picture) []string {
	var faults []string
	view := Rect{0, 0, p.Width, p.Height}
	boxes := words(p)
	for i, a := range boxes {
		if !a.within(view) {
			faults = append(faults, fmt.Sprintf("words %v outside %v", a, view))
		}
		for _, b := range boxes[i+1:] {
			if a.meets(b) {
				faults = append(faults, fmt.Sprintf("words %v over words %v", a, b))
			}
		}
	}
	for _, g := range p.Groups {
		for _, s := range g.Shapes {
			if s.Kind == Words {
				continue
			}
			if !s.Bounds().within(view) {
				faults = append(faults, fmt.Sprintf("%s %v outside %v", s.Class, s.Bounds(), view))
			}
			for _, b := range boxes {
				if covers(s, b) {
					faults = append(faults, fmt.Sprintf("%s over words %v", s.Class, b))
				}
			}
		}
	}
	return faults
}

// covers reports whether the shape's ink enters the rectangle. Lines are
// walked in half-pixel steps.
func covers(s Shape, r Rect) bool {
	if s.Kind != Path {
		return s.Bounds().meets(r)
	}
	for i := 1; i < len(s.Points); i++ {
		a, b := s.Points[i-1], s.Points[i]
		n := int(2*math.Hypot(b.X-a.X, b.Y-a.Y)) + 1
		for k := range n + 1 {
			t := float64(k) / float64(n)
			x, y := a.X+(b.X-a.X)*t, a.Y+(b.Y-a.Y)*t
			if x > r.Left && x < r.Right && y > r.Top && y < r.Bottom {
				return true
			}
		}
	}
	return false
}

func TestLabelsNeverOverlapAndStayInTheView(t *testing.T) {
	for _, n := range []int{0, 1, 2, 3, 7, 12, 40, 80} {
		for _, at := range []int{-1, 0, n / 2, n - 1} {
			for _, width := range []float64{0, 640, 1600} {
				v := job(n, at)
				v.Width = width
				t.Run(fmt.Sprintf("%d steps, %d in hand, %v wide", n, at, width), func(t *testing.T) {
					for _, fault := range crowding(v.Layout()) {
						t.Error(fault)
					}
					for _, fault := range crowding(strip(v).Layout()) {
						t.Error("strip:", fault)
					}
				})
			}
		}
	}
}

func TestTheCheckForCrowdingSeesCrowding(t *testing.T) {
	word := Shape{Kind: Words, Text: "Undertray", At: Point{50, 50}, Size: 15}
	tests := map[string]Shape{
		"word":        {Kind: Words, Text: "Belt", At: Point{100, 55}, Size: 15},
		"knot":        {Kind: Circle, At: Point{60, 45}, Radius: 4},
		"line":        {Kind: Path, Points: []Point{{0, 0}, {100, 100}}},
		"out of view": {Kind: Circle, At: Point{199, 50}, Radius: 4},
	}
	for name, s := range tests {
		p := Picture{Width: 200, Height: 100, Groups: []Group{{Shapes: []Shape{word, s}}}}
		if len(crowding(p)) == 0 {
			t.Errorf("%s: crowding found nothing", name)
		}
	}
}

func TestRandomValleysAreReadable(t *testing.T) {
	knot := rapid.Custom(func(t *rapid.T) Knot {
		return Knot{
			Label:   rapid.StringN(0, 40, -1).Draw(t, "label"),
			Minutes: rapid.OneOf(rapid.Float64Range(0, 300), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), -5})).Draw(t, "minutes"),
			State:   KnotState(rapid.IntRange(int(ToCome), int(Dispute)).Draw(t, "state")),
			Href:    "/x",
		}
	})
	rapid.Check(t, func(t *rapid.T) {
		v := Valley{
			Down:     rapid.SliceOfN(knot, 0, 30).Draw(t, "down"),
			Bottom:   knot.Draw(t, "bottom"),
			Up:       rapid.SliceOfN(knot, 0, 30).Draw(t, "up"),
			NoReturn: rapid.IntRange(-1, 31).Draw(t, "noReturn"),
			Wide:     rapid.Bool().Draw(t, "wide"),
			Width:    rapid.SampledFrom([]float64{0, 320, 500, 900, math.NaN(), -3}).Draw(t, "width"),
			Height:   rapid.SampledFrom([]float64{0, 90, 200, 500}).Draw(t, "height"),
		}
		if faults := crowding(v.Layout()); len(faults) > 0 {
			t.Fatal(strings.Join(faults, "\n"))
		}
		if first, second := v.SVG(), v.SVG(); first != second {
			t.Fatal("the same valley is drawn in two ways")
		}
		if err := wellFormed(v.SVG()); err != nil {
			t.Fatal(err)
		}
	})
}

func TestEveryStepIsLabelledWhileThereIsRoom(t *testing.T) {
	// At twelve steps each way one name may be cut, none missing.
	cut := map[int]int{12: 1}
	for _, n := range []int{1, 3, 7, 10, 12} {
		p := job(n, n/2).Layout()
		got, all := 0, 0
		for _, g := range p.Groups {
			for _, s := range g.Shapes {
				if s.Class != "name" {
					continue
				}
				all++
				if !strings.HasSuffix(s.Text, "…") {
					got++
				}
			}
		}
		want := 2*n + 1
		if all != want || got < want-cut[n] {
			t.Errorf("%d steps: %d names, %d of them whole; want %d and at least %d", n, all, got, want, want-cut[n])
		}
	}
}

func TestTheStepInHandKeepsItsNameInACrowd(t *testing.T) {
	for _, at := range []int{0, 1, 39, 40, 79} {
		v := job(80, at)
		v.Down[at].Label = "The one in hand"
		if svg := v.SVG(); !strings.Contains(svg, ">The one in hand</text>") {
			t.Errorf("step %d of 80 in hand has no label", at)
		}
	}
}

func TestLongerStepsTakeMoreOfTheLine(t *testing.T) {
	v := Valley{Wide: true, NoReturn: -1, Down: []Knot{{Minutes: 5}, {Minutes: 30}, {Minutes: 5}}, Up: []Knot{{Minutes: 5}}}
	p := v.place()
	first, second, third := p.sites[1].at.X-p.sites[0].at.X, p.sites[2].at.X-p.sites[1].at.X, p.sites[3].at.X-p.sites[2].at.X
	if !(second > first) || math.Abs(first-third) > 1e-9 {
		t.Errorf("lengths for 5, 30, 5 min: %.1f, %.1f, %.1f px", first, second, third)
	}
}

func TestTheLineFallsToTheFloorAndRises(t *testing.T) {
	c := curve{left: 10, mid: 70, right: 300, top: 5, floor: 95}
	if c.y(10) != 5 || c.y(300) != 5 || c.y(70) != 95 {
		t.Errorf("ends and floor at %v, %v, %v, want 5, 5, 95", c.y(10), c.y(300), c.y(70))
	}
	for x := 11.0; x <= 300; x++ {
		if rising := c.y(x) < c.y(x-1); rising != (x > 70) {
			t.Fatalf("at %v the line goes the wrong way", x)
		}
	}
}

func TestAStripCanBeTappedAnywhereWithAFinger(t *testing.T) {
	for _, n := range []int{1, 3, 12, 40, 80} {
		v := strip(job(n, n/2))
		for i := range v.Up {
			v.Up[i].Href = "/up"
		}
		var covered float64
		for _, g := range v.Layout().Groups {
			if g.Href == "" {
				continue
			}
			w := g.Hit.Right - g.Hit.Left
			if w < leastTap {
				t.Errorf("%d steps: an area %.1f px wide, want at least %d", n, w, leastTap)
			}
			covered += w
		}
		if math.Abs(covered-stripWidth) > 0.01 {
			t.Errorf("%d steps: areas cover %.1f px of %d", n, covered, stripWidth)
		}
		if svg := v.SVG(); n > 1 && !strings.Contains(svg, fmt.Sprintf(`href="/step/%d"`, n/2)) {
			t.Errorf("%d steps: the step in hand cannot be reached", n)
		}
	}
}

func TestNamesSayStateAndSide(t *testing.T) {
	v := job(4, 2)
	v.Down[3].State = Dispute
	got := map[string]bool{}
	for _, g := range v.Layout().Groups {
		got[g.Name] = true
	}
	for _, want := range []string{
		"Wheels up on stands, 1 min, done",
		"Wheel, front left, 15 min, now",
		"Battery earth off, 22 min, records disagree, after this the vehicle cannot be driven",
		"Undertray, back on, 8 min, still to go back on",
		"New seal in, 10 min, to come",
	} {
		if !got[want] {
			t.Errorf("no knot is called %q among %v", want, got)
		}
	}
}

func TestSVGIsSafeToPutIntoAPage(t *testing.T) {
	v := Valley{Wide: true, NoReturn: -1, Bottom: Knot{Label: "x", Href: "javascript:alert(1)"}, Down: []Knot{
		{Label: `</svg><script>alert("&")</script>`, Href: `/a"onload="x`},
		{Label: "elsewhere", Href: "//other.example/"},
		{Label: "here", Href: "?step=1:2"},
	}}
	svg := v.SVG()
	if err := wellFormed(svg); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"<script", "javascript:", "other.example", `"onload`, "style="} {
		if strings.Contains(svg, bad) {
			t.Errorf("svg contains %q", bad)
		}
	}
	if !strings.Contains(svg, `href="?step=1:2"`) {
		t.Error("a link within the program was lost")
	}
}

// wellFormed reads the text to its end as XML.
func wellFormed(svg string) error {
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		switch _, err := d.Token(); err {
		case nil:
		case io.EOF:
			return nil
		default:
			return err
		}
	}
}

func FuzzShorten(f *testing.F) {
	f.Add("Engine mount, right", 80.0)
	f.Add("e\u0301e\u0301e\u0301e\u0301e\u0301e\u0301 👩\u200d🔧👩\u200d🔧", 60.0)
	f.Fuzz(func(t *testing.T, s string, width float64) {
		s = oneLine(s)
		got := shorten(s, labelSize, false, width, leastLetter)
		if got == "" || got == s {
			return
		}
		if w := TextWidth(got, labelSize, false); w > width {
			t.Errorf("shorten(%q, %v) = %q, %v wide", s, width, got, w)
		}
		if !strings.HasPrefix(s, strings.TrimSuffix(got, "…")) {
			t.Errorf("shorten(%q) = %q is not its beginning", s, got)
		}
	})
}

func BenchmarkLayout(b *testing.B) {
	for _, n := range []int{12, 40, 80} {
		v := job(n, n/2)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				v.Layout()
			}
		})
	}
}
