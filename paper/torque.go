package paper

import (
	"cmp"
	"strings"

	"lastbolt/plan/access"
)

const torqueWidth = 58.0

// torque is a torque with its source. A value from a known source stands large
// beside its mark; one that is not known is a dashed box to write it in, so
// that the two cannot be taken for each other.
func (c *canvas) torque(t access.Torque) block {
	if t.Value.IsZero() {
		return c.torqueUnknown(t)
	}
	text := joined(" ", t.Value.String(), t.Then)
	converted := strings.TrimPrefix(t.Value.In(c.opt.Units.Torque), t.Value.String()+" ")
	if converted == t.Value.String() {
		converted = ""
	}
	words, known := sourceWords[t.Source]
	if !known {
		words = "source not known: look it up"
	}
	if t.Where != "" {
		words += ", " + t.Where
	}
	var value block
	switch clean, _ := printable(text); {
	case t.Source == access.CommonPractice || !known:
		value = c.para(styleText, text, torqueWidth-8, 3) // never in the type of a specification
	case t.Then != "" && c.measure(styleName, clean) > torqueWidth-8: // words about the tightening are not part of the figure
		value = stack(c.para(styleName, t.Value.String(), torqueWidth-8, 2), c.para(styleBold, t.Then, torqueWidth-8, 3))
	default:
		value = c.para(styleName, text, torqueWidth-8, 3)
	}
	b := stack(value, c.para(styleText, converted, torqueWidth-8, 2), c.para(styleTiny, words, torqueWidth-8, 3))
	return beside(c.sourceMark(t.Source), indent(7, b))
}

func (c *canvas) torqueUnknown(t access.Torque) block {
	box := block{9, func(x, y float64) {
		c.pen(0.4, 1.4, 1.1)
		c.pdf.Rect(x, y, torqueWidth-1, 8.4, "D")
		c.pen(0.3)
		c.lineIn(x, y+1.9, torqueWidth-4, "R", styleText, cmp.Or(t.Then, "N·m"))
	}}
	return stack(box, c.para(styleTiny, "torque not known: look it up, write it in", torqueWidth-1, 2))
}

// sourceMark is the small sign of a source: filled square for the maker's
// sheet, book, ruler, open square, dotted square.
func (c *canvas) sourceMark(s access.Source) block {
	const side = 3.8
	return block{side + 1.6, func(x, y float64) {
		y += 1.4
		c.pen(0.4)
		switch s {
		case access.Maker:
			c.pdf.SetFillColor(0, 0, 0)
			c.pdf.Rect(x, y, side, side, "FD")
		case access.Published: // an open book
			c.pdf.Rect(x, y, side/2, side, "D")
			c.pdf.Rect(x+side/2, y, side/2, side, "D")
		case access.Measured: // a ruler
			c.pdf.Rect(x, y+side*0.25, side+1, side*0.5, "D")
			for i := 1; i < 5; i++ {
				at := x + float64(i)*(side+1)/5
				c.pdf.Line(at, y+side*0.25, at, y+side*0.5)
			}
		case access.Computed:
			c.pdf.Rect(x, y, side, side, "D")
		case access.CommonPractice:
			c.pen(0.4, 0.4, 0.6)
			c.pdf.Rect(x, y, side, side, "D")
		default:
			c.pen(0.4, 1.2, 0.8)
			c.pdf.Rect(x, y, side, side, "D")
		}
		c.pen(0.3)
	}}
}
