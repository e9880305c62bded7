package paper

import (
	"fmt"
	"strings"

	"lastbolt/calc"
	"lastbolt/calc/figure"
)

// Answer prints a calculation's answer: what was asked, what came out, its
// drawing as large as the page allows, the working and the sources.
func Answer(out *calc.Outcome, opt Options) ([]byte, error) {
	d := document{what: "Worked out", title: out.Definition.Title}
	return render(d, &opt, func(c *canvas) {
		c.place(stack(c.para(styleTitle, out.Definition.Title, c.width(), 2), c.para(styleText, out.Definition.About, c.width(), 4), gap(3)))
		for _, v := range out.Verdicts {
			c.place(stack(c.framed(c.para(styleName, v.Level.Word()+" "+v.Say, c.width()-4, 0), c.width(), 0.6), gap(2)))
		}
		for _, text := range out.Cautions {
			c.place(stack(c.framed(c.para(styleBold, "CAUTION: "+text, c.width()-4, 0), c.width(), 0.5), gap(2)))
		}
		c.place(stack(gap(2), c.heading("Answer", ""), gap(2)))
		for _, r := range out.Results {
			if r.Output.Kind != calc.Table {
				c.place(c.answerRow(r))
			}
		}
		for _, f := range out.Figures {
			c.place(stack(gap(4), c.drawing(f, c.width(), c.figureRoom(f)), gap(2)))
		}
		for _, r := range out.Results {
			if r.Output.Kind == calc.Table {
				c.answerTable(r)
			}
		}
		c.askedRows(out)
		for _, n := range out.Notes {
			c.place(stack(gap(1.5), c.para(styleText, n, c.width(), 0)))
		}
		c.working(out)
	})
}

// figureRoom is how high a figure may be: what is left of this page where that
// is enough to read it, otherwise most of the next one. A figure at true scale
// is never made smaller than it must be.
func (c *canvas) figureRoom(f *figure.Figure) float64 {
	const whole, enough = 190, 110
	if left := c.floor() - c.y - 6; !f.TrueScale && left >= enough {
		return min(left, whole)
	}
	return whole
}

// answerRow is one output: its name, its value and what it rests on. Advice is
// in small type, never like a specification.
func (c *canvas) answerRow(r calc.Result) block {
	const half = 78
	st := styleName
	if r.Basis == calc.Advice {
		st = styleText
	}
	basis := string(r.Basis)
	if r.Why != "" {
		basis += ": " + r.Why
	}
	right := stack(c.para(st, r.Show(), c.width()-half, 0), c.para(styleSmall, basis, c.width()-half, 0), gap(1.5))
	return beside(c.para(styleText, r.Output.Title, half-4, 0), indent(half, right))
}

func (c *canvas) answerTable(r calc.Result) {
	if len(r.Rows) == 0 {
		return
	}
	widths := c.columnWidths(r, c.width())
	row := func(st style, cells []string) block {
		var all []block
		x := 0.0
		for i, text := range cells {
			all = append(all, indent(x, c.para(st, text, widths[i]-2, 0)))
			x += widths[i]
		}
		return stack(beside(all...), gap(1.2))
	}
	var titles []string
	for _, o := range r.Output.Columns {
		titles = append(titles, o.Title)
	}
	head := stack(gap(3), c.heading(r.Output.Title, ""), gap(2), row(styleSmall, titles))
	var rows []block
	for _, cells := range r.Rows {
		var texts []string
		for _, cell := range cells {
			texts = append(texts, cell.Show())
		}
		rows = append(rows, row(styleText, texts))
	}
	c.keep(head, row(styleSmall, titles), rows)
}

// columnWidths gives each column the width of its longest text where there is
// room; else the widest columns are narrowed, none below its longest word while
// that can be helped.
func (c *canvas) columnWidths(r calc.Result, w float64) []float64 {
	const apart = 2.5
	widths, least := make([]float64, len(r.Output.Columns)), make([]float64, len(r.Output.Columns))
	sum := 0.0
	for i, o := range r.Output.Columns {
		take := func(st style, text string, whole bool) {
			if whole {
				widths[i] = max(widths[i], c.measure(st, text)+apart)
			}
			for word := range strings.FieldsSeq(text) {
				least[i] = max(least[i], c.measure(st, word)+apart)
			}
		}
		take(styleSmall, o.Title, false)
		for _, row := range r.Rows {
			take(styleText, row[i].Show(), true)
		}
		widths[i] = max(widths[i], least[i])
		sum += widths[i]
	}
	for sum > w {
		widest, spare := -1, 0.5
		for i := range widths {
			if over := widths[i] - least[i]; over > spare {
				widest, spare = i, over
			}
		}
		if widest < 0 {
			break
		}
		cut := min(spare, max(sum-w, 0.5), max(spare/2, 0.5))
		widths[widest] -= cut
		sum -= cut
	}
	for i := range widths {
		widths[i] *= w / sum
	}
	return widths
}

func (c *canvas) askedRows(out *calc.Outcome) {
	above := stack(gap(4), c.heading("What was asked", ""), gap(2))
	for _, a := range out.Asked {
		if a.Text == "" {
			continue
		}
		text := a.Show()
		if a.Assumed {
			text += " (taken because nothing was given)"
		}
		row := beside(c.para(styleText, a.Input.Title, 74, 0), indent(78, c.para(styleText, text, c.width()-78, 0)))
		c.place(stack(above, row)) // a heading never stands alone at a page's end
		above = gap(0)
	}
}

func (c *canvas) working(out *calc.Outcome) {
	for i, s := range out.Steps {
		rows := []block{c.para(styleText, fmt.Sprintf("%d. %s", i+1, s.Title), c.width(), 0)}
		for _, line := range []string{s.Formula, s.Filled} {
			if line != "" {
				rows = append(rows, indent(6, c.para(styleSmall, line, c.width()-6, 0)))
			}
		}
		if i == 0 {
			rows = append([]block{gap(4), c.heading("The working", ""), gap(2)}, rows...)
		}
		c.place(stack(append(rows, gap(1))...))
	}
	var sources []string
	for _, s := range out.Definition.Sources {
		sources = append(sources, s.Text+" ("+string(s.Known)+")")
	}
	c.place(stack(gap(4), c.para(styleSmall, "Sources: "+strings.Join(sources, "; ")+".", c.width(), 0)))
}
