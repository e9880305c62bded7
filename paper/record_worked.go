package paper

import (
	"strings"

	"lastbolt/quantity"
)

// worked are the answers of calculations kept in the job, each with what it was
// asked and what its numbers rest on.
func (p *recorder) worked() {
	var rows []block
	for _, w := range p.s.Worked {
		var asked, answers []string
		for _, line := range w.Asked {
			asked = append(asked, line.Title+" "+strings.ReplaceAll(line.Value, "\n", " / "))
		}
		for _, line := range w.Answer {
			answers = append(answers, line.Title+": "+line.Value+" ("+string(line.Basis)+")")
		}
		rows = append(rows, p.row(w.Title, joined("; ", answers...), w.Verdict, "Asked with "+joined("; ", asked...), p.by(w.By, w.At)))
	}
	p.section("Worked out", rows, "")
}

// fluids are what came out and went in.
func (p *recorder) fluids() {
	var rows []block
	for _, b := range p.s.Fluids {
		if len(b.Caught)+len(b.Filled)+len(b.Levels) == 0 {
			continue
		}
		sum := quantity.Litre.Format(b.Out, 3) + " came out, " + quantity.Litre.Format(b.In, 3) + " went in"
		var lines []string
		for _, e := range b.Filled {
			lines = append(lines, joined(" ", e.Moved.Amount.String(), e.Moved.What))
		}
		for _, e := range b.Levels {
			lines = append(lines, "level after "+e.Level.After+": "+e.Level.Level)
		}
		rows = append(rows, p.row(b.Fluid, sum, joined("; ", lines...)))
	}
	p.section("Fluids, as measured", rows, "")
}

// belts are how each recorded belt runs.
func (p *recorder) belts() {
	var rows []block
	for _, r := range p.s.BeltRuns {
		sol, err := r.Solve()
		if err != nil {
			continue
		}
		rows = append(rows, p.row(r.Name, sol.Order(), joined("; ", string(r.Routing.Source), r.Routing.Where, p.by(r.RoutingBy, r.RoutingAt))))
	}
	p.section("How the belts run", rows, "")
}
