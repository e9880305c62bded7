package web

import (
	"fmt"
	"strings"

	"lastbolt/calc"
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

// answerView is what came out.
type answerView struct {
	Asked    bool // something was filled in
	Problems []string
	Verdicts []calc.Verdict
	Results  []resultView
	Tables   []tableView
	Steps    []calc.Step
	Notes    []string
	Cautions []string
	Figures  []string
	Assumed  []parts.Fact
	JSON     string
	Paper    string
	Keep     *parts.ActionInfo // keeps the answer in the job it was asked for
}

type resultView struct {
	Title, Value, Help string
	Source             parts.Source
	Why                string
	Advice             bool
}

type tableView struct {
	Title   string
	Columns []string
	Numeric []bool
	Rows    [][]string
}

func viewAnswer(out *calc.Outcome, problems calc.Problems) answerView {
	var v answerView
	for _, p := range problems {
		v.Problems = append(v.Problems, p.Say)
	}
	if out == nil {
		return v
	}
	v.Verdicts, v.Steps, v.Notes, v.Cautions = out.Verdicts, out.Steps, out.Notes, out.Cautions
	for _, r := range out.Results {
		if r.Output.Kind == calc.Table {
			v.Tables = append(v.Tables, viewTable(r))
			continue
		}
		v.Results = append(v.Results, resultView{Title: r.Output.Title, Value: r.Show(), Help: r.Output.Help,
			Source: basisSource(r.Basis), Why: r.Why, Advice: r.Basis == calc.Advice})
	}
	for _, f := range out.Figures {
		v.Figures = append(v.Figures, draw.FigureSVG(f))
	}
	for _, a := range out.Asked {
		if a.Assumed {
			v.Assumed = append(v.Assumed, parts.Fact{Label: a.Input.Title, Value: a.Show()})
		}
	}
	return v
}

func viewTable(r calc.Result) tableView {
	t := tableView{Title: r.Output.Title}
	for _, c := range r.Output.Columns {
		t.Columns = append(t.Columns, c.Title)
		t.Numeric = append(t.Numeric, c.Kind != calc.Text && c.Kind != calc.YesNo)
	}
	for _, row := range r.Rows {
		var cells []string
		for _, cell := range row {
			cells = append(cells, cell.Show())
		}
		t.Rows = append(t.Rows, cells)
	}
	return t
}

func basisSource(b calc.Basis) parts.Source {
	switch b {
	case calc.Computed:
		return parts.Computed
	case calc.Tabulated:
		return parts.Published
	case calc.Maker:
		return parts.Maker
	case calc.Advice:
		return parts.Practice
	case calc.Measured:
		return parts.Measured
	}
	return parts.Unknown
}

// command is the same question for the command line.
func command(d *calc.Definition, given map[string]string) string {
	words := []string{"lastbolt", "calc", d.Name}
	for _, in := range d.Inputs {
		if text := given[in.Name]; text != "" {
			words = append(words, fmt.Sprintf("%s=%s", in.Name, quoted(strings.ReplaceAll(text, "\n", " | "))))
		}
	}
	return strings.Join(words, " ")
}

func quoted(text string) string {
	if strings.ContainsAny(text, " ;|\"'$&()<>*°²³·") {
		return "'" + strings.ReplaceAll(text, "'", `'\''`) + "'"
	}
	return text
}
