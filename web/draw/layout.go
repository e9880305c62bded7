package draw

import (
	"fmt"
	"strings"
)

// leastTap is the least width of an area that answers a finger; WCAG 2.2,
// success criterion 2.5.8, asks for 24 CSS px.
const leastTap = 24

// Layout places everything and returns it as primitives.
func (v Valley) Layout() Picture {
	p := v.place()
	pic := Picture{Width: p.width, Height: p.height, Class: "valley-strip", Title: v.title(), Desc: v.desc()}
	c := p.curve
	line := []Shape{{Kind: Path, Class: "trace", Points: c.trace(c.left, c.right)}}
	if p.travelled > c.left {
		line = append(line, Shape{Kind: Path, Class: "run", Points: c.trace(c.left, p.travelled)})
	}
	pic.Groups = append(pic.Groups, Group{Shapes: line})

	words := make([][]Shape, len(p.sites))
	if v.Wide {
		pic.Class = "valley-wide"
		words = p.label()
	}
	if p.scale < 0.6 {
		pic.Class += " is-tight"
	}
	taps := p.taps(v.Wide, words)
	for _, i := range p.drawingOrder() {
		s := p.sites[i]
		g := Group{Name: s.name(), Shapes: append(s.shapes(), words[i]...)}
		if taps[i] != (Rect{}) {
			g.Href, g.Hit = s.Href, taps[i]
		}
		pic.Groups = append(pic.Groups, g)
	}
	return pic
}

// drawingOrder is left to right, but for the box and the step in hand, which
// are drawn last, over neighbours that stand close.
func (p *plan) drawingOrder() []int {
	var order, last []int
	for i, s := range p.sites {
		if s.bottom || s.State == Now {
			last = append(last, i)
		} else {
			order = append(order, i)
		}
	}
	return append(order, last...)
}

// taps are the areas that answer a tap, by site. On a strip they are upright
// slices over its whole height; where knots stand closer than a fingertip,
// neighbours share a slice that leads to the most important of them.
func (p *plan) taps(wide bool, words [][]Shape) []Rect {
	taps := make([]Rect, len(p.sites))
	if wide {
		for i, s := range p.sites {
			if s.Href == "" {
				continue
			}
			taps[i] = around(s.at, max(s.r+1, min(leastTap/2, 10*p.scale+2)))
			for _, w := range words[i] {
				if w.Kind == Words {
					b := w.Bounds()
					taps[i] = Rect{min(taps[i].Left, b.Left), min(taps[i].Top, b.Top), max(taps[i].Right, b.Right), max(taps[i].Bottom, b.Bottom)}
				}
			}
		}
		return taps
	}
	edge := func(i int) float64 { // where the slice of site i begins
		switch {
		case i == 0:
			return 0
		case i == len(p.sites):
			return p.width
		}
		return (p.sites[i-1].at.X + p.sites[i].at.X) / 2
	}
	for first := 0; first < len(p.sites); {
		next := first + 1
		for next < len(p.sites) && (edge(next)-edge(first) < leastTap || p.width-edge(next) < leastTap) {
			next++
		}
		if best := p.best(first, next); best >= 0 {
			taps[best] = Rect{edge(first), 0, edge(next), p.height}
		}
		first = next
	}
	return taps
}

// best is the most important site with a link in [first, next), or -1.
func (p *plan) best(first, next int) int {
	weight := map[KnotState]int{Now: 5, Dispute: 4, Owed: 2}
	best, most := -1, -1
	for i := first; i < next; i++ {
		s := p.sites[i]
		w := weight[s.State]
		if s.bottom {
			w = max(w, 3)
		}
		if s.Href != "" && w > most {
			best, most = i, w
		}
	}
	return best
}

var stateWords = map[KnotState]string{
	ToCome: "to come", Now: "now", Done: "done", Aside: "set aside", Owed: "still to go back on", Dispute: "records disagree",
}

// name says a site in words: for a link's title and for a screen reader.
func (s site) name() string {
	label := s.Label
	if label == "" {
		label = "Step"
	}
	parts := []string{label}
	if s.up {
		parts[0] += ", back on"
	}
	if m := sane(s.Minutes, 0); m > 0 {
		parts = append(parts, fmt.Sprintf("%.0f min", max(m, 1)))
	}
	parts = append(parts, stateWords[s.State])
	if s.noReturn {
		parts = append(parts, "after this the vehicle cannot be driven")
	}
	return strings.Join(parts, ", ")
}

func (v Valley) title() string {
	done, total, now := 0, 0, ""
	count := func(k Knot) {
		total++
		switch k.State {
		case Done, Aside:
			done++
		case Now:
			now = oneLine(k.Label)
		}
	}
	for _, k := range v.Down {
		count(k)
	}
	count(v.Bottom)
	for _, k := range v.Up {
		count(k)
	}
	text := fmt.Sprintf("The job: %d of %d steps done", done, total)
	if now != "" {
		text += ", now " + now
	}
	return text
}

func (v Valley) desc() string {
	owed := 0
	for _, k := range v.Up {
		if k.State == Owed {
			owed++
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Down, taking apart: %s. ", steps(len(v.Down)))
	if label := oneLine(v.Bottom.Label); label != "" {
		fmt.Fprintf(&b, "At the bottom: %s. ", label)
	}
	fmt.Fprintf(&b, "Up, putting back: %s", steps(len(v.Up)))
	if owed > 0 {
		fmt.Fprintf(&b, ", %d still to go back on", owed)
	}
	b.WriteString(".")
	if v.NoReturn >= 0 && v.NoReturn < len(v.Down) {
		fmt.Fprintf(&b, " After %s the vehicle cannot be driven.", oneLine(v.Down[v.NoReturn].Label))
	}
	return b.String()
}

func steps(n int) string {
	if n == 1 {
		return "1 step"
	}
	return fmt.Sprintf("%d steps", n)
}
