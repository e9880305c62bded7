package paper

import (
	"fmt"

	"lastbolt/calc/belt"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/quantity"
)

// BeltRuns prints how each recorded belt of a job runs: the drawing as large as
// the page allows, to be read from under the vehicle, and a box to tick for
// every pulley. Without a run there is nothing to print: a NotFound fault.
func BeltRuns(s *job.State, opt Options) ([]byte, error) {
	if len(s.BeltRuns) == 0 {
		return nil, fault.New(fault.NotFound, "No belt's run is recorded in this job yet: record it at the belt's step, then print it.")
	}
	d := document{what: "Belt run", title: s.Title, invented: s.Invented}
	return render(d, &opt, func(c *canvas) {
		for i, run := range s.BeltRuns {
			if i > 0 {
				c.newPage()
			}
			c.beltRun(run)
		}
	})
}

func (c *canvas) beltRun(run *job.BeltRun) {
	c.place(stack(c.para(styleTitle, run.Name, c.width(), 2), gap(2)))
	sol, err := run.Solve()
	switch {
	case sol != nil:
		c.place(stack(c.drawing(belt.Draw(sol), c.width(), 165), gap(2),
			c.para(styleSmall, "Seen from the front. Heavy line: the belt. Dashed: the side of its ribs. Arrows: the way it travels and turns.", c.width(), 2), gap(3)))
	default:
		if d, derr := run.Drive(); derr == nil {
			c.place(c.drawing(belt.DrawPulleys(&d), c.width(), 165))
		}
		if err != nil {
			c.place(c.framed(c.para(styleBold, sentenceOf(err), c.width()-4, 0), c.width(), 0.5))
		}
	}
	order, why := run.PutOnOrder()
	for i, p := range order {
		text := fmt.Sprintf("%d. %s", i+1, p.Name)
		if i == len(order)-1 && why != "" {
			text += " (on last: " + why + ")"
		}
		c.place(stack(beside(c.tick(5.5, run.Seated(p.ID)), indent(9, c.para(styleName, text, c.width()-9, 0))), gap(1.5)))
	}
	if sol != nil {
		facts := "Belt length over these pulleys: " + quantity.Millimetre.Format(sol.Effective, 4) + ", computed"
		if !run.Length.IsZero() {
			facts += ". Marked on the belt: " + run.Length.String()
		}
		if run.OneWay {
			facts += ". The belt runs one way only: its arrow with the arrows of the drawing"
		}
		how := "recorded before it came off"
		if run.Routing.Source != "own measurement" {
			how = "source: " + string(run.Routing.Source)
		}
		c.place(stack(gap(2), c.para(styleText, facts+". The run is "+how+".", c.width(), 0)))
	}
}

func sentenceOf(err error) string { return err.Error() }
