package paper

import (
	"bytes"
	"compress/zlib"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lastbolt/job"
	"lastbolt/quantity"
)

// nine are nine bolts at uneven places, in millimetres, of three lengths.
var nine = []struct {
	x, y   float64
	length string
}{
	{20, 15, "25 mm"}, {75, 8, "25 mm"}, {130, 22, "35 mm"}, {152, 60, "25 mm"}, {138, 101, "50 mm"},
	{96, 118, "25 mm"}, {48, 112, "35 mm"}, {12, 84, "50 mm"}, {9, 47, "25 mm"},
}

// boltedJob is a job with the cooler's nine bolts on a map, grown by a factor.
func boltedJob(t *testing.T, grown float64, scale bool) *job.State {
	m := newJob(t)
	m.add(job.KindStarted, job.Started{Title: "Oil cooler reseal", Vehicle: "Tern van 1.4"})
	m.add(job.KindPlanned, smallPlan())
	width := 170 * grown
	set := job.BoltMapSet{Item: "cooler", Aspect: 0.8, Count: 9}
	if scale {
		w, err := quantity.Write(quantity.Millimetres(width), quantity.Millimetre, 6)
		if err != nil {
			t.Fatal(err)
		}
		set.From, set.To, set.Distance = &job.Point{}, &job.Point{X: 1}, w
	}
	m.add(job.KindBoltMap, set)
	var ids []string
	for i, b := range nine {
		length := quantity.MustParse[quantity.Length](b.length)
		hidden := i == 7
		m.add(job.KindBolt, job.BoltSet{Item: "cooler", N: i + 1, At: &job.Point{X: b.x * grown / width, Y: b.y * grown / width}, Length: &length, Thread: "M6", Hidden: &hidden})
		ids = append(ids, m.events[len(m.events)-1].ID)
	}
	keep := true
	m.add(job.KindBolt, job.BoltSet{Item: "cooler", N: 10, At: &job.Point{X: 80 * grown / width, Y: 60 * grown / width}, Keep: &keep, Note: "holds the valve"})
	m.add(job.KindBoltOrder, job.BoltOrdered{Item: "cooler", Loosen: ids, Passes: []job.BoltPass{{Share: 0.5, Order: ids}, {Share: 1, Order: ids}}, Check: ids, Source: "computed"})
	return m.state()
}

// A ring is a circle drawn in a PDF, in millimetres from the top left corner.
type ring struct{ x, y, r float64 }

// drawn measures a PDF page by page: its circles (runs of curves)
// and its straight lines, from the content streams themselves.
func drawn(t *testing.T, pdf []byte, heightMM float64) (rings [][]ring, lines [][][4]float64) {
	t.Helper()
	for _, m := range regexp.MustCompile(`(?s)/Filter /FlateDecode /Length (\d+)>>\s*stream\r?\n`).FindAllSubmatchIndex(pdf, -1) {
		n, err := strconv.Atoi(string(pdf[m[2]:m[3]]))
		if err != nil {
			t.Fatal(err)
		}
		z, err := zlib.NewReader(bytes.NewReader(pdf[m[1] : m[1]+n]))
		if err != nil {
			continue
		}
		content, err := io.ReadAll(z)
		if err != nil || !bytes.Contains(content, []byte(" c\n")) && !bytes.Contains(content, []byte(" l")) || bytes.Contains(content, []byte("begincmap")) {
			continue
		}
		r, l := shapes(string(content), heightMM)
		rings, lines = append(rings, r), append(lines, l)
	}
	return rings, lines
}

var operator = regexp.MustCompile(`((?:-?[\d.]+\s+)+)(m|l|c)\b`)

func shapes(content string, heightMM float64) (rings []ring, lines [][4]float64) {
	var xs, ys []float64
	var px, py float64
	curves := 0
	flush := func() {
		if curves >= 4 {
			x, y := (slices.Min(xs)+slices.Max(xs))/2, (slices.Min(ys)+slices.Max(ys))/2
			rings = append(rings, ring{x, y, (slices.Max(xs) - slices.Min(xs)) / 2})
		}
		xs, ys, curves = nil, nil, 0
	}
	for _, op := range operator.FindAllStringSubmatch(content, -1) {
		var n []float64
		for _, f := range strings.Fields(op[1]) {
			v, _ := strconv.ParseFloat(f, 64)
			n = append(n, v*25.4/72)
		}
		if len(n) < 2 {
			continue
		}
		x, y := n[len(n)-2], heightMM-n[len(n)-1]
		switch op[2] {
		case "m":
			flush()
			xs, ys = []float64{x}, []float64{y}
		case "l":
			lines = append(lines, [4]float64{px, py, x, y})
		case "c":
			xs, ys = append(xs, x), append(ys, y)
			curves++
		}
		px, py = x, y
	}
	flush()
	return rings, lines
}

// The card is true to 0.2 mm, measured from the PDF: every distance between two
// holes, every hole's width, and the rule.
func TestABoltCardIsTrueToSize(t *testing.T) {
	for name, size := range map[string]Size{"A4": A4, "Letter": Letter} {
		t.Run(name, func(t *testing.T) {
			opt := testOptions()
			opt.Paper = size
			pdf, err := BoltCard(boltedJob(t, 1, true), "cooler", opt)
			if err != nil {
				t.Fatal(err)
			}
			_, h := size.mm()
			rings, lines := drawn(t, pdf, h)
			if len(rings) != 1 || len(rings[0]) != 10 {
				t.Fatalf("%d pages, circles %v; want one page with ten", len(rings), rings)
			}
			holes := rings[0]
			for i := range nine {
				for j := range i {
					want := math.Hypot(nine[i].x-nine[j].x, nine[i].y-nine[j].y)
					got := math.Hypot(holes[i].x-holes[j].x, holes[i].y-holes[j].y)
					if math.Abs(got-want) > 0.2 {
						t.Errorf("bolts %d and %d are %.3f mm apart on the card, want %.3f", i+1, j+1, got, want)
					}
				}
				if math.Abs(holes[i].r-3) > 0.1 {
					t.Errorf("the hole of bolt %d is %.3f mm across, want 6", i+1, 2*holes[i].r)
				}
			}
			if !slices.ContainsFunc(lines[0], func(l [4]float64) bool { return math.Abs(math.Abs(l[2]-l[0])-100) < 0.05 && l[1] == l[3] }) {
				t.Error("there is no rule of 100 mm on it")
			}
		})
	}
}

func TestALargePartGoesOnSeveralSheetsTrueToSize(t *testing.T) {
	pdf, err := BoltCard(boltedJob(t, 2, true), "", testOptions())
	if err != nil {
		t.Fatal(err)
	}
	_, h := A4.mm()
	rings, _ := drawn(t, pdf, h)
	if len(rings) < 2 {
		t.Fatalf("%d sheets, want several", len(rings))
	}
	for page, holes := range rings {
		want := math.Hypot(2*(nine[3].x-nine[8].x), 2*(nine[3].y-nine[8].y))
		if got := math.Hypot(holes[3].x-holes[8].x, holes[3].y-holes[8].y); math.Abs(got-want) > 0.2 {
			t.Errorf("sheet %d: bolts 4 and 9 are %.3f mm apart, want %.3f", page+1, got, want)
		}
	}
}

func TestABoltCardThatCannotBeTrueIsRefused(t *testing.T) {
	for name, row := range map[string]struct {
		s    *job.State
		item string
		want string
	}{
		"no scale":  {boltedJob(t, 1, false), "cooler", "has no scale"},
		"too large": {boltedJob(t, 9, true), "cooler", "would take"},
		"no map":    {boltedJob(t, 1, true), "tray", "no bolt map"},
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := BoltCard(row.s, row.item, testOptions()); err == nil || !strings.Contains(err.Error(), row.want) {
				t.Errorf("got %v, want an error that says %q", err, row.want)
			}
		})
	}
}

func TestTheLabelsOfACardDoNotOverlap(t *testing.T) {
	var trace []placed
	if _, err := boltCard(boltedJob(t, 1, true), "cooler", testOptions(), &trace); err != nil {
		t.Fatal(err)
	}
	if len(trace) < 20 {
		t.Fatalf("only %d lines of type on the card", len(trace))
	}
	for i, a := range trace {
		for _, b := range trace[:i] {
			if a.page == b.page && a.left < b.right-0.1 && b.left < a.right-0.1 && a.top < b.bottom-0.4 && b.top < a.bottom-0.4 {
				t.Errorf("%q lies on %q", a.text, b.text)
			}
		}
	}
}

func TestTheSheetShowsTheMapAndItsOrder(t *testing.T) {
	var trace []placed
	if _, err := sheet(boltedJob(t, 1, true), testOptions(), &trace); err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, p := range trace {
		all = append(all, p.text)
	}
	text := strings.Join(all, " ")
	for _, want := range []string{"5 × 25 mm, 2 × 35 mm, 2 × 50 mm", "Crack, then take out", "Pass 1: 50 %: ", "10: look alike"} {
		if !strings.Contains(text, want) {
			t.Errorf("the job sheet does not say %q", want)
		}
	}
}

// A label beside a hole near the rim stands inside it, not across it.
func TestTheLabelsOfACardKeepOffTheOutline(t *testing.T) {
	card, err := newBoltSheet(boltedJob(t, 1, true).BoltMap("cooler"), A4)
	if err != nil {
		t.Fatal(err)
	}
	mm := card.m.MM()
	rim := func(x, y float64) job.Point { return job.Point{X: x / mm, Y: y / mm} }
	card.m.Outline = []job.Point{rim(20, 20), rim(120, 20), rim(120, 120), rim(20, 120)}
	opt := testOptions()
	c := newCanvas(document{what: "Bolt card"}, &opt, 1)
	edge := card.edge(0, 0)
	if n := len(edge); n < 400 {
		t.Fatalf("%d pieces of an outline of 400 mm", n)
	}
	for _, hole := range [][2]float64{{110, 70}, {30, 70}, {70, 110}, {70, 30}, {110, 110}} {
		at := c.labelAt(hole[0], hole[1], []string{"5", "M8 × 65 mm"}, edge)
		for _, e := range edge {
			if at.over(e) > 0 {
				t.Errorf("the label of the hole at %v lies on the outline", hole)
				break
			}
		}
	}
}
