package fastener

import (
	"lastbolt/calc"
)

// A Lubrication is the state of threads and faces, with the nut factors and the
// friction that go with it.
type Lubrication struct {
	Name, Title string
	// Low, Likely and High are nut factors K as found for it.
	Low, Likely, High float64
	Friction          float64 // likely coefficient, in the thread and under the head
	Oiled             bool    // lubricated on purpose on thread and face: it scatters less
	Source            calc.Source
}

// The tables the nut factors come from.
const (
	shigley  = "Shigley's Mechanical Engineering Design, 9th ed., table 8-15"
	hdbk60   = "MIL-HDBK-60, table II"
	zipTable = "a fastener maker's table of nut factors (zipfastener.com, engineering data)"
)

// lubrications are the states a workshop can tell apart. Friction is MIL-HDBK-60
// table II where it has the state; the spread of K is the maker's table's.
var lubrications = []Lubrication{
	{"not known", "not known", 0.15, 0.20, 0.30, 0.15, false, calc.Source{Text: "Shigley, 9th ed., p. 438: K ≈ 0.20 whatever the size when nothing is known; its table 8-15 runs to 0.30", Known: calc.Published}},
	{"black", "black or bare steel, dry", 0.18, 0.30, 0.35, 0.20, false, calc.Source{Text: shigley + "; low: " + zipTable, Known: calc.Published}},
	{"zinc", "zinc plated, dry", 0.17, 0.20, 0.35, 0.17, false, calc.Source{Text: shigley + "; spread: " + zipTable + "; friction: " + hdbk60, Known: calc.Published}},
	{"oiled", "oiled on thread and under the head", 0.135, 0.18, 0.225, 0.15, true, calc.Source{Text: shigley + ", ±25 % (NASA-STD-5020B, table 3); friction: " + hdbk60, Known: calc.Published}},
	{"cadmium", "cadmium plated", 0.15, 0.16, 0.19, 0.12, false, calc.Source{Text: shigley + "; spread: " + zipTable + "; friction: " + hdbk60, Known: calc.Published}},
	{"moly", "molybdenum grease", 0.11, 0.15, 0.19, 0.11, true, calc.Source{Text: "friction: " + hdbk60 + ", ±20 %; K from it by the long form", Known: calc.Published}},
	{"anti-seize", "anti-seize paste", 0.09, 0.12, 0.17, 0.08, true, calc.Source{Text: shigley + "; high: a tension test of ⅞ in bolts (securitylocknut.com)", Known: calc.Published}},
	{"graphite", "graphite grease", 0.085, 0.11, 0.14, 0.07, true, calc.Source{Text: "friction: " + hdbk60 + "; K from it by the long form", Known: calc.Published}},
	{"phosphate and oil", "phosphated and oiled", 0.15, 0.18, 0.22, 0.13, true, calc.Source{Text: zipTable, Known: calc.Published}},
	{"locker", "liquid thread locker, still wet", 0.14, 0.18, 0.24, 0.15, true, calc.Source{Text: "it runs about as oil does before it sets", Known: calc.CommonPractice}},
	{"stainless", "stainless in stainless, dry", 0.30, 0.38, 0.50, 0.28, false, calc.Source{Text: zipTable, Known: calc.Published}},
}

// FindLubrication finds a state by its name; ok is false for another name.
func FindLubrication(name string) (l Lubrication, ok bool) {
	for _, l := range lubrications {
		if l.Name == name {
			return l, true
		}
	}
	return Lubrication{}, false
}

// lubricationInput asks for the state; without its default it is optional.
func lubricationInput(byDefault string) calc.Input {
	var options []calc.Option
	for _, l := range lubrications {
		options = append(options, calc.Option{Value: l.Name, Title: l.Title})
	}
	return calc.Input{Name: "lubrication", Title: "Threads and face", Kind: calc.Choice, Choices: options, Default: byDefault,
		Help: "As they are when tightened, thread and the face that turns."}
}

// lubricationOf takes the state chosen.
func lubricationOf(in calc.In) Lubrication {
	l, ok := FindLubrication(in.Choice("lubrication"))
	if !ok {
		panic("fastener: a choice of lubrication has no row: " + in.Choice("lubrication"))
	}
	return l
}
