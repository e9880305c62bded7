package tighten

import (
	"fmt"
	"slices"
	"strings"
)

// Why compares an order with others in the same model.
type Why struct {
	Alternatives []Alternative
	Around       *Run // of the order with a last pass around at full preload
}

// The names of alternatives that are looked for again.
const (
	onePass      = "this order, all in one pass"
	aroundPasses = "around, " // and how many passes
)

// An Alternative is another order of the same joint.
type Alternative struct {
	Name string
	Run  *Run
}

func (m *model) why(o *Order) *Why {
	w := &Why{}
	seq := o.Passes[0].Sequence
	all := func(seq []int) []Pass {
		passes := slices.Clone(o.Passes)
		for i := range passes {
			passes[i].Sequence = seq
		}
		return passes
	}
	w.Around = m.run(append(all(seq), Pass{1, o.Around}))
	add := func(name string, passes []Pass) {
		w.Alternatives = append(w.Alternatives, Alternative{name, m.run(passes)})
	}
	passes := fmt.Sprintf("%d passes", len(o.Passes))
	if len(o.Passes) == 1 {
		passes = "1 pass"
	}
	w.Alternatives = append(w.Alternatives,
		Alternative{"this order, " + passes, o.Run},
		Alternative{"this order, " + passes + " and once around", w.Around})
	if len(o.Passes) > 1 {
		add(onePass, []Pass{{1, seq}})
	}
	add(aroundPasses+passes, all(o.Around))
	if len(o.Passes) > 1 {
		add(aroundPasses+"all in one pass", []Pass{{1, o.Around}})
	}
	if cross := m.crossing(); !slices.Equal(cross, seq) && o.keeps(m, cross) {
		add("crossing by places around, "+passes, all(cross))
	}
	return w
}

// keeps reports whether a sequence has the bolts that must be first ahead.
func (o *Order) keeps(m *model, seq []int) bool {
	firsts := 0
	for _, b := range m.joint.Bolts {
		if b.First {
			firsts++
		}
	}
	for _, b := range seq[:firsts] {
		if !m.joint.Bolts[b].First {
			return false
		}
	}
	return true
}

// Say explains the order in sentences, for the person who is to keep it.
func (o *Order) Say() []string {
	if len(o.Loosen) == 1 {
		return []string{"One bolt has no order to keep."}
	}
	var say []string
	for _, a := range o.Why.Alternatives {
		if len(o.Passes) > 1 && a.Name == onePass {
			say = append(say, fmt.Sprintf("In one pass the seal pressure would at worst be uneven by %s of its mean; in %d passes it is by %s.",
				percent(a.Run.Peak), len(o.Passes), percent(o.Run.Peak)))
		}
		if strings.HasPrefix(a.Name, aroundPasses) && len(a.Run.Passes) == len(o.Passes) {
			say = append(say, o.againstAround(a.Run))
		}
	}
	if around := o.Why.Around; o.Circular {
		say = append(say, fmt.Sprintf("Bolts tightened later let go earlier ones: the least keeps %s of its preload. A last pass around at full torque brings it to %s.",
			percent(o.Run.Lowest), percent(around.Lowest)))
	} else {
		say = append(say, fmt.Sprintf("The least tight bolt keeps %s of its preload; a last pass around adds little.", percent(o.Run.Lowest)))
	}
	switch {
	case o.Proven && o.Gap == 0:
		say = append(say, "No other order is better in this model; all were gone through.")
	case o.Proven:
		say = append(say, fmt.Sprintf("The best order of all is %.1f %% better in this model; the familiar one is given because it is as good in practice.", 100*o.Gap))
	default:
		say = append(say, fmt.Sprintf("It is the best of %d orders tried in the model; not all were gone through.", o.Tried))
	}
	return say
}

// againstAround compares with going from neighbour to neighbour. What that order
// does better is said too: unevenness and tilt are weighed together.
func (o *Order) againstAround(around *Run) string {
	say := fmt.Sprintf("Going around instead, one side comes down first: the tilt is at worst %s against %s in this order",
		percent(around.tilt()), percent(o.Run.tilt()))
	if around.Peak < o.Run.Peak {
		say += fmt.Sprintf(". The pressure would be more even, %s against %s, but both count, and a tilted part shears and pinches its seal",
			percent(around.Peak), percent(o.Run.Peak))
	}
	return say + "."
}

func percent(v float64) string { return fmt.Sprintf("%.0f %%", 100*v) }

// tilt is the worst over the steps.
func (r *Run) tilt() (worst float64) {
	for _, s := range r.Steps {
		worst = max(worst, s.Tilt)
	}
	return worst
}
