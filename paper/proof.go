package paper

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"lastbolt/job"
)

// prove is the end of the sheet: values to write in, tools to count, and who
// signs.
func (p *stepper) prove() {
	var rows []block
	for _, t := range p.s.Tests {
		rows = append(rows, p.test(t))
	}
	w := p.width()
	if len(rows) == 0 {
		rows = append(rows, stack(p.para(styleText, "Tests follow from what was really opened: print the sheet again before proving.", w, 2), gap(1)))
	}
	var back, missing, odometer, signed string
	if t := p.s.Tools; t != nil {
		back, missing = strconv.Itoa(t.Counted), cmp.Or(strings.Join(t.Missing, ", "), "none")
	}
	if r := p.s.Release; r != nil {
		odometer, signed = r.Odometer, r.Who
	}
	rows = append(rows,
		stack(gap(1), beside(p.writeIn("Tools out", "", 44), indent(50, p.writeIn("back", back, 34)), indent(90, p.writeIn("missing", missing, w-90)))),
		stack(gap(1.5), beside(p.writeIn("Odometer", odometer, 84), indent(90, p.writeIn("Signed", signed, w-90)))))
	head := stack(gap(3), p.heading("Prove, then release", "what was measured or seen"), gap(2))
	if len(rows) > 4 { // long lists may run over a page: the title with the first
		p.place(stack(head, rows[0]))
		for _, r := range rows[1:] {
			p.place(r)
		}
		return
	}
	p.keep(head, head, rows)
}

// test is one test: how, its limits with their source, and a box for the
// value, or the words it can have, each with a box to tick.
func (p *stepper) test(t job.Test) block {
	const box = 46.0
	w := p.width() - box - 4
	name := t.Name
	if t.Danger {
		name += " (must pass before release)"
	}
	text := []block{p.para(styleBold, name, w, 3), p.para(styleText, t.How, w, 4), p.para(styleSmall, limits(t), w, 3)}
	value := p.writeIn("", "", box)
	if t.Unit != "" {
		value = p.writeIn("", "", box-18)
		value = beside(value, indent(box-16.5, stack(gap(1.9), p.para(styleText, t.Unit, 16, 1))))
	}
	read := ""
	if n := len(t.Readings); n > 0 {
		read = t.Readings[n-1].Value
		value = stack(p.para(styleBold, strings.TrimSpace(read+" "+t.Unit), box, 3), gap(1))
	}
	if len(t.Words) > 0 && (read == "" || slices.ContainsFunc(t.Words, func(c job.Choice) bool { return c.Text == read })) {
		var words []block
		for _, choice := range t.Words {
			words = append(words, p.choice(choice.Text, choice.Text == read, box))
		}
		value = stack(words...)
	}
	return stack(beside(stack(text...), indent(p.width()-box, value)), p.rule(p.width()))
}

func (p *stepper) choice(text string, chosen bool, w float64) block {
	const side = 4.6
	return stack(beside(p.tick(side, chosen), indent(side+2, p.para(styleText, text, w-side-2, 3))), gap(1))
}

// limits says between what a value passes, and who says so.
func limits(t job.Test) string {
	number := func(x *float64) string { return strconv.FormatFloat(*x, 'f', -1, 64) + " " + t.Unit }
	var text string
	switch {
	case t.Low != nil && t.High != nil:
		text = number(t.Low) + " to " + number(t.High)
	case t.Low != nil:
		text = "at least " + number(t.Low)
	case t.High != nil:
		text = "at most " + number(t.High)
	case t.Unit != "":
		text = "limits not known: look them up"
	}
	source, known := sourceWords[t.Source]
	if !known && text != "" {
		source = "source not known"
	}
	return joined(", ", strings.TrimSpace(text), source, t.Where)
}
