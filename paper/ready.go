package paper

import (
	"cmp"
	"fmt"
	"strings"

	"lastbolt/job"
)

// ReadyList prints what has to be at hand before the first bolt: list by list
// what is needed, what is there and what is missing, each with a box to tick.
// A list that is empty says whether that is a "none" or only not stated.
func ReadyList(s *job.State, r job.Readiness, opt Options) ([]byte, error) {
	return readyList(s, r, opt, nil)
}

func readyList(s *job.State, r job.Readiness, opt Options, trace *[]placed) ([]byte, error) {
	d := document{what: "Ready list", title: s.Title, invented: s.Invented, trace: trace}
	return render(d, &opt, func(c *canvas) {
		c.jobHead(s)
		c.place(gap(3))
		if n := s.Progress.Total; n > 0 && s.Progress.Done == n {
			c.place(c.framed(c.para(styleName, "Every step is done: nothing more is needed for them.", c.width()-4, 3), c.width(), 0.6))
		} else {
			c.place(c.readySum(r))
			for _, l := range r.Lists {
				c.readyPart(l)
			}
		}
		c.shopping(r.Along)
	})
}

// readySum is the answer in a frame: how much is missing, and that there is no
// fetching it later.
func (c *canvas) readySum(r job.Readiness) block {
	text := "Everything known to be needed is at hand."
	switch {
	case r.Missing > 0 && r.Unknown > 0:
		text = fmt.Sprintf("%s missing; of %s it is not known whether there is enough.", plural(r.Missing, "thing is", "things are"), plural(r.Unknown, "more", "more"))
	case r.Missing > 0:
		text = plural(r.Missing, "thing is", "things are") + " missing."
	case r.Unknown > 0:
		text = fmt.Sprintf("Of %s it is not known whether there is enough.", plural(r.Unknown, "thing", "things"))
	}
	inner := c.width() - 4
	rows := []block{c.para(styleName, text, inner, 3)}
	if r.NoReturn != nil {
		rows = append(rows, c.para(styleText, "After “"+r.NoReturn.Name+"” the vehicle cannot be driven to fetch anything.", inner, 3))
	}
	if r.Tight {
		rows = append(rows, c.para(styleBold, "Something is missing for a step after that.", inner, 2))
	}
	return c.framed(stack(rows...), c.width(), 0.6)
}

// readyPart is one list.
func (c *canvas) readyPart(l job.ReadyList) {
	var rows []block
	for _, line := range l.Lines {
		rows = append(rows, c.readyLine(line))
	}
	if len(l.Lines) == 0 && (l.None || len(l.NotKnown) == 0) {
		text := "None by the map."
		if l.None {
			text = "None."
		}
		rows = append(rows, c.para(styleText, text, c.width(), 1))
	}
	if len(l.NotKnown) > 0 {
		rows = append(rows, c.para(styleText, "Not stated for: "+strings.Join(l.NotKnown, ", ")+". Look for yourself.", c.width(), 4))
	}
	head := stack(gap(3), c.heading(l.Title, ""), gap(2), rows[0])
	c.place(head)
	for _, r := range rows[1:] {
		c.place(r)
	}
}

var readyWords = map[job.ReadyStatus]string{
	job.AtHand: "have", job.Missing: "MISSING", job.OnOrder: "ordered, not here", job.NotKnownYet: "enough?",
}

// readyLine is one thing: box, how many of what, and how it stands.
func (c *canvas) readyLine(l job.ReadyLine) block {
	const side, status = 5.6, 40.0
	w := c.width() - side - 3 - status - 3
	name := l.Name
	if l.Need != "" {
		name = l.Need + " × " + l.Name
		if strings.Contains(l.Need, " ") { // an amount with its unit
			name = l.Need + " of " + l.Name
		}
	}
	text := []block{c.para(styleBold, name, w, 3)}
	if len(l.Or) > 0 {
		text = append(text, c.para(styleSmall, "or "+strings.Join(l.Or, ", or "), w, 2))
	}
	if l.Odds > 0 {
		text = append(text, c.para(styleSmall, fmt.Sprintf("needed about %d times in 100: %s", int(l.Odds*100+0.5), l.Note), w, 2))
	} else if l.Note != "" {
		text = append(text, c.para(styleSmall, l.Note, w, 2))
	}
	if len(l.For) > 0 {
		text = append(text, c.para(styleSmall, "for "+strings.Join(l.For, ", "), w, 2))
	}
	state := []block{c.para(style{size: styleBold.size, bold: l.Status != job.AtHand}, cmp.Or(readyWords[l.Status], string(l.Status)), status, 1)}
	if l.Short != "" {
		state = append(state, c.para(styleSmall, l.Short+" short", status, 1))
	}
	if l.OnHand != "" {
		state = append(state, c.para(styleSmall, "on the shelf: "+l.OnHand, status, 2))
	}
	return stack(beside(c.tick(side, l.Status == job.AtHand), indent(side+3, stack(text...)), indent(c.width()-status, stack(state...))), gap(2.2))
}

// shopping is what was found necessary once it was open.
func (c *canvas) shopping(lines []job.ReadyLine) {
	for i, l := range lines {
		row := c.readyLine(l)
		if i == 0 {
			row = stack(gap(3), c.heading("Found necessary along the way", ""), gap(2), row)
		}
		c.place(row)
	}
}
