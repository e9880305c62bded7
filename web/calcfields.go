package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"lastbolt/calc"
	"lastbolt/web/parts"
)

// calcField is one input as a field, or a table of them.
type calcField struct {
	parts.FieldInfo
	Rows [][]parts.FieldInfo // of a table
}

// typedInputs reads what a form was filled with; a bare number takes the unit
// shown beside its field. Asked is whether anything was.
func typedInputs(d *calc.Definition, r *http.Request) (given map[string]string, asked bool) {
	given = map[string]string{}
	q := r.URL.Query()
	for _, in := range d.Inputs {
		text := in.WithUnit(q.Get(in.Name))
		if in.Kind == calc.Table && text == "" {
			text = typedRows(in, q)
		}
		if text != "" {
			given[in.Name] = text
		}
	}
	return given, asksAnything(d, q)
}

// asksAnything tells whether an address fills in any input; one that only says
// which job it is for does not.
func asksAnything(d *calc.Definition, q url.Values) bool {
	for name := range q {
		first, _, _ := strings.Cut(name, ".")
		if slices.ContainsFunc(d.Inputs, func(in calc.Input) bool { return in.Name == first }) {
			return true
		}
	}
	return len(d.Inputs) == 0
}

// typedRows joins a table's fields to the lines the registry reads.
func typedRows(in calc.Input, q url.Values) string {
	var lines []string
	for n := range 500 {
		var fields []string
		filled, there := false, false
		for _, c := range in.Columns {
			name := cellName(in, n, c)
			there = there || q.Has(name)
			// A semicolon or a bar would end the field: they mean nothing in one.
			text := strings.NewReplacer(";", ",", "|", "/", "\n", " ").Replace(strings.TrimSpace(q.Get(name)))
			filled = filled || text != ""
			fields = append(fields, text)
		}
		if !there {
			break
		}
		if filled {
			lines = append(lines, strings.Join(fields, "; "))
		}
	}
	return strings.Join(lines, "\n")
}

func cellName(in calc.Input, row int, c calc.Input) string {
	return in.Name + "." + strconv.Itoa(row) + "." + c.Name
}

func fieldFor(in calc.Input, text string, problems calc.Problems) calcField {
	f := calcField{FieldInfo: parts.FieldInfo{Name: in.Name, Label: in.Title, Hint: in.Help, Value: text,
		Required: !in.Optional && in.Default == ""}}
	if in.Optional {
		f.Hint = strings.TrimSpace(f.Hint + " May be left blank.")
	}
	for _, p := range problems {
		if p.Input == in.Name {
			f.Error = p.Say
		}
	}
	switch in.Kind {
	case calc.Choice:
		f.Type = "select"
		if f.Value == "" {
			f.Value = in.Default
		}
		if in.Default == "" {
			f.Options = append(f.Options, parts.Option{Value: "", Label: "choose"})
		}
		for _, o := range in.Choices {
			f.Options = append(f.Options, parts.Option{Value: o.Value, Label: o.Title})
		}
	case calc.YesNo:
		f.Type, f.Options = "select", parts.Options("yes", "yes", "no", "no")
		if f.Value == "" {
			f.Value = in.Default
		}
		if in.Default == "" {
			f.Options = append([]parts.Option{{Value: "", Label: "choose"}}, f.Options...)
		}
	case calc.Date:
		f.Type = "date"
	case calc.Table:
		f.Rows = rowsFor(in, text)
	case calc.Number, calc.Count:
		f.Placeholder, f.Unit, f.Mode = in.Default, in.Unit, "decimal"
	case calc.Text:
		f.Placeholder = in.Default
	default:
		// The unit stands beside the field for a bare number; another unit may be
		// written in it.
		f.Placeholder, f.Unit = in.Default, in.Unit
		f.Value = strings.TrimSuffix(text, " "+in.Unit)
	}
	return f
}

// rowsFor lays a table out as fields, with room for more rows.
func rowsFor(in calc.Input, text string) [][]parts.FieldInfo {
	var lines []string
	for line := range strings.SplitSeq(strings.ReplaceAll(text, "|", "\n"), "\n") {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			lines = append(lines, line)
		}
	}
	most := in.MaxRows
	if most == 0 {
		most = 100
	}
	var rows [][]parts.FieldInfo
	for n := range min(max(len(lines)+2, 3), most) {
		var cells []string
		if n < len(lines) {
			separator := ","
			if strings.Contains(lines[n], ";") {
				separator = ";"
			} else if strings.Contains(lines[n], "\t") {
				separator = "\t"
			}
			cells = strings.Split(lines[n], separator)
		}
		var row []parts.FieldInfo
		for i, c := range in.Columns {
			value := ""
			if i < len(cells) {
				value = strings.TrimSpace(cells[i])
			}
			f := fieldFor(c, value, nil).FieldInfo
			f.Name, f.Required, f.Hint = cellName(in, n, c), false, ""
			if f.Type == "select" && value == "" {
				f.Value = ""
				for i, o := range f.Options {
					if o.Value == c.Default { // blank, so that an empty row stays empty
						f.Options[i].Value = ""
					}
				}
			}
			row = append(row, f)
		}
		rows = append(rows, row)
	}
	return rows
}
