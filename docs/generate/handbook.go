package main

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"lastbolt/calc"
	"lastbolt/fault"
	"lastbolt/published"
	"lastbolt/web/draw"
)

// handbook makes every page by file name, README.md the index.
func handbook(r *calc.Registry) (map[string]string, error) {
	checks, err := checksOf()
	if err != nil {
		return nil, err
	}
	pages := map[string]string{}
	var index strings.Builder
	index.WriteString("# Handbook\n\nEvery calculation: what it asks, how it works, an example worked through, and the published values it is checked against. These pages are generated from the calculations themselves.\n")
	for _, g := range r.Groups() {
		fmt.Fprintf(&index, "\n## %s\n\n%s\n\n", g.Title, g.About)
		for _, d := range g.Calculations() {
			fmt.Fprintf(&index, "- [%s](%s.md): %s\n", d.Title, d.Name, d.About)
			page, figures, err := pageOf(d, checks[d.Name])
			if err != nil {
				return nil, err
			}
			pages[d.Name+".md"] = page
			for name, svg := range figures {
				pages[name] = svg
			}
		}
	}
	pages["README.md"] = index.String()
	return pages, nil
}

// checksOf reads the bundled check files, by calculation.
func checksOf() (map[string][]published.Check, error) {
	byName := map[string][]published.Check{}
	for _, name := range published.Bundled() {
		text, err := published.Open(name)
		if err != nil {
			return nil, err
		}
		checks, err := published.Read(name, text)
		if err != nil {
			return nil, err
		}
		for _, c := range checks {
			byName[c.Calculation] = append(byName[c.Calculation], c)
		}
	}
	return byName, nil
}

// pageOf makes one calculation's page and the drawings of its example.
func pageOf(d *calc.Definition, checks []published.Check) (string, map[string]string, error) {
	var b strings.Builder
	figures := map[string]string{}
	fmt.Fprintf(&b, "# %s\n\n%s\n", d.Title, d.About)
	for _, c := range d.Cautions {
		fmt.Fprintf(&b, "\n> **Caution:** %s\n", c)
	}
	b.WriteString("\n## What it asks\n\n| name | what | kind | limits | if left out |\n|---|---|---|---|---|\n")
	for _, in := range d.Inputs {
		inputRow(&b, in, "")
	}
	b.WriteString("\n## What it answers\n\n| name | what | unit |\n|---|---|---|\n")
	for _, o := range d.Outputs {
		outputRow(&b, o, "")
	}
	if d.Method != "" {
		fmt.Fprintf(&b, "\n## How it works\n\n%s\n", strings.TrimSpace(d.Method))
	}
	if len(d.Example) > 0 {
		out, err := d.Run(d.Example)
		if err != nil {
			return "", nil, fmt.Errorf("the example of %s: %s", d.Name, fault.Say(err))
		}
		example(&b, d, out)
		for i, f := range out.Figures {
			name := fmt.Sprintf("%s-%d.svg", d.Name, i+1)
			var svg strings.Builder
			draw.WriteFigure(&svg, f, true) // a strings.Builder never fails
			figures[name] = svg.String()
			fmt.Fprintf(&b, "\n![%s](%s)\n", cell(f.Alt), name)
		}
	}
	b.WriteString("\n## Where it comes from\n\n")
	for _, s := range d.Sources {
		fmt.Fprintf(&b, "- %s (%s)\n", s.Text, s.Known)
	}
	checkTable(&b, checks)
	return b.String(), figures, nil
}

func inputRow(b *strings.Builder, in calc.Input, within string) {
	kind := in.Kind
	if in.Unit != "" {
		kind += ", " + in.Unit
	}
	if len(in.Choices) > 0 {
		var values []string
		for _, o := range in.Choices {
			values = append(values, o.Value)
		}
		kind = "one of " + strings.Join(values, ", ")
	}
	out := "needed"
	if in.Default != "" {
		out = in.Default
	} else if in.Optional {
		out = "may be left out"
	}
	what := in.Title
	if in.Help != "" {
		what += ". " + in.Help
	}
	fmt.Fprintf(b, "| `%s%s` | %s | %s | %s | %s |\n", within, in.Name, cell(what), cell(kind), cell(limits(in)), cell(out))
	for _, c := range in.Columns {
		inputRow(b, c, within+in.Name+".")
	}
}

func limits(in calc.Input) string {
	var all []string
	if in.Min != "" {
		word := "at least "
		if in.Above {
			word = "more than "
		}
		all = append(all, word+in.Min)
	}
	if in.Max != "" {
		word := "at most "
		if in.Below {
			word = "less than "
		}
		all = append(all, word+in.Max)
	}
	return strings.Join(all, ", ")
}

func outputRow(b *strings.Builder, o calc.Output, within string) {
	what := o.Title
	if o.Help != "" {
		what += ". " + o.Help
	}
	unit := o.Unit
	if unit == "" {
		unit = o.Kind
	}
	fmt.Fprintf(b, "| `%s%s` | %s | %s |\n", within, o.Name, cell(what), cell(unit))
	for _, c := range o.Columns {
		outputRow(b, c, within+o.Name+".")
	}
}

// example writes an example's question, answer and working.
func example(b *strings.Builder, d *calc.Definition, out *calc.Outcome) {
	b.WriteString("\n## An example\n\n```\nlastbolt calc " + d.Name)
	for _, in := range d.Inputs {
		if text := d.Example[in.Name]; text != "" {
			fmt.Fprintf(b, " \\\n  %s='%s'", in.Name, strings.ReplaceAll(strings.TrimSpace(text), "\n", " | "))
		}
	}
	b.WriteString("\n```\n")
	for _, v := range out.Verdicts {
		fmt.Fprintf(b, "\n**%s:** %s\n", v.Level, v.Say)
	}
	b.WriteString("\n| answer | | rests on |\n|---|---|---|\n")
	for _, r := range out.Results {
		if r.Output.Kind != calc.Table {
			why := string(r.Basis)
			if r.Why != "" {
				why += ": " + r.Why
			}
			fmt.Fprintf(b, "| %s | %s | %s |\n", cell(r.Output.Title), cell(r.Show()), cell(why))
		}
	}
	for _, r := range out.Results {
		if r.Output.Kind == calc.Table {
			rows(b, r)
		}
	}
	if len(out.Steps) > 0 {
		b.WriteString("\nThe working:\n\n")
		for i, s := range out.Steps {
			fmt.Fprintf(b, "%d. %s", i+1, s.Title)
			for _, line := range []string{s.Formula, s.Filled} {
				if line != "" {
					fmt.Fprintf(b, "  \n   `%s`", strings.ReplaceAll(line, "`", "'"))
				}
			}
			b.WriteString("\n")
		}
	}
	for _, n := range out.Notes {
		fmt.Fprintf(b, "\n%s\n", n)
	}
}

func rows(b *strings.Builder, r calc.Result) {
	fmt.Fprintf(b, "\n%s:\n\n|", r.Output.Title)
	for _, c := range r.Output.Columns {
		fmt.Fprintf(b, " %s |", cell(c.Title))
	}
	b.WriteString("\n|" + strings.Repeat("---|", len(r.Output.Columns)) + "\n")
	for _, row := range r.Rows {
		b.WriteString("|")
		for _, field := range row {
			fmt.Fprintf(b, " %s |", cell(field.Show()))
		}
		b.WriteString("\n")
	}
}

// checkTable lists the published values the calculation is checked against.
func checkTable(b *strings.Builder, checks []published.Check) {
	if len(checks) == 0 {
		return
	}
	b.WriteString("\n## Checked against\n\n| with | expected | within | source | known |\n|---|---|---|---|---|\n")
	for _, c := range checks {
		var with []string
		for _, name := range sortedKeys(c.Inputs) {
			with = append(with, name+" "+c.Inputs[name])
		}
		expected := c.Expected
		if c.Refused != "" {
			expected = "refused: " + c.Refused
		}
		if c.Output != "" {
			expected = c.Output + " " + expected
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s |\n", cell(strings.Join(with, "; ")), cell(expected), cell(c.Tolerance), cell(c.Source), c.Known)
	}
}

// cell makes a text fit for a table's field.
func cell(text string) string {
	return strings.NewReplacer("|", "\\|", "\n", " / ").Replace(text)
}

func sortedKeys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }
