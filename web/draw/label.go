package draw

import (
	"math"
	"sort"
	"strconv"
)

// Label sizes and distances, CSS pixels.
const (
	labelSize   = 15
	labelPad    = 9  // from a knot's edge to its label
	labelAir    = 2  // kept free around every label
	labelStep   = 18 // from one staggered line to the next
	labelNudge  = 10 // a label may stand this much off its knot's height without a lead line
	labelSteps  = 7  // lines a label may move from its knot
	leastLetter = 5  // a name is not cut shorter than this
)

// labels decides where each knot's label stands. The rule, knot by knot, the
// most important first (now, in dispute, no return, the bottom, the ends, then
// the longest steps): the whole name with its minutes beside the knot, on the
// inner side of the valley, else on the outer, else staggered up or down by a
// line or two with a lead line; else without the minutes, and staggered as far
// as it takes; else shortened the same ways; else none, and the name is left to
// the link's title.
type labels struct {
	plan  *plan
	taken []Rect // knots, flags, and labels already placed
	view  Rect
}

// labelRounds is how often the labels are laid out anew, each time with those
// that came out short in the round before placed earlier. The best round counts.
// Beyond labelCrowd knots some names are bound to be cut, and one round does.
const (
	labelRounds = 4
	labelCrowd  = 32
)

// label returns the words and lead line of every site, by index.
func (p *plan) label() [][]Shape {
	var best [][]Shape
	least := -1
	early := map[int]bool{}
	rounds := labelRounds
	if len(p.sites) > labelCrowd {
		rounds = 1
	}
	for range rounds {
		out, short, faults := p.labelRound(p.byImportance(early))
		if least < 0 || faults < least {
			best, least = out, faults
		}
		if faults == 0 {
			break
		}
		for _, i := range short {
			early[i] = true
		}
	}
	return best
}

// labelRound places the labels in the given order. It returns also the sites
// whose name is cut or missing, and how bad that is.
func (p *plan) labelRound(order []int) (out [][]Shape, short []int, faults int) {
	l := labels{plan: p, view: Rect{2, 2, p.width - 2, p.height - 2}}
	for _, s := range p.sites {
		l.taken = append(l.taken, s.reach())
	}
	out = make([][]Shape, len(p.sites))
	for _, i := range order {
		s := p.sites[i]
		out[i] = l.put(s)
		switch {
		case s.Label == "" || says(out[i], s.Label):
			continue
		case out[i] == nil:
			faults += 3
		default:
			faults++
		}
		short = append(short, i)
	}
	return out, short, faults
}

func says(shapes []Shape, label string) bool {
	for _, s := range shapes {
		if s.Text == label {
			return true
		}
	}
	return false
}

// byImportance is the order in which labels take their places; those in early
// come before others of the ends and the rest.
func (p *plan) byImportance(early map[int]bool) []int {
	order := make([]int, len(p.sites))
	for i := range order {
		order[i] = i
	}
	rank := func(i int) int {
		s := p.sites[i]
		switch {
		case s.State == Now:
			return 0
		case s.State == Dispute:
			return 1
		case s.noReturn, s.bottom:
			return 2
		case early[i]:
			return 3
		case i == 0, i == len(p.sites)-1:
			return 4
		}
		return 5
	}
	sort.SliceStable(order, func(a, b int) bool {
		i, j := order[a], order[b]
		if rank(i) != rank(j) {
			return rank(i) < rank(j)
		}
		return sane(p.sites[i].Minutes, 0) > sane(p.sites[j].Minutes, 0)
	})
	return order
}

// wording is one way to write a label.
type wording struct {
	name, minutes string
	bold          bool
	width         float64 // of both with the gap between
}

func newWording(name, minutes string, bold bool) wording {
	w := wording{name, minutes, bold, TextWidth(name, labelSize, bold)}
	if minutes != "" {
		w.width += minuteGap + TextWidth(minutes, labelSize, false)
	}
	return w
}

const minuteGap = 6

func (l *labels) put(s site) []Shape {
	if s.Label == "" {
		return nil
	}
	positions := s.positions()
	for i, w := range s.wordings() {
		for _, pos := range positions {
			if i == 0 && math.Abs(pos.offset) > 2*labelStep {
				continue // close without its minutes says more than far off with them
			}
			if shapes, ok := l.try(s, w, pos); ok {
				return shapes
			}
		}
	}
	return nil
}

// wordings go from the whole label to the shortest that still says something.
func (s site) wordings() []wording {
	bold := s.State == Now || s.bottom
	var out []wording
	if m := sane(s.Minutes, 0); m > 0 {
		text := strconv.FormatFloat(max(m, 1), 'f', 0, 64)
		if m >= 99.5 {
			h := int(m+0.5) / 60
			text = strconv.Itoa(h) + " h " + twoDigits(int(m+0.5)%60)
		} else {
			text += " min"
		}
		out = append(out, newWording(s.Label, text, bold))
	}
	out = append(out, newWording(s.Label, "", bold))
	full := TextWidth(s.Label, labelSize, bold)
	for _, share := range []float64{0.75, 0.5, 0.3} {
		width := min(full*share, 260*share)
		if short := shorten(s.Label, labelSize, bold, width, leastLetter); short != "" && short != out[len(out)-1].name {
			out = append(out, newWording(short, "", bold))
		}
	}
	return out
}

func twoDigits(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}

// position is where a label stands relative to its knot.
type position struct {
	right  bool    // text begins at the knot and runs right; else it ends there
	below  bool    // centred under the knot
	offset float64 // of the line, downwards
}

// led reports whether the label stands so far off that a line leads to it.
func (p position) led() bool { return p.offset > labelNudge || p.offset < -labelNudge }

func (s site) positions() []position {
	if s.bottom {
		return []position{{below: true}, {right: true, offset: -labelStep}, {offset: -labelStep}}
	}
	inner := !s.up
	out := []position{{right: inner}, {right: inner, offset: -5}, {right: inner, offset: -labelNudge}}
	out = append(out, position{right: !inner}, position{right: !inner, offset: 5}, position{right: !inner, offset: labelNudge})
	for k := 1; k <= labelSteps; k++ {
		d := float64(k * labelStep)
		out = append(out, position{right: inner, offset: -d}, position{right: !inner, offset: d},
			position{right: !inner, offset: -d}, position{right: inner, offset: d})
	}
	return out
}

// try places the label if it meets nothing, and keeps its room.
func (l *labels) try(s site, w wording, pos position) ([]Shape, bool) {
	left, base := s.start(w, pos)
	box := Rect{left, base - textAbove*labelSize, left + w.width, base + textBelow*labelSize}
	if !box.within(l.view) || l.plan.curve.touches(box.grow(labelAir)) || l.isTaken(box.grow(labelAir)) {
		return nil, false
	}
	if !pos.led() {
		l.taken = append(l.taken, box)
		return w.shapes(left, base), true
	}
	lead, strip := s.lead(pos)
	if l.isTaken(strip) {
		return nil, false
	}
	l.taken = append(l.taken, box, strip)
	return append([]Shape{lead}, w.shapes(left, base)...), true
}

func (l *labels) isTaken(r Rect) bool {
	for _, t := range l.taken {
		if t.meets(r) {
			return true
		}
	}
	return false
}

// start is where the label's text begins, on its baseline. Staggered labels
// stand above or below the knot's own x, beside the lead line.
func (s site) start(w wording, pos position) (left, base float64) {
	base = s.at.Y + pos.offset + labelSize*(textAbove-textBelow)/2 - 1
	away := s.r + labelPad
	if pos.led() {
		away = 5
	}
	switch {
	case pos.below:
		return s.at.X - w.width/2, s.at.Y + s.r + labelPad + labelSize*textAbove + 4
	case pos.right:
		return s.at.X + away, base
	}
	return s.at.X - away - w.width, base
}

// shapes sets the label: name, then minutes.
func (w wording) shapes(left, base float64) []Shape {
	text := func(class, words string, x float64, bold bool) Shape {
		return Shape{Kind: Words, Class: class, Text: words, At: Point{x, base}, Size: labelSize, Bold: bold}
	}
	shapes := []Shape{text("name", w.name, left, w.bold)}
	if w.minutes != "" {
		shapes = append(shapes, text("min", w.minutes, left+w.width-TextWidth(w.minutes, labelSize, false), false))
	}
	return shapes
}

// lead is the line from the knot to a staggered label, and the room it takes.
func (s site) lead(pos position) (Shape, Rect) {
	from, to := s.at.Y-s.r-1, s.at.Y+pos.offset-6
	if pos.offset > 0 {
		from, to = s.at.Y+s.r+1, s.at.Y+pos.offset+6
	}
	line := Shape{Kind: Path, Class: "lead", Points: []Point{{s.at.X, from}, {s.at.X, to}}}
	// the end at the knot lies in the knot's own room: leave that out
	top, bottom := min(from, to), max(from, to)
	if pos.offset > 0 {
		top += 2
	} else {
		bottom -= 2
	}
	return line, Rect{s.at.X - 1, top, s.at.X + 1, bottom}
}
