package paper

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/calc/fastener"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/quantity"
)

// BoltCard prints the bolts of an item in true size, to push each bolt through
// at its own place. Without an item it prints a card for every bolt map of the
// job. A part larger than a sheet goes on several, to be joined at their marks.
// The error is a sentence where there is no map, no scale, or no paper large
// enough.
func BoltCard(s *job.State, item string, opt Options) ([]byte, error) {
	return boltCard(s, item, opt, nil)
}

// The measures of a card, in millimetres.
const (
	cardHead   = 30.0  // above the holes: title and rule
	cardFoot   = 14.0  // below them
	cardPad    = 14.0  // around the outermost bolts
	cardLap    = 15.0  // by which sheets overlap
	cardRule   = 100.0 // the rule to check the scale with
	mostSheets = 3     // across, and down
	holeRoom   = 9.0   // about a hole that no label covers
)

func boltCard(s *job.State, item string, opt Options, trace *[]placed) ([]byte, error) {
	var cards []*boltSheet
	for _, m := range s.BoltMaps {
		if item != "" && m.Item != item || item == "" && len(m.Bolts) == 0 {
			continue
		}
		card, err := newBoltSheet(m, opt.Paper)
		if err != nil {
			return nil, err
		}
		cards = append(cards, card)
	}
	if len(cards) == 0 {
		return nil, fault.New(fault.NotFound, "There is no bolt map to print a card of. Begin one at the step that takes the part off.")
	}
	d := document{what: "Bolt card", title: s.Title, invented: s.Invented, trace: trace}
	if wide := cards[0].wide; wide {
		w, h := opt.Paper.mm()
		d.w, d.h = h, w
	}
	return render(d, &opt, func(c *canvas) {
		for i, card := range cards {
			if i > 0 {
				c.newPage()
			}
			card.draw(c, s)
		}
	})
}

// A boltSheet is the holes of one map in millimetres, and the sheets they take.
type boltSheet struct {
	m                        *job.BoltMap
	left, top, width, height float64 // of the holes with room about them
	wide                     bool    // on a sheet turned on its side
	across, down             int     // sheets
}

func newBoltSheet(m *job.BoltMap, size Size) (*boltSheet, error) {
	mm := m.MM()
	switch {
	case len(m.Bolts) == 0:
		return nil, fault.New(fault.Bad, "There is no bolt on the map of %s yet: tap each one first.", m.Name)
	case mm == 0:
		return nil, fault.New(fault.Bad, "The map of %s has no scale, so its card would be of any size. Measure between two bolts, and write it under Scale.", m.Name)
	}
	b := &boltSheet{m: m}
	right, bottom := math.Inf(-1), math.Inf(-1)
	b.left, b.top = math.Inf(1), math.Inf(1)
	for _, bolt := range slices.Concat(m.Bolts, m.Keep) {
		x, y := bolt.At.X*mm, bolt.At.Y*mm
		b.left, right = min(b.left, x), max(right, x)
		b.top, bottom = min(b.top, y), max(bottom, y)
	}
	b.left, b.top = b.left-cardPad, b.top-cardPad
	b.width, b.height = right+cardPad-b.left, bottom+cardPad-b.top
	w, h := size.mm()
	upright, turned := sheetsFor(b.width, b.height, w, h), sheetsFor(b.width, b.height, h, w)
	b.across, b.down = upright[0], upright[1]
	if turned[0]*turned[1] < upright[0]*upright[1] {
		b.wide, b.across, b.down = true, turned[0], turned[1]
	}
	if b.across > mostSheets || b.down > mostSheets {
		return nil, fault.New(fault.Bad, "%s is %.0f by %.0f mm between its outermost bolts: in true size its card would take %d sheets. Use a piece of cardboard, and mark the holes through the part.",
			m.Name, b.width-2*cardPad, b.height-2*cardPad, b.across*b.down)
	}
	return b, nil
}

// cardSpace is the part of a page that holes are drawn on.
func cardSpace(w, h float64) (x, y, width, height float64) {
	return margin, margin + cardHead, w - 2*margin, h - 2*margin - cardHead - cardFoot
}

// sheetsFor is how many pages of w by h a card takes, across and down.
func sheetsFor(width, height, w, h float64) [2]int {
	_, _, pw, ph := cardSpace(w, h)
	n := func(need, have float64) int {
		if need <= have {
			return 1
		}
		return int(math.Ceil((need - cardLap) / (have - cardLap)))
	}
	return [2]int{n(width, pw), n(height, ph)}
}

func (b *boltSheet) draw(c *canvas, s *job.State) {
	x0, y0, pw, ph := cardSpace(c.w, c.h)
	for row := range b.down {
		for col := range b.across {
			if row+col > 0 {
				c.newPage()
			}
			b.head(c, s, row, col)
			// Alone on its sheet the card stands in the middle; of several each begins
			// where the one before ends, less the lap.
			dx, dy := x0-b.left+max(pw-b.width, 0)/2, y0-b.top
			if b.across > 1 {
				dx = x0 - b.left - float64(col)*(pw-cardLap)
			}
			if b.down > 1 {
				dy = y0 - b.top - float64(row)*(ph-cardLap)
			}
			c.pdf.ClipRect(x0, y0, pw, ph, false)
			b.holes(c, dx, dy)
			c.pdf.ClipEnd()
			b.laps(c, row, col)
			c.y = y0 + ph + 1
			c.line(c.left(), c.y, styleSmall, c.fit(styleSmall, b.footText(), c.width()))
		}
	}
}

func (b *boltSheet) footText() string {
	text := "Seen from the heads. Push each bolt through at its number."
	if b.m.Picture != "" {
		text += " Places come from a photo: right to the eye, not to drill by."
	}
	return text
}

// head is the title with the rules that prove the scale.
func (b *boltSheet) head(c *canvas, s *job.State, row, col int) {
	x, y := c.left(), margin+c.markHeight()
	w := c.width() - cardRule - 8
	c.line(x, y, styleHead, c.fit(styleHead, b.m.Name, w))
	c.para(styleText, plural(len(b.m.Bolts), "bolt", "bolts")+prefixedBy(": ", lengthSums(b.m)), w, 2).draw(x, y+7.6)
	sheet := s.Title
	if b.across*b.down > 1 {
		sheet = fmt.Sprintf("sheet %d of %d, row %d, column %d", row*b.across+col+1, b.across*b.down, row+1, col+1)
	}
	c.line(x, y+18.4, styleSmall, c.fit(styleSmall, sheet, w))
	rx := c.left() + c.width() - cardRule
	c.rule100(rx, y+3)
	c.lineIn(rx, y+9, cardRule, "L", styleSmall, "100 mm: measure it. Else print at 100 %, not fitted.")
}

// rule100 is a rule of 100 mm with a mark every ten, from its left end.
func (c *canvas) rule100(x, y float64) {
	c.pen(0.25)
	c.pdf.Line(x, y, x+cardRule, y)
	for i := 0; i <= 10; i++ {
		long := 2.2
		if i%5 == 0 {
			long = 4
		}
		at := x + float64(i)*cardRule/10
		c.pdf.Line(at, y, at, y+long)
	}
}

// laps are dashed lines where the next sheet is laid on.
func (b *boltSheet) laps(c *canvas, row, col int) {
	x0, y0, pw, ph := cardSpace(c.w, c.h)
	c.pen(0.2, 2, 1.5)
	if col+1 < b.across {
		c.pdf.Line(x0+pw-cardLap, y0, x0+pw-cardLap, y0+ph)
	}
	if row+1 < b.down {
		c.pdf.Line(x0, y0+ph-cardLap, x0+pw, y0+ph-cardLap)
	}
	if b.across*b.down > 1 {
		c.pen(0.15)
		c.pdf.Rect(x0, y0, pw, ph, "D")
	}
	c.pen(0.3)
}

// holes draws every bolt at its place; dx and dy lead from the map's own
// millimetres to the page's.
func (b *boltSheet) holes(c *canvas, dx, dy float64) {
	mm := b.m.MM()
	if len(b.m.Outline) > 2 {
		c.pen(0.2)
		c.path(b.m.Outline, func(p job.Point) (float64, float64) { return p.X*mm + dx, p.Y*mm + dy })
	}
	var taken []box
	edge := b.edge(dx, dy)
	all := slices.Concat(b.m.Bolts, b.m.Keep)
	for _, bolt := range all {
		x, y := bolt.At.X*mm+dx, bolt.At.Y*mm+dy
		taken = append(taken, box{x - holeRoom/2, y - holeRoom/2, holeRoom, holeRoom})
	}
	for i, bolt := range all {
		x, y := bolt.At.X*mm+dx, bolt.At.Y*mm+dy
		keep := i >= len(b.m.Bolts)
		c.hole(x, y, holeAcross(b.m, bolt)/2, keep)
		at := c.labelAt(x, y, b.lines(bolt, keep), slices.Concat(taken, edge))
		taken = append(taken, at)
		for n, l := range b.lines(bolt, keep) {
			st, top := styleSmall, at.y+styleName.line()+float64(n-1)*styleSmall.line()
			if n == 0 {
				st, top = styleName, at.y
			}
			c.line(at.x, top, st, l)
		}
	}
}

// edge is the outline as small pieces, for labels to keep off.
func (b *boltSheet) edge(dx, dy float64) []box {
	mm, out := b.m.MM(), b.m.Outline
	if len(out) <= 2 {
		return nil
	}
	var pieces []box
	for i, from := range out {
		to := out[(i+1)%len(out)]
		wide, high := (to.X-from.X)*mm, (to.Y-from.Y)*mm
		n := min(int(math.Hypot(wide, high))+1, 1000) // one a millimetre
		for k := range n {
			at := float64(k) / float64(n)
			pieces = append(pieces, box{from.X*mm + dx + at*wide - 0.5, from.Y*mm + dy + at*high - 0.5, 1, 1})
		}
	}
	return pieces
}

// lines is what stands beside a hole: its number, its length, its thread.
func (b *boltSheet) lines(bolt *job.Bolt, keep bool) []string {
	if keep {
		return []string{strconv.Itoa(bolt.N), "not this one"}
	}
	out := []string{strconv.Itoa(bolt.N)}
	what := joined(" × ", b.m.Fastener(bolt).Thread, bolt.Length.String())
	if what != "" {
		out = append(out, what)
	}
	if bolt.Hidden {
		out = append(out, "out of sight")
	}
	return out
}

// holeAcross is how wide a hole is drawn: the thread's diameter, 6 mm where it
// is not known.
func holeAcross(m *job.BoltMap, b *job.Bolt) float64 {
	if t, err := fastener.ParseThread(m.Fastener(b).Thread); err == nil {
		return t.Major.In(quantity.Millimetre)
	}
	return 6
}

// hole is a circle with its centre marked.
func (c *canvas) hole(x, y, radius float64, keep bool) {
	c.pen(0.3)
	if keep {
		c.pen(0.3, 1, 1)
	}
	c.pdf.Circle(x, y, radius, "D")
	c.pen(0.15)
	r := radius + 2
	if keep {
		c.pen(0.6)
		r = radius * 0.7
		c.pdf.Line(x-r, y-r, x+r, y+r)
		c.pdf.Line(x-r, y+r, x+r, y-r)
		c.pen(0.3)
		return
	}
	c.pdf.Line(x-r, y, x+r, y)
	c.pdf.Line(x, y-r, x, y+r)
	c.pen(0.3)
}

// A box is a piece of the page that something lies on.
type box struct{ x, y, w, h float64 }

func (b box) over(o box) float64 {
	w := min(b.x+b.w, o.x+o.w) - max(b.x, o.x)
	h := min(b.y+b.h, o.y+o.h) - max(b.y, o.y)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// labelAt is the place about a hole where a label covers least: right, left,
// below, above, then the corners.
func (c *canvas) labelAt(x, y float64, lines []string, taken []box) box {
	var w float64
	for i, l := range lines {
		st := styleSmall
		if i == 0 {
			st = styleName
		}
		w = max(w, c.measure(st, l))
	}
	h := styleName.line() + float64(len(lines)-1)*styleSmall.line()
	const off = holeRoom/2 + 0.8
	var best box
	least := math.Inf(1)
	for _, at := range []box{
		{x + off, y - h/2, w, h}, {x - off - w, y - h/2, w, h}, {x - w/2, y + off, w, h}, {x - w/2, y - off - h, w, h},
		{x + off, y + off, w, h}, {x - off - w, y + off, w, h}, {x + off, y - off - h, w, h}, {x - off - w, y - off - h, w, h},
	} {
		sum := 0.0
		for _, t := range taken {
			sum += at.over(t)
		}
		if at.x < margin || at.x+at.w > c.w-margin {
			sum += 1000
		}
		if sum < least {
			best, least = at, sum
		}
	}
	return best
}

// path draws a closed line through points.
func (c *canvas) path(points []job.Point, at func(job.Point) (float64, float64)) {
	c.pdf.MoveTo(at(points[0]))
	for _, p := range points[1:] {
		c.pdf.LineTo(at(p))
	}
	c.pdf.ClosePath()
	c.pdf.DrawPath("D")
}

// lengthSums says how many of which length: "5 × 25 mm, 2 × 35 mm".
func lengthSums(m *job.BoltMap) string {
	var out []string
	for _, l := range m.Lengths() {
		n := 0
		for _, b := range m.Bolts {
			if b.Length.Value == l.Value {
				n++
			}
		}
		out = append(out, fmt.Sprintf("%d × %s", n, l))
	}
	return strings.Join(out, ", ")
}

func prefixedBy(prefix, text string) string {
	if text == "" {
		return ""
	}
	return prefix + text
}

// boltName is a bolt as the sheet and the record name it.
func boltName(m *job.BoltMap, b *job.Bolt) string {
	return joined(", ", "bolt "+strconv.Itoa(b.N), cmp.Or(b.Length.String(), "length not known"), m.Fastener(b).Thread)
}
