package paper

import (
	"fmt"
	"strings"

	"lastbolt/job"
	"lastbolt/job/caution"
)

// cautions are the panels of a step still to be done, the highest word first, as
// the job gives them for the state it is in. A caution is printed in full where it
// first matters; after that its word and title stand at the step, with the number
// of the step that has the rest. The check of a DANGER is to be ticked every time
// but where the vehicle only stays up from an earlier step, which has the tick.
func (p *stepper) cautions(st *job.Step) []block {
	if st.IsDone() {
		return nil
	}
	var out []block
	for _, t := range p.s.CautionsAhead(st.ID) {
		if _, told := p.told[t.ID]; told && t.ByState {
			t.Check = ""
		}
		out = append(out, p.panel(st, t.Text))
	}
	if own := unknownHazards(st.Hazards); len(own) > 0 {
		out = append(out, p.framed(p.para(styleBold, "Take care: "+strings.Join(own, ", "), p.inner()-4, 3), p.inner(), 0.4))
	}
	return out
}

// unknownHazards are words of a map that no caution goes with; they are shown
// as they are.
func unknownHazards(triggers []string) []string {
	var own []string
	for _, t := range triggers {
		if t != "" && !caution.Known(t) {
			own = append(own, t)
		}
	}
	return own
}

// panel is one caution. Its weight is in the ink: DANGER white on black,
// WARNING in a heavy frame, CAUTION in a light one, NOTICE in a dashed one.
func (p *stepper) panel(st *job.Step, t caution.Text) block {
	const wordWide, pad = 27.0, 2.0
	w := p.inner() - wordWide - 3*pad
	rows := []block{p.para(styleBold, t.Title, w, 2)}
	if at, told := p.told[t.ID]; told {
		rows[0] = p.para(styleBold, fmt.Sprintf("%s (in full at step %d)", t.Title, at), w, 2)
	} else {
		p.told[t.ID] = p.number[st.ID]
		rows = append(rows, p.para(styleText, t.Text, w, 0), p.para(styleBold, "Stop: "+t.Stop, w, 0), p.para(styleTiny, t.SourceText(), w, 3))
	}
	if check := t.HoldText(); check != "" {
		const side = 5.4
		rows = append(rows, gap(0.8), beside(p.tick(side, false), indent(side+2, p.para(styleBold, check, w-side-2, 0))))
	}
	body := stack(rows...)
	h := max(body.h, 7) + 2*pad
	return block{h, func(x, y float64) {
		p.panelPen(t.Word)
		p.pdf.Rect(x, y, p.inner(), h, "D")
		st := style{size: 12.5, bold: true}
		if t.Word == caution.Danger {
			st.grey = 255
			p.pdf.SetFillColor(0, 0, 0)
			p.pdf.Rect(x, y, wordWide, h, "F")
		}
		p.lineIn(x+1, y+pad, wordWide-2, "C", st, string(t.Word))
		p.pen(0.3)
		body.draw(x+wordWide+pad, y+pad)
	}}
}

func (p *stepper) panelPen(w caution.Word) {
	switch w {
	case caution.Danger, caution.Warning:
		p.pen(0.9)
	case caution.Caution:
		p.pen(0.35)
	default:
		p.pen(0.35, 1.4, 1.1)
	}
}
