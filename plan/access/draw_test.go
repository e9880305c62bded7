package access

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func demo(t testing.TB) *Map {
	t.Helper()
	src, err := os.ReadFile("../../demo/tern.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return mustParse(t, "tern.yaml", src)
}

// wellFormed reads a drawing as XML and gives how often each item's box is in
// it.
func wellFormed(t failer, drawing []byte) map[string]int {
	t.Helper()
	boxes := map[string]int{}
	dec := xml.NewDecoder(bytes.NewReader(drawing))
	for {
		token, err := dec.Token()
		if token == nil {
			if err.Error() != "EOF" {
				t.Fatalf("not XML: %v\n%s", err, drawing)
			}
			return boxes
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		for _, a := range start.Attr {
			switch {
			case a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on"):
				t.Fatalf("the attribute %s on %s", a.Name.Local, start.Name.Local)
			case a.Name.Local == "data-item":
				boxes[a.Value]++
			case strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf"):
				t.Fatalf("%s=%q", a.Name.Local, a.Value)
			}
		}
	}
}

func TestEveryItemIsDrawnOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMap(t)
		opt := DrawOptions{Targets: []string{m.Items[0].ID}, Link: func(id string) string { return "/maps/m?item=" + id + "&x=1" }}
		if rapid.Bool().Draw(t, "plan") {
			opt.Chosen = map[string]string{m.Items[len(m.Items)-1].ID: "w0"}
		}
		drawing := Draw(m, opt)
		boxes := wellFormed(t, drawing)
		for _, it := range m.Items {
			if boxes[it.ID] != 1 {
				t.Fatalf("%s is drawn %d times", it.ID, boxes[it.ID])
			}
			if wellFormed(t, Around(m, it.ID, opt))[it.ID] != 1 {
				t.Fatalf("%s is not in the drawing around it", it.ID)
			}
		}
		if !bytes.Equal(drawing, Draw(m, opt)) {
			t.Fatal("drawing it twice differs")
		}
	})
}

func TestTheDemoDrawingHasNoBoxOverAnother(t *testing.T) {
	maps := []*Map{demo(t), starter(t, "accessory-drive", "cooling", "brake-corner", "suspension-arm", "starter-alternator")}
	for seed := range uint64(40) {
		maps = append(maps, randomTangle(rand.New(rand.NewPCG(seed, 2))))
	}
	for _, m := range maps {
		d := &drawing{m: m}
		d.choose()
		d.layout()
		for n, i := range d.items {
			a, ab := d.places[i], d.boxes[i]
			if a[0] < 0 || a[1] < headHeight || a[0]+boxWidth > d.width || a[1]+ab.h > d.height-legendHeight {
				t.Errorf("%s: %s at %v is outside %v × %v", m.Name, m.Items[i].ID, a, d.width, d.height)
			}
			for _, j := range d.items[:n] {
				b, bb := d.places[j], d.boxes[j]
				if a[0] < b[0]+boxWidth && b[0] < a[0]+boxWidth && a[1] < b[1]+bb.h && b[1] < a[1]+ab.h {
					t.Errorf("%s: %s lies over %s", m.Name, m.Items[i].ID, m.Items[j].ID)
				}
			}
		}
	}
}

func TestWhatIsInTheWayStandsToTheLeft(t *testing.T) {
	m := demo(t)
	d := &drawing{m: m}
	d.choose()
	d.layout()
	if len(d.links) < 40 {
		t.Fatalf("only %d lines", len(d.links))
	}
	for _, r := range d.lay.routes {
		if r.kind == always && d.places[r.from][0] >= d.places[r.to][0] {
			t.Errorf("%s is not left of %s", m.Items[r.from].ID, m.Items[r.to].ID)
		}
	}
}

func TestImpliedLinesAreLeftOutAndNothingElse(t *testing.T) {
	reach := func(links []link, n int) [][]bool {
		r := make([][]bool, n)
		for i := range r {
			r[i] = make([]bool, n)
		}
		for _, k := range links {
			if k.kind == always {
				r[k.from][k.to] = true
			}
		}
		for k := range n {
			for i := range n {
				for j := range n {
					r[i][j] = r[i][j] || r[i][k] && r[k][j]
				}
			}
		}
		return r
	}
	rng := rand.New(rand.NewPCG(7, 7))
	left := 0
	for range 300 {
		n := 3 + rng.IntN(7)
		var links []link
		for a := range n {
			for b := a + 1; b < n; b++ {
				if rng.IntN(3) == 0 {
					links = append(links, link{a, b, linkKind(rng.IntN(3))})
				}
			}
		}
		kept := withoutImplied(links, n)
		left += len(links) - len(kept)
		if before, after := fmt.Sprint(reach(links, n)), fmt.Sprint(reach(kept, n)); before != after {
			t.Fatalf("%v: what is always in the way changed:\n%s\n%s", links, before, after)
		}
	}
	if left == 0 {
		t.Error("no line was ever left out")
	}
}

func TestCrossingsAreCountedRight(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		l := &layering{v: make([]vertex, 12), layers: [][]int{rng.Perm(6), {}}}
		for _, p := range rng.Perm(6) {
			l.layers[1] = append(l.layers[1], 6+p)
		}
		var ends [][2]int
		place := func(layer []int, v int) int {
			for k, w := range layer {
				if w == v {
					return k
				}
			}
			return -1
		}
		for a := range 6 {
			for b := 6; b < 12; b++ {
				if rng.IntN(3) == 0 {
					l.v[a].right = append(l.v[a].right, b)
					ends = append(ends, [2]int{place(l.layers[0], a), place(l.layers[1], b)})
				}
			}
		}
		want := 0
		for i, e := range ends {
			for _, f := range ends[:i] {
				if (e[0]-f[0])*(e[1]-f[1]) < 0 {
					want++
				}
			}
		}
		if got := l.crossings(); got != want {
			t.Fatalf("got %d crossings, want %d", got, want)
		}
	}
}

func TestDrawingSaysWhenItIsTooMuchOrNothing(t *testing.T) {
	m := mustParse(t, "big.yaml", generated(MaxDrawn+1, func(int) string { return "" }))
	if got := string(Draw(m, DrawOptions{})); !strings.Contains(got, "301 items are too many to read") {
		t.Errorf("got %s", got)
	}
	if got := string(Draw(m, DrawOptions{Only: []string{}})); !strings.Contains(got, "nothing to draw") {
		t.Errorf("got %s", got)
	}
	if Around(m, "nowhere", DrawOptions{}) != nil {
		t.Error("an item that is not there is drawn")
	}
}

func TestTheLargestDrawingIsWellFormed(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	m := mustParse(t, "big.yaml", generated(MaxDrawn, func(i int) string {
		if i == 0 {
			return ""
		}
		return fmt.Sprintf(", needs: [item-%d, item-%d]", rng.IntN(i), max(0, i-1-rng.IntN(4)))
	}))
	start := time.Now()
	wellFormed(t, Draw(m, DrawOptions{}))
	t.Logf("%d items in %v", MaxDrawn, time.Since(start))
}

func TestWrapKeepsTheWordsAndTheWidth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := oneLine().Draw(t, "text")
		lines := wrap(text, 10, 100)
		if got, want := strings.Join(lines, ""), strings.Join(strings.Fields(text), ""); strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(want, " ", "") {
			t.Fatalf("wrap(%q) = %q", text, lines)
		}
		for _, line := range wrap(text, 10, 2) {
			if textWidth(line) > 10.5 {
				t.Fatalf("wrap(%q): the line %q is %.1f em", text, line, textWidth(line))
			}
		}
	})
}

func BenchmarkDrawDemo(b *testing.B) {
	m := demo(b)
	for b.Loop() {
		Draw(m, DrawOptions{})
	}
}

func BenchmarkParseDemo(b *testing.B) {
	src, err := os.ReadFile("../../demo/tern.yaml")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := Parse("tern.yaml", src); err != nil {
			b.Fatal(err)
		}
	}
}
