package calc

import (
	"fmt"
	"math"
	"slices"

	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

// Basis says what a number rests on, so that an estimate never looks like a
// specification.
type Basis string

// What a number can rest on. The words are those of an access map's sources.
const (
	Computed  Basis = "computed"
	Tabulated Basis = "published table"
	Maker     Basis = "maker's document"
	Advice    Basis = "common practice" // a band, never a specification
	Measured  Basis = "own measurement"
	NotKnown  Basis = "not known"
)

// A Level is how a verdict comes out; it is shown by shape and word.
type Level string

// The levels.
const (
	Good    Level = "good"
	Careful Level = "careful"
	Bad     Level = "bad"
)

// Word is how a level begins the verdict's sentence.
func (l Level) Word() string {
	switch l {
	case Good:
		return "Good:"
	case Bad:
		return "No:"
	}
	return "With care:"
}

// A Verdict is the answer in a sentence.
type Verdict struct {
	Level Level  `json:"level"`
	Say   string `json:"say"`
}

// A Step is one line of the working, such as a person could follow on paper.
type Step struct {
	Title   string `json:"title"`             // "Stress area"
	Formula string `json:"formula,omitempty"` // "A = π/4 · (d − 0.9382·P)²"
	Filled  string `json:"filled,omitempty"`  // "= π/4 · (8 − 0.9382 · 1.25)² = 36.6 mm²"
}

// An Answer is what Compute fills in.
type Answer struct {
	outputs  []Output
	given    map[string]*Result
	verdicts []Verdict
	steps    []Step
	notes    []string
	cautions []string
	figures  []*figure.Figure
}

// A Result is one output's value: a number with its band, a text or rows.
type Result struct {
	Output Output
	// Low, Likely and High are in base units of a quantity. Band tells whether Low
	// and High are more than Likely repeated; Point whether there is a Likely.
	Low, Likely, High float64
	Band, Point       bool
	Text              string
	Rows              [][]Result
	Basis             Basis
	Why               string // what the basis is, in words: the table, the document
}

// Give gives an output its value: a quantity of the output's kind, a float64 or
// int, a string, or a bool. Another kind is a mistake in the program and panics.
func (a *Answer) Give(name string, v any) {
	r := resultOf(a.output(name), v)
	a.given[name] = &r
}

// GiveBand gives an output a band with a likely value in it.
func (a *Answer) GiveBand(name string, low, likely, high any) {
	out := a.output(name)
	r := resultOf(out, likely)
	r.Low, r.High, r.Band = resultOf(out, low).Likely, resultOf(out, high).Likely, true
	a.given[name] = &r
}

// GiveRange gives an output a band alone: no value in it is likelier.
func (a *Answer) GiveRange(name string, low, high any) {
	out := a.output(name)
	r := resultOf(out, low)
	r.High, r.Band, r.Point = resultOf(out, high).Likely, true, false
	r.Likely = (r.Low + r.High) / 2
	a.given[name] = &r
}

// GiveRow adds a row to an output that is a table, one value a column; nil
// leaves a field empty.
func (a *Answer) GiveRow(name string, values ...any) {
	out := a.output(name)
	if len(values) != len(out.Columns) {
		panic(fmt.Sprintf("calc: %s has %d columns and is given %d values", name, len(out.Columns), len(values)))
	}
	r := a.given[name]
	if r == nil {
		r = &Result{Output: out, Basis: Computed}
		a.given[name] = r
	}
	row := make([]Result, len(values))
	for n, v := range values {
		row[n] = Result{Output: out.Columns[n]}
		if v != nil {
			row[n] = resultOf(out.Columns[n], v)
		}
	}
	r.Rows = append(r.Rows, row)
}

// Rest says what an output already given rests on, when it is not computed.
func (a *Answer) Rest(name string, basis Basis, why string) {
	r := a.given[name]
	if r == nil {
		panic("calc: " + name + " rests on something but was not given")
	}
	r.Basis, r.Why = basis, why
}

// Step adds a line of the working.
func (a *Answer) Step(title, formula, filled string, args ...any) {
	if len(args) > 0 {
		filled = fmt.Sprintf(filled, args...)
	}
	a.steps = append(a.steps, Step{title, formula, filled})
}

// Judge adds a verdict; the worst is shown first.
func (a *Answer) Judge(level Level, say string, args ...any) {
	a.verdicts = append(a.verdicts, Verdict{level, sentence(say, args)})
}

// Note adds a remark on this very answer.
func (a *Answer) Note(say string, args ...any) { a.notes = append(a.notes, sentence(say, args)) }

// Warn adds a caution that this very answer calls for.
func (a *Answer) Warn(say string, args ...any) { a.cautions = append(a.cautions, sentence(say, args)) }

// Draw adds a drawing.
func (a *Answer) Draw(f *figure.Figure) { a.figures = append(a.figures, f) }

func sentence(say string, args []any) string {
	if len(args) == 0 {
		return say
	}
	return fmt.Sprintf(say, args...)
}

func (a *Answer) output(name string) Output {
	for _, out := range a.outputs {
		if out.Name == name {
			return out
		}
	}
	panic(fmt.Sprintf("calc: there is no output %q", name))
}

// resultOf makes the value of an output, which must be of its kind.
func resultOf(out Output, v any) Result {
	r := Result{Output: out, Basis: Computed, Point: true}
	kind := ""
	switch n := v.(type) {
	case float64:
		kind, r.Likely = Number, n
	case int:
		kind, r.Likely = Count, float64(n)
		if out.Kind == Number {
			kind = Number
		}
	case string:
		kind, r.Text = Text, n
	case bool:
		kind, r.Text = YesNo, map[bool]string{true: "yes", false: "no"}[n]
	default:
		name, base, ok := quantity.NameOf(v)
		if !ok {
			panic(fmt.Sprintf("calc: output %q is given a %T", out.Name, v))
		}
		kind, r.Likely = name, base
	}
	if kind != out.Kind {
		panic(fmt.Sprintf("calc: output %q is a %s and is given a %s", out.Name, out.Kind, kind))
	}
	r.Low, r.High = r.Likely, r.Likely
	return r
}

// finite reports whether every number in a result is one.
func (r Result) finite() bool {
	for _, n := range []float64{r.Low, r.Likely, r.High} {
		if math.IsNaN(n) || math.IsInf(n, 0) {
			return false
		}
	}
	return !slices.ContainsFunc(r.Rows, func(row []Result) bool {
		return slices.ContainsFunc(row, func(r Result) bool { return !r.finite() })
	})
}
