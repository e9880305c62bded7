// Package calc is the registry of calculations: each is defined once and is
// then a command, a page with a live result, a JSON answer, a handbook page and
// a subject of the published checks.
//
// Start with Definition and Group.Add. An engine's package makes one Group and
// one small file for each calculation:
//
//	var Group = calc.NewGroup("fastener", "Fasteners", "Threads, torque and preload.")
//
//	var _ = Group.Add(func() calc.Definition {
//		return calc.Definition{
//			Name: "stress-area", Title: "Stress area of a thread", ...
//			Compute: func(in calc.In, a *calc.Answer) error {
//				d, p := in.Length("diameter"), in.Length("pitch")
//				a.Give("area", quantity.Area(...))
//				a.Step("Stress area", "A = π/4 · (d − 0.9382·P)²", "= 36.6 mm²")
//				return nil
//			},
//		}
//	})
//
// The package calc/all gathers the groups. The registry reads and checks the
// inputs before Compute sees them and the outputs after it. It does no I/O,
// knows no clock and keeps nothing.
package calc

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"lastbolt/fault"
)

// The kinds of value that are not quantities. Any name that package quantity
// knows ("torque", "length", "temperature difference" ...) is a kind as well.
const (
	Number = "number"    // a plain number; Unit is printed behind it ("%", "pH")
	Count  = "count"     // a whole number
	Choice = "choice"    // one of Choices
	Text   = "text"      // a line of free text
	YesNo  = "yes or no" // "yes" or "no"
	Table  = "table"     // rows of Columns, one a line
	Date   = "date"      // 2026-03-01
)

// A Definition is one calculation.
type Definition struct {
	Name  string // as typed on the command line: "stress-area"
	Title string // "Stress area of a thread"
	About string // what it answers and when to ask it, in one or two sentences
	// Method says what is computed and how, what is left out, and where it holds:
	// paragraphs for the handbook, a blank line between them.
	Method   string
	Inputs   []Input
	Outputs  []Output
	Sources  []Source
	Cautions []string // whole sentences, shown with every answer
	// Example is a set of inputs that gives a typical answer, for the handbook and
	// to fill a form the first time it is looked at.
	Example map[string]string
	// Compute does the work: it reads the inputs and gives every output that is not
	// Optional. An error is a sentence for the person asking; use In.Refuse to
	// point at an input.
	Compute func(in In, a *Answer) error

	group *Group
}

// Group gives the group the calculation was added to.
func (d *Definition) Group() *Group { return d.group }

// An Input is one thing asked for.
type Input struct {
	Name    string // "head_diameter"
	Title   string // "Diameter under the head"
	Help    string // a sentence under the field, when the title does not say it all
	Kind    string
	Unit    string // the unit a bare number in a form is taken in, shown beside the field
	Choices []Option
	Columns []Input // of a Table
	MaxRows int     // of a Table; 0 means 100
	// Min and Max are the limits, written as the input is; "" is no limit. Above
	// and Below leave the limit itself out.
	Min, Max     string
	Above, Below bool
	Default      string // taken when nothing is given
	Optional     bool   // may be left out and has no default; ask In.Has
	Seldom       bool   // seldom needed: a form folds it away until it is filled
}

// An Option is one of the values of a Choice.
type Option struct{ Value, Title string }

// Options makes options whose title is the value itself.
func Options(values ...string) []Option {
	var options []Option
	for _, v := range values {
		options = append(options, Option{v, v})
	}
	return options
}

// An Output is one thing answered.
type Output struct {
	Name, Title string
	Help        string
	Kind        string // a quantity, Number, Count, Text, Table or YesNo
	Unit        string
	Digits      int      // significant digits printed; 0 means 3
	Columns     []Output // of a Table
	Optional    bool     // not every answer has it
}

// A Source is where a formula or a value comes from.
type Source struct {
	Text  string // author, title, year, page or address
	Known Known
}

// Known says how a fact is known.
type Known string

// The ways a fact is known.
const (
	Published      Known = "published"
	CommonPractice Known = "common practice" // of the trade, without a source
	FromMemory     Known = "from memory"     // remembered, not looked up
)

// A Group is the calculations of one engine.
type Group struct {
	Name, Title, About string

	added []func() Definition
	once  sync.Once
	made  []*Definition
}

// NewGroup makes an empty group.
func NewGroup(name, title, about string) *Group {
	return &Group{Name: name, Title: title, About: about}
}

// Add adds a calculation, which is made when one of the group is first wanted,
// because making all of them takes long when a phone starts the program. It
// gives the group back.
func (g *Group) Add(define func() Definition) *Group {
	g.added = append(g.added, define)
	return g
}

// definitions makes the group's calculations, once. A definition that
// contradicts itself is a mistake in the program and panics.
func (g *Group) definitions() []*Definition {
	g.once.Do(func() {
		for _, define := range g.added {
			d := define()
			d.group = g
			if wrong := d.wrong(); wrong != "" {
				panic("calc: " + d.Name + ": " + wrong)
			}
			g.made = append(g.made, &d)
		}
	})
	return g.made
}

// Calculations lists the group's calculations by title.
func (g *Group) Calculations() []*Definition {
	sorted := slices.Clone(g.definitions())
	slices.SortStableFunc(sorted, func(a, b *Definition) int { return strings.Compare(a.Title, b.Title) })
	return sorted
}

// A Registry is all the groups. Two calculations of the same name are a mistake
// in the program; the first is found.
type Registry struct{ groups []*Group }

// NewRegistry gathers groups, in the order they are to be listed in.
func NewRegistry(groups ...*Group) *Registry { return &Registry{groups: groups} }

// Groups lists the groups.
func (r *Registry) Groups() []*Group { return r.groups }

// Find finds a calculation by name; the error names the nearest.
func (r *Registry) Find(name string) (*Definition, error) {
	var names []string
	for _, g := range r.groups {
		for _, d := range g.definitions() {
			if d.Name == name {
				return d, nil
			}
			names = append(names, d.Name)
		}
	}
	return nil, fault.New(fault.NotFound, "There is no calculation named %q%s", name, didYouMean(name, names))
}

// wrong says what contradicts itself in a definition.
func (d *Definition) wrong() string {
	switch {
	case d.Name == "" || strings.Trim(d.Name, "abcdefghijklmnopqrstuvwxyz0123456789-") != "":
		return "the name is of small letters, digits and hyphens"
	case d.Title == "" || d.About == "":
		return "title and about are needed"
	case d.Compute == nil || len(d.Outputs) == 0:
		return "it computes nothing"
	case len(d.Sources) == 0:
		return "no source is named"
	}
	seen := map[string]bool{}
	for _, in := range d.Inputs {
		if wrong := in.wrong(); wrong != "" {
			return fmt.Sprintf("input %q: %s", in.Name, wrong)
		}
		if seen[in.Name] {
			return fmt.Sprintf("two inputs are named %q", in.Name)
		}
		seen[in.Name] = true
	}
	for name := range d.Example {
		if !seen[name] {
			return fmt.Sprintf("the example fills %q, which is no input", name)
		}
	}
	for _, out := range d.Outputs {
		if wrong := out.wrong(); wrong != "" {
			return fmt.Sprintf("output %q: %s", out.Name, wrong)
		}
	}
	return ""
}
