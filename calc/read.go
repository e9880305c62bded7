package calc

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"lastbolt/fault"
	"lastbolt/quantity"
)

// In is the inputs of one run, read and within their limits. Asking for an
// input that is not declared, or as another kind, is a mistake in the program
// and panics.
type In struct {
	inputs []Input
	values map[string]value
	row    int // the line of a table's row, 0 outside
}

// value is one input read.
type value struct {
	given bool
	kind  string
	text  string  // in the house spelling
	base  float64 // of a quantity in base units, or the number
	rows  []In
}

// A Problem is what is wrong with one input.
type Problem struct {
	Input string // the input's name, "" when no single one is to blame
	Say   string // a whole sentence
}

// Problems is every problem found in the inputs of one run.
type Problems []Problem

// Error joins the sentences.
func (p Problems) Error() string {
	var all []string
	for _, problem := range p {
		all = append(all, problem.Say)
	}
	return strings.Join(all, " ")
}

// ProblemsOf takes the problems out of an error of Run; another error becomes
// one problem of no input.
func ProblemsOf(err error) Problems {
	if err == nil {
		return nil
	}
	if f, ok := err.(*fault.Error); ok {
		if p, ok := f.Err.(Problems); ok {
			return p
		}
	}
	return Problems{{Say: fault.Say(err)}}
}

func refuse(problems Problems) error {
	return &fault.Error{Code: fault.Bad, Say: problems.Error(), Err: problems}
}

// read reads the texts given for the inputs.
func read(inputs []Input, given map[string]string) (In, Problems) {
	in := In{inputs: inputs, values: map[string]value{}}
	var problems Problems
	var names []string
	for _, i := range inputs {
		names = append(names, i.Name)
	}
	for _, name := range slices.Sorted(maps.Keys(given)) {
		if !slices.Contains(names, name) {
			problems = append(problems, Problem{name, fmt.Sprintf("There is no input %q here%s", name, didYouMean(name, names))})
		}
	}
	for _, i := range inputs {
		v, say := i.read(given[i.Name])
		if say != "" {
			problems = append(problems, Problem{i.Name, i.Title + ": " + say})
		}
		in.values[i.Name] = v
	}
	return in, problems
}

// read reads one input; say is the rest of a sentence about what is wrong.
func (i Input) read(text string) (v value, say string) {
	text = strings.TrimSpace(text)
	if text == "" {
		text = i.Default
	}
	v.kind = i.Kind
	if text == "" {
		if i.Optional {
			return v, ""
		}
		return v, "nothing is given; " + i.hint() + "."
	}
	if i.Kind != Text && i.Kind != Table && len(text) > longest {
		return v, fmt.Sprintf("what is written is %d letters long, which no answer here is; %s.", utf8.RuneCountInString(text), i.hint())
	}
	v.given, v.text = true, text
	switch i.Kind {
	case Number, Count:
		v.base, say = readNumber(text, i.Unit)
		if say == "" && i.Kind == Count && v.base != math.Trunc(v.base) {
			say = fmt.Sprintf("%s is not a whole number; write for example 4.", text)
		}
		if say == "" {
			v.text = plain(v.base)
		}
	case Choice:
		v.text, say = i.choose(text)
	case YesNo:
		v.text, say = yesNo(text)
	case Text:
	case Date:
		day, err := time.Parse("2006-01-02", text)
		if err != nil {
			say = fmt.Sprintf("%q is not a date; write year, month and day as in 2026-03-01.", text)
		}
		v.base = float64(day.Unix())
	case Table:
		v.rows, say = i.readRows(text)
	default:
		base, written, err := quantity.ReadAs(i.Kind, text)
		if err != nil {
			return v, err.Error() + "."
		}
		v.base, v.text = base, written
	}
	if say == "" && i.Kind != Choice && i.Kind != Text && i.Kind != Table && i.Kind != YesNo {
		say = i.limits(v)
	}
	return v, say
}

// hint says what to write.
func (i Input) hint() string {
	switch i.Kind {
	case Number, Count:
		return "write a number"
	case Choice:
		return "choose one of " + i.list()
	case YesNo:
		return "write yes or no"
	case Text:
		return "write it in words"
	case Date:
		return "write a date as in 2026-03-01"
	case Table:
		return "write one row a line: " + i.header()
	}
	return "write a number with its unit, such as " + i.Unit
}

// limits says how a value breaks the input's limits, "" when it does not.
func (i Input) limits(v value) string {
	if i.Min != "" {
		least, _ := i.limit(i.Min)
		if v.base < least || i.Above && v.base == least {
			word := "at least"
			if i.Above {
				word = "more than"
			}
			return fmt.Sprintf("%s is too small; it must be %s %s.", v.text, word, i.Min)
		}
	}
	if i.Max != "" {
		most, _ := i.limit(i.Max)
		if v.base > most || i.Below && v.base == most {
			word := "at most"
			if i.Below {
				word = "less than"
			}
			return fmt.Sprintf("%s is too large; it must be %s %s.", v.text, word, i.Max)
		}
	}
	return ""
}

// limit reads a limit as the input itself is read.
func (i Input) limit(text string) (float64, string) {
	switch i.Kind {
	case Number, Count:
		return readNumber(text, i.Unit)
	case Date:
		day, err := time.Parse("2006-01-02", text)
		if err != nil {
			return 0, err.Error()
		}
		return float64(day.Unix()), ""
	}
	base, _, err := quantity.ReadAs(i.Kind, text)
	if err != nil {
		return 0, err.Error()
	}
	return base, ""
}

func (i Input) list() string {
	var all []string
	for _, o := range i.Choices {
		all = append(all, o.Value)
	}
	return orList(all)
}

func (i Input) choose(text string) (string, string) {
	for _, o := range i.Choices {
		if strings.EqualFold(o.Value, text) || strings.EqualFold(o.Title, text) {
			return o.Value, ""
		}
	}
	return text, fmt.Sprintf("%q is not one of the choices; write %s.", text, i.list())
}

func yesNo(text string) (string, string) {
	switch strings.ToLower(text) {
	case "yes", "y", "true", "on", "1":
		return "yes", ""
	case "no", "n", "false", "off", "0":
		return "no", ""
	}
	return text, fmt.Sprintf("%q is neither yes nor no.", text)
}

// readNumber reads a plain number, with the sign of its unit behind it or not.
func readNumber(text, unit string) (float64, string) {
	bare := strings.TrimSpace(text)
	if unit != "" {
		bare = strings.TrimSpace(strings.TrimSuffix(bare, unit))
	}
	if strings.Count(bare, ",") == 1 && !strings.Contains(bare, ".") {
		bare = strings.Replace(bare, ",", ".", 1)
	}
	n, err := strconv.ParseFloat(strings.ReplaceAll(bare, "\u2212", "-"), 64)
	if err == nil && math.Abs(n) > 1e15 { // nothing that is measured, and unreadable when written out
		return 0, fmt.Sprintf("%q is far too large; look at the number again.", text)
	}
	if err != nil || math.IsNaN(n) || math.IsInf(n, 0) || strings.ContainsAny(bare, "xXpP_") {
		return 0, fmt.Sprintf("%q is not a number; write for example 0.5.", text)
	}
	return n, ""
}

// longest is more than any number, unit or choice needs.
const longest = 120

func plain(n float64) string { return strconv.FormatFloat(n, 'f', -1, 64) }

// header names a table's columns as a row is written.
func (i Input) header() string {
	var all []string
	for _, c := range i.Columns {
		name := c.Title
		if c.Unit != "" {
			name += " (" + c.Unit + ")"
		}
		all = append(all, name)
	}
	return strings.Join(all, "; ")
}

// readRows reads a table: one row a line (or between bars), its fields between
// semicolons, tabs or, where there are none of these, commas. A bare number
// takes the column's unit, which stands in the header.
func (i Input) readRows(text string) ([]In, string) {
	most := i.MaxRows
	if most == 0 {
		most = 100
	}
	var rows []In
	line := 0
	for part := range strings.SplitSeq(strings.ReplaceAll(text, "|", "\n"), "\n") {
		line++
		part = strings.TrimSpace(part)
		if part == "" || strings.HasPrefix(part, "#") {
			continue
		}
		if len(rows) == most {
			return nil, fmt.Sprintf("there are more than %d rows; leave some out.", most)
		}
		row, say := i.readRow(part)
		if say != "" {
			return nil, fmt.Sprintf("line %d: %s", line, say)
		}
		row.row = line
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		return nil, "there is no row in it; " + i.hint() + "."
	}
	return rows, ""
}

func (i Input) readRow(part string) (In, string) {
	separator := ","
	switch {
	case strings.Contains(part, ";"):
		separator = ";"
	case strings.Contains(part, "\t"):
		separator = "\t"
	}
	fields := strings.Split(part, separator)
	if len(fields) > len(i.Columns) {
		return In{}, fmt.Sprintf("it has %d fields and there are %d columns; write %s.", len(fields), len(i.Columns), i.header())
	}
	given := map[string]string{}
	for n, field := range fields {
		given[i.Columns[n].Name] = i.Columns[n].WithUnit(field)
	}
	row, problems := read(i.Columns, given)
	if len(problems) > 0 {
		return In{}, problems[0].Say
	}
	return row, ""
}

// WithUnit puts the input's unit behind a bare number, for a place that shows
// the unit beside the field. Anything else stays as it is.
func (i Input) WithUnit(text string) string {
	text = strings.TrimSpace(text)
	if !i.Measured() || i.Unit == "" {
		return text
	}
	if _, say := readNumber(text, ""); say != "" {
		return text
	}
	return text + " " + i.Unit
}

// Measured reports whether the input is a quantity, with a unit.
func (i Input) Measured() bool { return slices.Contains(quantity.Names(), i.Kind) }
