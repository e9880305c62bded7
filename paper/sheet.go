package paper

import (
	"cmp"
	"fmt"
	"strings"

	"lastbolt/job"
	"lastbolt/plan/opening"
)

// Sheet is the job sheet: the job on paper, to work from under the vehicle.
// Each step has a box to tick, its counts to write in, and on the way back its
// torque with the source.
func Sheet(s *job.State, opt Options) ([]byte, error) { return sheet(s, opt, nil) }

func sheet(s *job.State, opt Options, trace *[]placed) ([]byte, error) {
	d := document{what: "Job sheet", title: s.Title, invented: s.Invented, trace: trace}
	return render(d, &opt, func(c *canvas) {
		c.jobHead(s)
		c.place(gap(2))
		c.place(c.valley(s, c.width()))
		c.place(c.para(styleSmall, valleyKey(s), c.width(), 3))
		p := c.steps(s)
		for _, phase := range []opening.Phase{opening.Down, opening.Bottom, opening.Up} {
			p.phase(phase)
		}
		if len(s.Steps) == 0 {
			c.place(c.para(styleText, "Nothing is planned yet and nothing has been taken off.", c.width(), 2))
		}
		p.prove()
	})
}

// jobHead is the top of the first page: what job this is.
func (c *canvas) jobHead(s *job.State) {
	w := c.width()
	code := gap(0)
	if b, ok := c.code(c.opt.JobURL, 26); ok {
		code = indent(w-26, b)
		w -= 30
	}
	rows := []block{
		c.para(styleSmall, c.what, w, 1),
		c.para(styleTitle, s.Title, w, 3),
		gap(1),
	}
	fact := func(label, value string) {
		const labelWidth = 26.0
		rows = append(rows, beside(c.para(styleText, label, labelWidth-1, 1), indent(labelWidth, c.para(styleBold, value, w-labelWidth, 3))))
	}
	fact("Vehicle", cmp.Or(s.Vehicle, "not stated"))
	if s.VIN != "" {
		fact("VIN", s.VIN)
	}
	fact("Odometer", cmp.Or(s.Odometer, "not read"))
	fact("Complaint", cmp.Or(s.Complaint, "not stated"))
	var targets []string
	for _, t := range s.Targets {
		targets = append(targets, joined(": ", cmp.Or(t.Name, t.Item), string(t.Action)))
	}
	fact("To do", cmp.Or(strings.Join(targets, "; "), "not stated"))
	if !s.Started.IsZero() {
		fact("Begun", c.opt.day(s.Started))
	}
	if s.MapName != "" {
		version := ""
		if s.MapVersion > 0 {
			version = fmt.Sprintf(", version %d", s.MapVersion)
		}
		fact("Access map", s.MapName+version)
	} else if s.NoMap {
		fact("Access map", "none: recorded as it goes")
	}
	c.place(beside(stack(rows...), code))
}

// valleyKey says in a line what the picture and the sheet add up to.
func valleyKey(s *job.State) string {
	p := s.Progress
	text := fmt.Sprintf("%s down, %s up", plural(p.DownTotal, "step", "steps"), plural(p.BackTotal, "step", "steps"))
	if p.TotalPlanMinutes > 0 {
		text += ", about " + minutesText(p.TotalPlanMinutes) + " of hand work"
	}
	if s.Plan != nil && s.Plan.Minutes > 0 {
		text += fmt.Sprintf(", %s with set-up and waiting", minutesText(s.Plan.Minutes))
	}
	if p.Done > 0 {
		text += fmt.Sprintf("; %d of %d done", p.Done, p.Total)
	}
	return text + "."
}

// phase places the steps of one side of the valley.
func (p *stepper) phase(phase opening.Phase) {
	first := true
	for i, st := range p.s.Steps {
		if st.Phase != phase {
			continue
		}
		head, rows := p.step(st)
		again := stack(p.para(styleName, fmt.Sprintf("%d, continued", p.number[st.ID]), p.width(), 1), gap(1))
		if i == p.s.NoReturn {
			head = stack(p.noReturn(), head)
		}
		if first { // a title never stands alone at the foot of a page
			first = false
			head = stack(gap(3), p.heading(phaseTitles[phase], ""), gap(2), head)
		}
		p.keep(head, again, rows)
	}
}

// noReturn is the line before the step after which the vehicle stands.
func (p *stepper) noReturn() block {
	text := "Point of no return: once the next step is done, the vehicle cannot be driven. Is everything at hand?"
	body := p.para(styleBold, text, p.width()-14, 3)
	return stack(block{body.h + 3.4, func(x, y float64) {
		p.pen(1.1, 3, 1.6)
		p.pdf.Line(x, y+0.8, x+p.width(), y+0.8)
		p.pen(0.6)
		p.pdf.Line(x+3, y+2, x+3, y+2+7)
		p.pdf.SetFillColor(0, 0, 0)
		p.pdf.MoveTo(x+3, y+2)
		p.pdf.LineTo(x+9, y+3.8)
		p.pdf.LineTo(x+3, y+5.6)
		p.pdf.ClosePath()
		p.pdf.DrawPath("F")
		body.draw(x+12, y+2.4)
	}}, gap(2.5))
}
