package calc

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/calc/figure"
	"lastbolt/fault"
	"lastbolt/quantity"
)

// An Outcome is one run's answer with what it was asked.
type Outcome struct {
	Definition *Definition
	Asked      []Asked
	Results    []Result // in the order of the definition, those given
	Verdicts   []Verdict
	Steps      []Step
	Notes      []string
	Cautions   []string // of the definition, then of this answer
	Figures    []*figure.Figure
}

// Asked is one input as it was taken.
type Asked struct {
	Input   Input
	Text    string // in the house spelling; "" when it was left out
	Assumed bool   // the default was taken
}

// Show is what was asked as a person reads it: a plain number with its unit, a
// choice by its title, a table with its rows on lines of their own.
func (a Asked) Show() string {
	for _, o := range a.Input.Choices {
		if o.Value == a.Text {
			return o.Title
		}
	}
	if a.Input.Kind == Number && a.Input.Unit != "" && a.Text != "" {
		return a.Text + " " + a.Input.Unit
	}
	return a.Text
}

// Run reads the inputs, computes and checks the outputs. An error that a person
// can mend is a fault of code Bad; ProblemsOf tells which inputs it is about.
func (d *Definition) Run(given map[string]string) (*Outcome, error) {
	in, problems := read(d.Inputs, given)
	if len(problems) > 0 {
		return nil, refuse(problems)
	}
	a := &Answer{outputs: d.Outputs, given: map[string]*Result{}}
	if err := d.Compute(in, a); err != nil {
		if p, ok := err.(Problems); ok {
			return nil, refuse(p)
		}
		return nil, err
	}
	out := &Outcome{Definition: d, Steps: a.steps, Notes: a.notes, Figures: a.figures,
		Cautions: append(slices.Clone(d.Cautions), a.cautions...)}
	for _, o := range d.Outputs {
		r := a.given[o.Name]
		switch {
		case r == nil && !o.Optional:
			return nil, fault.New(fault.Internal, "The calculation %q gave no %s.", d.Name, o.Title)
		case r == nil:
			continue
		case !r.finite():
			return nil, fault.New(fault.Bad, "%s does not come out as a number with these values; check the largest and the smallest of them.", o.Title)
		}
		out.Results = append(out.Results, *r)
	}
	for _, i := range d.Inputs {
		text := in.values[i.Name].text
		out.Asked = append(out.Asked, Asked{i, text, text != "" && strings.TrimSpace(given[i.Name]) == ""})
	}
	out.Verdicts = slices.Clone(a.verdicts)
	rank := map[Level]int{Bad: 0, Careful: 1, Good: 2}
	slices.SortStableFunc(out.Verdicts, func(x, y Verdict) int { return rank[x.Level] - rank[y.Level] })
	return out, nil
}

// Result finds an output's value by name.
func (o *Outcome) Result(name string) (Result, bool) {
	for _, r := range o.Results {
		if r.Output.Name == name {
			return r, true
		}
	}
	return Result{}, false
}

// Show prints a result: "36.6 mm²", "8 to 11 N·m", "24.1 kN (20 to 29)".
func (r Result) Show() string { return r.ShowIn(r.Output.Unit) }

// ShowIn prints a result in another unit of the same quantity.
func (r Result) ShowIn(unit string) string {
	switch {
	case r.Output.Kind == Table:
		return fmt.Sprintf("%d rows", len(r.Rows))
	case r.Output.Kind == Text || r.Output.Kind == YesNo || !r.Point && !r.Band:
		return r.Text
	case !r.Point:
		return r.join(unit, r.Low, " to ", r.High)
	case r.Band:
		return r.number(r.Likely, unit) + " (" + r.join(unit, r.Low, " to ", r.High) + ")"
	}
	return r.number(r.Likely, unit)
}

// join prints a band with its unit once.
func (r Result) join(unit string, low float64, word string, high float64) string {
	l, h := r.number(low, unit), r.number(high, unit)
	suffix := " " + unit
	if bare, cut := strings.CutSuffix(l, suffix); cut {
		l = bare
	}
	return l + word + h
}

func (r Result) number(n float64, unit string) string {
	digits := r.Output.Digits
	if digits == 0 {
		digits = 3
	}
	switch r.Output.Kind {
	case Count:
		return strconv.Itoa(int(math.Round(n)))
	case Number:
		text := significant(n, digits)
		if unit != "" {
			text += " " + unit
		}
		return text
	}
	text, err := quantity.FormatAs(r.Output.Kind, n, unit, digits)
	if err != nil {
		panic("calc: " + r.Output.Name + ": " + err.Error())
	}
	return text
}

// significant prints a number with so many significant digits and no exponent.
func significant(n float64, digits int) string {
	if n == 0 {
		return "0"
	}
	power := int(math.Floor(math.Log10(math.Abs(n))))
	decimals := digits - 1 - power
	if decimals >= 0 {
		return strconv.FormatFloat(n, 'f', decimals, 64)
	}
	unit := math.Pow(10, float64(-decimals))
	return strconv.FormatFloat(math.Round(n/unit)*unit, 'f', 0, 64)
}

// MarshalJSON writes an outcome for another program: numbers in the output's
// own unit, and every text a person would read.
func (o *Outcome) MarshalJSON() ([]byte, error) {
	type asked struct {
		Name    string `json:"name"`
		Title   string `json:"title"`
		Value   string `json:"value"`
		Assumed bool   `json:"assumed,omitempty"`
	}
	type source struct {
		Text  string `json:"text"`
		Known Known  `json:"known"`
	}
	answer := struct {
		Calculation string           `json:"calculation"`
		Title       string           `json:"title"`
		Inputs      []asked          `json:"inputs"`
		Results     []map[string]any `json:"results"`
		Verdicts    []Verdict        `json:"verdicts,omitempty"`
		Working     []Step           `json:"working,omitempty"`
		Notes       []string         `json:"notes,omitempty"`
		Cautions    []string         `json:"cautions,omitempty"`
		Sources     []source         `json:"sources"`
	}{Calculation: o.Definition.Name, Title: o.Definition.Title, Verdicts: o.Verdicts,
		Working: o.Steps, Notes: o.Notes, Cautions: o.Cautions}
	for _, a := range o.Asked {
		if a.Text != "" {
			answer.Inputs = append(answer.Inputs, asked{a.Input.Name, a.Input.Title, a.Text, a.Assumed})
		}
	}
	for _, r := range o.Results {
		answer.Results = append(answer.Results, r.fields(true))
	}
	for _, s := range o.Definition.Sources {
		answer.Sources = append(answer.Sources, source(s))
	}
	return json.Marshal(answer)
}

// fields lays a result out by name.
func (r Result) fields(top bool) map[string]any {
	m := map[string]any{"name": r.Output.Name, "text": r.Show()}
	if top {
		m["title"], m["basis"] = r.Output.Title, r.Basis
		if r.Why != "" {
			m["basis_in_words"] = r.Why
		}
	}
	if r.Rows != nil {
		var rows []map[string]any
		for _, row := range r.Rows {
			fields := map[string]any{}
			for _, field := range row {
				fields[field.Output.Name] = field.fields(false)
			}
			rows = append(rows, fields)
		}
		m["rows"] = rows
		delete(m, "text")
		return m
	}
	if r.Output.Kind != Text && r.Output.Kind != YesNo && (r.Point || r.Band) {
		if r.Output.Unit != "" {
			m["unit"] = r.Output.Unit
		}
		if r.Point {
			m["value"] = r.Count(r.Likely)
		}
		if r.Band {
			m["low"], m["high"] = r.Count(r.Low), r.Count(r.High)
		}
	}
	return m
}

// Count turns base units of the result into its output's unit.
func (r Result) Count(base float64) float64 {
	if r.Output.Kind == Number || r.Output.Kind == Count {
		return base
	}
	n, err := quantity.CountAs(r.Output.Kind, base, r.Output.Unit)
	if err != nil {
		panic("calc: " + r.Output.Name + ": " + err.Error())
	}
	return n
}
