package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"text/tabwriter"

	"lastbolt/calc"
	"lastbolt/calc/all"
	"lastbolt/fault"
	"lastbolt/paper"
	"lastbolt/published"
	"lastbolt/web/draw"
)

type calcCommand struct {
	Name   string   `arg:"positional" help:"Calculation; left out, all are listed."`
	Inputs []string `arg:"positional" help:"NAME=VALUE with its unit; rows of a table between | or from a file as NAME=@FILE."`
	About  bool     `arg:"--about" help:"Say what the calculation asks for, how it works and where it comes from."`
	JSON   bool     `arg:"--json" help:"Print the answer as JSON."`
	Draw   string   `arg:"--draw" help:"Also write the answer's first drawing to an SVG file." placeholder:"FILE"`
	Paper  string   `arg:"--paper" help:"Also write the answer to a PDF file." placeholder:"FILE"`
}

func (c calcCommand) Run(env *Env) error {
	registry := all.Registry()
	if c.Name == "" {
		return listCalculations(env.Out, registry)
	}
	d, err := registry.Find(c.Name)
	if err != nil {
		return err
	}
	if c.About || len(c.Inputs) == 0 && len(d.Inputs) > 0 {
		return describe(env.Out, d)
	}
	given := map[string]string{}
	for _, text := range c.Inputs {
		name, value, ok := strings.Cut(text, "=")
		if !ok {
			return usage("%q is no input: write NAME=VALUE, as in %s", text, exampleOf(d))
		}
		if file, isFile := strings.CutPrefix(value, "@"); isFile {
			b, err := readFile(env, file)
			if err != nil {
				return err
			}
			value = string(b)
		}
		if _, twice := given[name]; twice {
			return usage("%s is given twice", name)
		}
		given[name] = value
	}
	out, err := d.Run(given)
	if err != nil {
		if fault.Is(err, fault.Bad) {
			return fault.New(fault.Bad, "%s\nWhat it asks for: lastbolt calc %s --about", fault.Say(err), d.Name)
		}
		return err
	}
	if c.Draw != "" {
		if len(out.Figures) == 0 {
			return usage("%s makes no drawing: leave --draw out", d.Name)
		}
		var b strings.Builder
		draw.WriteFigure(&b, out.Figures[0], true) // a strings.Builder never fails
		if err := writeFile(env, c.Draw, []byte(b.String())); err != nil {
			return err
		}
	}
	if c.Paper != "" {
		pdf, err := paper.Answer(out, paper.Options{Now: env.Now()})
		if err != nil {
			return err
		}
		if err := writeFile(env, c.Paper, pdf); err != nil {
			return err
		}
	}
	if c.JSON {
		return printJSON(env, out)
	}
	return printOutcome(env.Out, out)
}

func listCalculations(w io.Writer, r *calc.Registry) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	for i, g := range r.Groups() {
		if i > 0 {
			fmt.Fprintln(t)
		}
		fmt.Fprintln(t, strings.ToUpper(g.Title))
		list := g.Calculations()
		slices.SortFunc(list, func(a, b *calc.Definition) int { return strings.Compare(a.Name, b.Name) })
		for _, d := range list {
			fmt.Fprintf(t, "%s\t%s\n", d.Name, d.Title)
		}
	}
	return t.Flush()
}

// describe prints what a calculation asks and answers.
func describe(w io.Writer, d *calc.Definition) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintf(t, "%s\n%s\n\nASKS\n", d.Title, d.About)
	for _, in := range d.Inputs {
		fmt.Fprintf(t, "%s\t%s\t%s\n", in.Name, in.Title, asks(in))
	}
	fmt.Fprintf(t, "\nANSWERS\n")
	for _, o := range d.Outputs {
		fmt.Fprintf(t, "%s\t%s\t%s\n", o.Name, o.Title, o.Unit)
	}
	if d.Method != "" {
		fmt.Fprintf(t, "\n%s\n", d.Method)
	}
	fmt.Fprintf(t, "\nSOURCES\n")
	for _, s := range d.Sources {
		fmt.Fprintf(t, "%s (%s)\n", s.Text, s.Known)
	}
	fmt.Fprintf(t, "\nEXAMPLE\n%s\n", exampleOf(d))
	return t.Flush()
}

// asks says in a few words what an input takes.
func asks(in calc.Input) string {
	var all []string
	switch {
	case in.Kind == calc.Choice:
		var values []string
		for _, o := range in.Choices {
			values = append(values, o.Value)
		}
		all = append(all, strings.Join(values, ", "))
	case in.Kind == calc.Table:
		var columns []string
		for _, c := range in.Columns {
			columns = append(columns, c.Title)
		}
		all = append(all, "rows of "+strings.Join(columns, "; "))
	case in.Unit != "":
		all = append(all, in.Kind+", such as in "+in.Unit)
	default:
		all = append(all, in.Kind)
	}
	if in.Default != "" {
		all = append(all, "else "+in.Default)
	} else if in.Optional {
		all = append(all, "may be left out")
	}
	return strings.Join(all, "; ")
}

// exampleOf is the calculation's example as a command.
func exampleOf(d *calc.Definition) string {
	words := []string{"lastbolt", "calc", d.Name}
	for _, in := range d.Inputs {
		if text := d.Example[in.Name]; text != "" {
			words = append(words, in.Name+"="+shellQuoted(strings.ReplaceAll(strings.TrimSpace(text), "\n", " | ")))
		}
	}
	return strings.Join(words, " ")
}

func shellQuoted(text string) string {
	if strings.ContainsAny(text, " ;|\"'$&()<>*") {
		return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'"
	}
	return text
}

func printOutcome(w io.Writer, out *calc.Outcome) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintln(t, out.Definition.Title)
	for _, a := range out.Asked {
		if a.Text == "" {
			continue
		}
		mark := ""
		if a.Assumed {
			mark = "\t(taken because nothing was given)"
		}
		fmt.Fprintf(t, "  %s\t%s%s\n", a.Input.Title, shown(strings.ReplaceAll(a.Show(), "\n", " | ")), mark)
	}
	fmt.Fprintln(t)
	for _, v := range out.Verdicts {
		fmt.Fprintf(t, "%s: %s\n", strings.ToUpper(string(v.Level)), v.Say)
	}
	for _, r := range out.Results {
		if r.Output.Kind == calc.Table {
			continue
		}
		basis := string(r.Basis)
		if r.Why != "" {
			basis += ": " + r.Why
		}
		fmt.Fprintf(t, "%s\t%s\t%s\n", r.Output.Title, r.Show(), basis)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, r := range out.Results {
		if r.Output.Kind == calc.Table {
			if err := printRows(w, r); err != nil {
				return err
			}
		}
	}
	for i, s := range out.Steps {
		if i == 0 {
			fmt.Fprintln(w, "\nWorking")
		}
		fmt.Fprintf(w, "  %d. %s\n", i+1, s.Title)
		for _, line := range []string{s.Formula, s.Filled} {
			if line != "" {
				fmt.Fprintf(w, "     %s\n", line)
			}
		}
	}
	for i, n := range out.Notes {
		if i == 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, n)
	}
	for i, c := range out.Cautions {
		if i == 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintln(w, "CAUTION:", c)
	}
	_, err := fmt.Fprintln(w)
	return err
}

func printRows(w io.Writer, r calc.Result) error {
	t := tabwriter.NewWriter(w, 0, 4, 2, ' ', 0)
	fmt.Fprintf(t, "\n%s\n", r.Output.Title)
	for _, c := range r.Output.Columns {
		fmt.Fprintf(t, "%s\t", c.Title)
	}
	fmt.Fprintln(t)
	for _, row := range r.Rows {
		for _, cell := range row {
			fmt.Fprintf(t, "%s\t", shown(cell.Show()))
		}
		fmt.Fprintln(t)
	}
	return t.Flush()
}

type verifyCommand struct {
	Files []string `arg:"positional" help:"Check files; left out, the bundled ones. A bundled one also by its bare name."`
	All   bool     `arg:"--all" help:"Print every check, not only those that are off."`
	JSON  bool     `arg:"--json" help:"Print the outcome of every check as JSON."`
}

func (c verifyCommand) Run(ctx context.Context, env *Env) error {
	names := c.Files
	if len(names) == 0 {
		names = published.Bundled()
	}
	registry := all.Registry()
	off, total := 0, 0
	var outcomes []verified
	t := tabwriter.NewWriter(env.Out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(t, "file\tchecks\tpublished\tcommon practice\tfrom memory\toff")
	var wrong strings.Builder
	for _, name := range names {
		text, err := checkFile(env, name)
		if err != nil {
			return err
		}
		checks, err := published.Read(name, text)
		if err != nil {
			return inFile(err)
		}
		known := map[calc.Known]int{}
		here := 0
		for _, check := range checks {
			if err := ctx.Err(); err != nil {
				return err
			}
			out := published.Verify(registry, check)
			known[check.Known]++
			if !out.Met {
				here++
			}
			if !out.Met || c.All {
				fmt.Fprintln(&wrong, checkLine(name, out))
			}
			outcomes = append(outcomes, verified{File: name, Line: check.Line, Calculation: check.Calculation, Output: check.Output,
				Inputs: check.Inputs, Expected: check.Expected + check.Refused, Tolerance: check.Tolerance, Got: out.Got, Off: out.Off,
				Met: out.Met, Source: check.Source, Known: check.Known})
		}
		fmt.Fprintf(t, "%s\t%d\t%d\t%d\t%d\t%d\n", shown(name), len(checks), known[calc.Published], known[calc.CommonPractice], known[calc.FromMemory], here)
		off, total = off+here, total+len(checks)
	}
	if c.JSON {
		if err := printJSON(env, outcomes); err != nil {
			return err
		}
	} else {
		if err := t.Flush(); err != nil {
			return err
		}
		if wrong.Len() > 0 {
			fmt.Fprintf(env.Out, "\n%s", wrong.String())
		}
	}
	if off > 0 {
		return fault.New(fault.Bad, "%d of %d checks are off. Each line above says by how much", off, total)
	}
	return nil
}

// verified is one check's outcome in JSON.
type verified struct {
	File        string            `json:"file"`
	Line        int               `json:"line"`
	Calculation string            `json:"calculation"`
	Output      string            `json:"output,omitempty"`
	Inputs      map[string]string `json:"inputs"`
	Expected    string            `json:"expected"`
	Tolerance   string            `json:"tolerance,omitempty"`
	Got         string            `json:"got"`
	Off         string            `json:"off,omitempty"`
	Met         bool              `json:"met"`
	Source      string            `json:"source"`
	Known       calc.Known        `json:"known"`
}

// checkFile reads a check file of the user's or, where there is none of that
// name, a bundled one.
func checkFile(env *Env, name string) ([]byte, error) {
	if _, err := os.Stat(name); err != nil && name != "-" {
		for _, bundled := range published.Bundled() {
			if name == bundled || name+".yaml" == bundled {
				return published.Open(bundled)
			}
		}
	}
	return readFile(env, name)
}

func checkLine(file string, out published.Outcome) string {
	c := out.Check
	word := "met"
	if !out.Met {
		word = "OFF"
	}
	inputs, _ := json.Marshal(c.Inputs) // strings always marshal
	line := fmt.Sprintf("%s:%d: %s  %s %s %s: got %s, expected %s", file, c.Line, word, c.Calculation, c.Output, inputs, out.Got, c.Expected+c.Refused)
	if c.Tolerance != "" {
		line += " within " + c.Tolerance
	}
	if out.Off != "" {
		line += ", off by " + out.Off
	}
	return shown(line + " (" + c.Source + "; " + string(c.Known) + ")")
}
