package tighten

import (
	"context"
	"fmt"
	"slices"

	"lastbolt/calc"
)

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "tightening-order",
		Title: "Tightening order of a cover",
		About: "Finds in what order and how many passes the bolts of a cover, housing or flange are tightened and loosened, " +
			"for bolts anywhere. Ask it where the maker gives no order.",
		Method: "The cover is an elastic plate of the stiffness of its class, or a rigid body, on a seal that pushes and cannot pull; " +
			"each bolt is a spring. All bolts are taken to be run down by hand and seated at 5 % of their preload. " +
			"Tightening one then presses the seal near it, lets its neighbours go and can pull far ones up, and all that is followed bolt by bolt.\n\n" +
			"Unevenness is how far the seal pressure is from what it would be with all bolts pulled at once, as root mean square over the seal line, " +
			"in percent of the mean pressure when tight; its tilt is the part of it that grows evenly from one side to the other. " +
			"The order sought makes the worst and the average unevenness over all steps small, the tilt counting double and three times with dowels, " +
			"and with them half the scatter of the preloads at the end. Between orders as good as equal it prefers to cross over, to walk little and to stay where the hands are. " +
			"Bolts that go first go first in every pass. Up to seven bolts all orders are gone through, more where the effort allows; " +
			"beyond that a good one is searched and the number of orders compared is told. An order people know is taken where it is within 5 % of the best.\n\n" +
			"The classes of cover and seal are orders of magnitude, so percentages compare orders of one joint; they predict no pressure. " +
			"Faces that are bent before, and sealant that flows with time, are left out.",
		Inputs: append(slices.Clone(jointInputs),
			calc.Input{Name: "passes", Title: "Passes", Kind: calc.Count, Min: "0", Max: "6", Default: "0", Help: "0 finds the number."},
			calc.Input{Name: "compare", Title: "Another order to compare", Kind: calc.Text, Optional: true,
				Help: "All bolt numbers, such as 1-5-3-7-2-6-4-8; it is put through the same passes."}),
		Outputs: []calc.Output{
			{Name: "sequence", Title: "Tighten in this order", Kind: calc.Text, Help: "In every pass."},
			{Name: "passes", Title: "Passes", Kind: calc.Count},
			{Name: "shares", Title: "Of the full torque", Kind: calc.Text},
			{Name: "around", Title: "A last pass around at full torque", Kind: calc.YesNo},
			{Name: "loosen", Title: "Crack and loosen in this order", Kind: calc.Text},
			{Name: "worst", Title: "Worst unevenness on the way", Kind: calc.Number, Unit: "%"},
			{Name: "lowest", Title: "Least preload kept", Kind: calc.Number, Unit: "%", Help: "Of its target, after the passes and the pass around where there is one."},
			{Name: "all_orders", Title: "All orders were gone through", Kind: calc.YesNo},
			{Name: "orders", Title: "Compared in the same model", Kind: calc.Table, Columns: []calc.Output{
				{Name: "order", Title: "Order", Kind: calc.Text},
				{Name: "worst", Title: "Worst unevenness", Kind: calc.Number, Unit: "%"},
				{Name: "mean", Title: "Average", Kind: calc.Number, Unit: "%"},
				{Name: "tilt", Title: "Worst tilt", Kind: calc.Number, Unit: "%"},
				{Name: "scatter", Title: "Scatter of preload", Kind: calc.Number, Unit: "%"},
				{Name: "lowest", Title: "Least preload", Kind: calc.Number, Unit: "%"},
			}},
			{Name: "each_pass", Title: "Pass by pass", Kind: calc.Table, Columns: []calc.Output{
				{Name: "pass", Title: "Pass", Kind: calc.Text},
				{Name: "worst", Title: "Worst unevenness", Kind: calc.Number, Unit: "%"},
				{Name: "end", Title: "At its end", Kind: calc.Number, Unit: "%"},
				{Name: "scatter", Title: "Scatter of preload", Kind: calc.Number, Unit: "%"},
				{Name: "lowest", Title: "Least preload", Kind: calc.Number, Unit: "%"},
			}},
			{Name: "takes", Title: "Taken from another bolt, at most", Kind: calc.Number, Unit: "%", Optional: true,
				Help: "Of what a bolt is raised by when all carry."},
			{Name: "gives", Title: "Given to another bolt, at most", Kind: calc.Number, Unit: "%", Optional: true},
			{Name: "as_good", Title: "At least as good as the other order", Kind: calc.YesNo, Optional: true},
			{Name: "other_costs", Title: "The other order costs", Kind: calc.Number, Optional: true, Digits: 4,
				Help: "Times what this one does, by what is made small."},
		},
		Sources: []calc.Source{sourceRule, sourcePCC, sourceBibel, sourcePlate, sourcePractice},
		Cautions: []string{
			"An order that the maker gives goes before this one.",
			"Bolts tightened by angle, or to yield, are not gone around again.",
			"Liquid sealant must not be disturbed once it has begun to set: finish all passes within its open time.",
		},
		Example: map[string]string{"bolts": "0; 0; 30; 10\n70; -8; 30; 10\n150; 0; 30; 10\n168; 60; 45; 10\n150; 118; 30; 10\n95; 140; 60; 10\n30; 128; 60; 10\n-18; 90; 45; 10\n-22; 40; 30; 10",
			"cover": string(Thin), "seal": string(Flat), "dowels": "yes"},
		Compute: computeOrder,
	}
})

func computeOrder(in calc.In, a *calc.Answer) error {
	j, err := jointFrom(in)
	if err != nil {
		return err
	}
	o, err := Plan(context.Background(), j, Options{Passes: in.Count("passes")})
	if err != nil {
		return err
	}
	giveOrder(a, o)
	if in.Has("compare") && len(j.Bolts) > 1 {
		if err := compareWith(in, a, j, o); err != nil {
			return err
		}
	}
	sequence := o.Passes[0].Sequence
	a.Draw(j.Map("Tightening order", sequence))
	if len(j.Bolts) > 1 {
		a.Draw(o.Chart())
		a.Draw(o.TiltChart())
		a.Draw(j.Map("Loosening order", o.Loosen))
		return workings(a, j)
	}
	return nil
}

func giveOrder(a *calc.Answer, o *Order) {
	a.Give("sequence", Written(o.Passes[0].Sequence))
	a.Give("passes", len(o.Passes))
	shares := ""
	for i, p := range o.Passes {
		if i > 0 {
			shares += ", "
		}
		shares += percent(p.Share)
	}
	a.Give("shares", shares)
	a.Give("around", o.Circular)
	a.Give("loosen", Written(o.Loosen))
	a.Give("worst", 100*o.Run.Peak)
	end := o.Run
	if o.Circular {
		end = o.Why.Around
	}
	a.Give("lowest", 100*end.Lowest)
	a.Give("all_orders", o.Proven)
	giveRuns(a, o)
	if len(o.Loosen) == 1 {
		a.Judge(calc.Good, "One bolt has no order to keep; tighten it to its torque.")
		return
	}
	say := fmt.Sprintf("Seat all bolts by hand, then tighten %s, to %s of the torque", Written(o.Passes[0].Sequence), shares)
	if len(o.Passes) > 1 {
		say += fmt.Sprintf(" in %d passes", len(o.Passes))
	}
	if o.Circular {
		say += "; then go once around at full torque"
	}
	a.Judge(calc.Good, "%s.", say)
	if end.Lowest < 0.85 {
		a.Judge(calc.Careful, "A bolt may keep only %s of its preload, because the others let it go; go around until none turns.", percent(end.Lowest))
	}
	a.Note("Crack every bolt a quarter to half turn in the loosening order before any is taken out.")
	for _, s := range o.Say() {
		a.Note("%s", s)
	}
}

func giveRuns(a *calc.Answer, o *Order) {
	if len(o.Why.Alternatives) == 0 {
		giveRun(a, "one bolt", o.Run)
	}
	for _, alt := range o.Why.Alternatives {
		giveRun(a, alt.Name, alt.Run)
	}
	for i, p := range o.Why.Around.Passes {
		name := fmt.Sprintf("%d, to %s", i+1, percent(p.Share))
		if i == len(o.Passes) {
			name = "around"
		}
		a.GiveRow("each_pass", name, 100*p.Peak, 100*p.End, 100*p.Scatter, 100*p.Lowest)
	}
}

func giveRun(a *calc.Answer, name string, r *Run) {
	a.GiveRow("orders", name, 100*r.Peak, 100*r.Mean, 100*r.tilt(), 100*r.Scatter, 100*r.Lowest)
}

// compareWith puts the other order through the same passes.
func compareWith(in calc.In, a *calc.Answer, j Joint, o *Order) error {
	seq, wrong := readSequence(in.Text("compare"), len(j.Bolts))
	if wrong != "" {
		return in.Refuse("compare", "Another order: %s", wrong)
	}
	passes := slices.Clone(o.Passes)
	for i := range passes {
		passes[i].Sequence = seq
	}
	r, err := Evaluate(j, passes)
	if err != nil {
		return err
	}
	giveRun(a, "the other order", r)
	a.Give("as_good", o.Run.Cost <= r.Cost*(1+1e-9))
	a.Give("other_costs", r.Cost/o.Run.Cost)
	return nil
}

// workings tells what the model was made of.
func workings(a *calc.Answer, j Joint) error {
	m, err := newModel(j)
	if err != nil {
		return err
	}
	length := 0.0
	for _, p := range m.lay.part {
		length += p
	}
	a.Step("Seal", "force per mm of line and mm of squeeze, times the length of the line",
		"= %.0f N/mm² · %.0f mm = %.0f kN/mm", m.spring[0]/m.lay.part[0], length, m.spring[0]/m.lay.part[0]*length/1000)
	if d := plateOf[m.joint.cover()]; j.Cover == Rigid {
		a.Step("Cover", "a rigid body: it moves and tilts, and does not bend", "")
	} else {
		a.Step("Cover", "D = E·t³ / (12·(1 − ν²))", "= %.0f N·m", d/1000)
	}
	a.Step("First bolt as a spring", "k = ½ · E·A/L, half for threads and seats", "= %.0f kN/mm", m.spring[m.m]/1000)
	a.Step("Mean squeeze of the seal when tight", "sum of the preloads / stiffness of the seal", "= %.3f mm", m.closing)
	matrix, err := Interaction(j)
	if err != nil {
		return err
	}
	low, high := 0.0, 0.0
	for i, row := range matrix {
		for k, v := range row {
			if i != k {
				low, high = min(low, v), max(high, v)
			}
		}
	}
	a.Give("takes", -100*low)
	a.Give("gives", 100*high)
	return nil
}
