package paper

import (
	"cmp"
	"fmt"
	"strings"

	"lastbolt/job"
)

// Labels prints a label for the tray or bag of every step that takes pieces
// off: its letter, the step's number on the sheet, what it is, how many pieces
// of which thread, and a code that opens the item's page. Dashed lines are
// for the scissors.
func Labels(s *job.State, opt Options) ([]byte, error) { return labels(s, opt, nil) }

// The grid of labels, in millimetres.
const (
	labelHigh = 52.0
	labelEdge = 4.0
)

func labels(s *job.State, opt Options, trace *[]placed) ([]byte, error) {
	d := document{what: "Labels", title: s.Title, invented: s.Invented, trace: trace}
	return render(d, &opt, func(c *canvas) {
		p := c.steps(s)
		var list []*job.Step
		for _, st := range s.Steps {
			if st.Opens && pieces(st) > 0 {
				list = append(list, st)
			}
		}
		if len(list) == 0 {
			c.place(c.heading("Labels", ""))
			c.place(c.para(styleText, "There is nothing to label: no step of this job is known to take pieces off.", c.width(), 3))
			return
		}
		w := c.width() / 2
		for i := 0; i < len(list); i += 2 {
			row := p.label(list[i], w)
			if i+1 < len(list) {
				row = beside(row, indent(w, p.label(list[i+1], w)))
			}
			c.place(row)
		}
	})
}

// label is one label with its cut lines.
func (p *stepper) label(st *job.Step, w float64) block {
	return block{labelHigh, func(x, y float64) {
		// Neighbours draw the edge they share from the same end, so that its
		// dashes fall together.
		p.pen(0.2, 1.5, 1.5)
		p.pdf.Line(x, y, x+w, y)
		p.pdf.Line(x, y+labelHigh, x+w, y+labelHigh)
		p.pdf.Line(x, y, x, y+labelHigh)
		p.pdf.Line(x+w, y, x+w, y+labelHigh)
		p.pen(0.3)
		x, y, inner := x+labelEdge, y+labelEdge, w-2*labelEdge
		code, hasCode := gap(0), false
		if p.opt.ItemURL != nil {
			code, hasCode = p.code(p.opt.ItemURL(st.Item), 25)
		}
		side := inner
		if hasCode {
			side -= code.h + 1
			code.draw(x+inner-code.h+2, y-2)
		}
		tray := cmp.Or(p.tray[st.ID], "?")
		p.lineIn(x, y-1, min(side, 40), "L", style{size: 38, bold: true}, tray)
		p.lineIn(x, y+15, side, "L", styleBold, fmt.Sprintf("step %d", p.number[st.ID]))
		name := p.para(styleName, st.Name, side, 2)
		if hasCode {
			name = p.para(styleName, st.Name, inner, 1)
		}
		at := y + 20.5
		if hasCode {
			at = y + 23
		}
		name.draw(x, at)
		at += name.h
		p.labelGroups(st, x, at, inner, y+labelHigh-2*labelEdge)
	}}
}

// labelGroups lists the pieces in the space down to the floor; where they do
// not all fit, the last line says how many more groups there are.
func (p *stepper) labelGroups(st *job.Step, x, y, w, floor float64) {
	var lines []string
	for _, g := range st.Groups {
		if g.Loosen {
			continue
		}
		n := g.Want
		if g.OutKnown {
			n = g.Out
		}
		count, thread := fmt.Sprintf("%d × ", n), p.opt.threadText(g.Fastener)
		line := joined(", ", count+g.Name, thread)
		tooWide := func() bool {
			clean, _ := printable(line)
			return thread != "" && p.measure(styleText, clean) > w
		}
		if tooWide() { // the source's own unit alone, as on the bolt
			own := Options{}
			thread = own.threadText(g.Fastener)
			line = joined(", ", count+g.Name, thread)
		}
		if tooWide() {
			line = count + thread + ": " + g.Name // the thread is not what is cut
		}
		lines = append(lines, line)
	}
	for _, st := range []style{styleText, styleSmall} { // the largest in which nothing is cut
		var whole []string
		for _, l := range lines {
			whole = append(whole, p.wrap(st, l, w, 0)...)
		}
		if len(whole) <= int((floor-y)/st.line()) {
			p.labelLines(whole, x, y, w, st)
			return
		}
	}
	fits := int((floor - y) / styleText.line())
	if len(lines) > fits && fits > 0 {
		lines = append(lines[:fits-1:fits-1], "and "+plural(len(lines)-fits+1, "more group", "more groups"))
	}
	p.labelLines(lines, x, y, w, styleText)
}

func (p *stepper) labelLines(lines []string, x, y, w float64, st style) {
	for _, l := range lines {
		p.lineIn(x, y, w, "L", st, strings.TrimSpace(l))
		y += st.line()
	}
}
