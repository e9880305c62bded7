// Package published holds the check files, which state what calculations must
// answer and where that is published, and recomputes any such file.
//
// Start with Read and Verify; Bundled lists the files of this folder. A check
// file is a YAML list of rows:
//
//   - calculation: stress-area
//     inputs: {diameter: 8 mm, pitch: 1.25 mm}
//     output: area            # the calculation's first when left out
//     expected: 36.6 mm²      # with its unit; a number or a text where the output is one
//     tolerance: 0.05 mm²     # or "0.1 %"; left out for a text
//     source: "ISO 898-1:2013, table 4"
//     known: published        # or common practice, or from memory
//
// A band's ends are output.low and output.high; a table's field is
// output[row].column, rows counted from 1; verdict is the first verdict's level
// (good, careful, bad). refused: "words" in place of expected
// checks that the calculation refuses the inputs in a sentence with these words.
package published

import (
	"embed"
	"fmt"
	"io/fs"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"lastbolt/calc"
	"lastbolt/fault"
	"lastbolt/quantity"
)

//go:embed *.yaml
var files embed.FS

// Bundled lists the names of the bundled check files.
func Bundled() []string {
	names, err := fs.Glob(files, "*.yaml")
	if err != nil {
		panic(err)
	}
	return names
}

// Open gives the text of a bundled check file.
func Open(name string) ([]byte, error) { return files.ReadFile(name) }

// A Check is one row of a check file.
type Check struct {
	Calculation string
	Inputs      map[string]string
	Output      string
	Expected    string
	Tolerance   string
	Refused     string
	Source      string
	Known       calc.Known
	Line        int // in the file
}

// row is a Check as it stands in the file.
type row struct {
	Calculation string
	Inputs      map[string]any
	Output      string
	Expected    any
	Tolerance   any
	Refused     string
	Source      string
	Known       string
}

// MaxBytes is the largest check file read.
const MaxBytes = 8 << 20

// Read reads a check file; name is for the errors, which give line and column.
func Read(name string, text []byte) ([]Check, error) {
	if len(text) > MaxBytes {
		return nil, fault.New(fault.TooLarge, "%s: the file is over %d MB; split it.", name, MaxBytes>>20)
	}
	file, err := parser.ParseBytes(text, 0)
	if err != nil {
		return nil, fault.Wrap(err, fault.Bad, "%s: %s", name, yamlSentence(err))
	}
	var checks []Check
	for _, doc := range file.Docs {
		if doc.Body == nil {
			continue
		}
		list, ok := doc.Body.(*ast.SequenceNode)
		if !ok {
			at := doc.Body.GetToken().Position
			return nil, fault.New(fault.Bad, "%s:%d:%d: a check file is a list; begin each check with \"- calculation:\".", name, at.Line, at.Column)
		}
		for _, node := range list.Values {
			check, err := readRow(name, node)
			if err != nil {
				return nil, err
			}
			checks = append(checks, check)
		}
	}
	if len(checks) == 0 {
		return nil, fault.New(fault.Bad, "%s: there is no check in the file; begin each with \"- calculation:\".", name)
	}
	return checks, nil
}

func readRow(name string, node ast.Node) (Check, error) {
	at := begins(node)
	var r row
	if err := yaml.NodeToValue(node, &r, yaml.Strict()); err != nil {
		return Check{}, fault.Wrap(err, fault.Bad, "%s: %s", name, yamlSentence(err))
	}
	c := Check{Calculation: r.Calculation, Inputs: map[string]string{}, Output: r.Output, Expected: scalar(r.Expected),
		Tolerance: scalar(r.Tolerance), Refused: r.Refused, Source: r.Source, Known: calc.Known(r.Known), Line: at.Line}
	for key, v := range r.Inputs {
		c.Inputs[key] = scalar(v)
	}
	problem := ""
	switch {
	case c.Calculation == "":
		problem = "the check names no calculation; add calculation:"
	case c.Source == "":
		problem = "the check names no source; add source:"
	case !slices.Contains([]calc.Known{calc.Published, calc.CommonPractice, calc.FromMemory}, c.Known):
		problem = "the check does not say how its value is known; add known: published, common practice or from memory"
	case (c.Expected == "") == (c.Refused == ""):
		problem = "the check needs either expected: or refused:"
	}
	if problem != "" {
		return Check{}, fault.New(fault.Bad, "%s:%d:%d: %s.", name, at.Line, at.Column, problem)
	}
	return c, nil
}

// begins is where a row begins: at its first key, since a mapping's own token
// is the separator behind it.
func begins(node ast.Node) *token.Position {
	switch n := node.(type) {
	case *ast.MappingNode:
		if len(n.Values) > 0 {
			return n.Values[0].Key.GetToken().Position
		}
	case *ast.MappingValueNode:
		return n.Key.GetToken().Position
	}
	return node.GetToken().Position
}

// scalar writes a YAML value as a person would type it; a list of lines is a
// table's rows.
func scalar(v any) string {
	switch n := v.(type) {
	case nil:
		return ""
	case string:
		return n
	case bool:
		return map[bool]string{true: "yes", false: "no"}[n]
	case float64:
		return strconv.FormatFloat(n, 'g', -1, 64)
	case []any:
		var lines []string
		for _, line := range n {
			lines = append(lines, scalar(line))
		}
		return strings.Join(lines, "\n")
	}
	return fmt.Sprint(v)
}

func yamlSentence(err error) string {
	text := strings.TrimSpace(err.Error())
	first, _, _ := strings.Cut(text, "\n")
	if m := regexp.MustCompile(`^\[(\d+):(\d+)\] (.*)$`).FindStringSubmatch(first); m != nil {
		return m[1] + ":" + m[2] + ": " + m[3]
	}
	return first
}

// An Outcome is one check recomputed.
type Outcome struct {
	Check Check
	Got   string
	Met   bool
	Off   string // by how much, or why it could not be computed
}

// Verify recomputes one check.
func Verify(r *calc.Registry, c Check) Outcome {
	out := Outcome{Check: c}
	d, err := r.Find(c.Calculation)
	if err != nil {
		out.Off = fault.Say(err)
		return out
	}
	answer, err := d.Run(c.Inputs)
	switch {
	case c.Refused != "" && err == nil:
		out.Off = "it was answered, not refused"
		return out
	case c.Refused != "":
		out.Got = fault.Say(err)
		out.Met = fault.Is(err, fault.Bad) && strings.Contains(out.Got, c.Refused)
		return out
	case err != nil:
		out.Off = fault.Say(err)
		return out
	}
	out.compare(answer)
	return out
}

// compare finds the output a check is about and compares it.
func (out *Outcome) compare(answer *calc.Outcome) {
	c := out.Check
	if c.Output == "verdict" {
		if len(answer.Verdicts) == 0 {
			out.Off = "there is no verdict"
			return
		}
		out.Got = string(answer.Verdicts[0].Level)
		out.Met = out.Got == c.Expected
		return
	}
	r, part, problem := pick(answer, c.Output)
	if problem != "" {
		out.Off = problem
		return
	}
	kind := r.Output.Kind
	if kind == calc.Text || kind == calc.YesNo {
		out.Got = r.Text
		out.Met = r.Text == c.Expected
		return
	}
	got := r.Likely
	switch part {
	case "low":
		got = r.Low
	case "high":
		got = r.High
	}
	out.Got = write(r, got)
	want, err := amount(r.Output, c.Expected, false)
	if err != nil {
		out.Off = "expected: " + err.Error()
		return
	}
	tolerance, err := allowance(r.Output, c.Tolerance, want)
	if err != nil {
		out.Off = "tolerance: " + err.Error()
		return
	}
	off := math.Abs(got - want)
	out.Met = off <= tolerance
	if kind == calc.Number || kind == calc.Count || r.Output.Unit == "" {
		out.Off = strconv.FormatFloat(got-want, 'g', 3, 64)
		return
	}
	out.Off = strconv.FormatFloat(r.Count(got)-r.Count(want), 'g', 3, 64) + " " + r.Output.Unit
}

func write(r calc.Result, base float64) string {
	text := strconv.FormatFloat(r.Count(base), 'g', 7, 64)
	if r.Output.Unit != "" {
		text += " " + r.Output.Unit
	}
	return text
}

var place = regexp.MustCompile(`^([a-z0-9_]+)(?:\[(\d+)\]\.([a-z0-9_]+))?(?:\.(low|likely|high))?$`)

// pick finds the result a check's output names.
func pick(answer *calc.Outcome, name string) (r calc.Result, part, problem string) {
	if name == "" {
		name = answer.Definition.Outputs[0].Name
	}
	m := place.FindStringSubmatch(name)
	if m == nil {
		return r, "", fmt.Sprintf("output %q cannot be read: write name, name.low or name[2].column", name)
	}
	r, ok := answer.Result(m[1])
	if !ok {
		return r, "", fmt.Sprintf("the answer has no output %q", m[1])
	}
	if m[2] == "" {
		return r, m[4], ""
	}
	n, _ := strconv.Atoi(m[2])
	if n < 1 || n > len(r.Rows) {
		return r, "", fmt.Sprintf("%s has %d rows, not a row %d", m[1], len(r.Rows), n)
	}
	for _, field := range r.Rows[n-1] {
		if field.Output.Name == m[3] {
			return field, m[4], ""
		}
	}
	return r, "", fmt.Sprintf("%s has no column %q", m[1], m[3])
}

// amount reads an expected value in base units of the output; a difference has
// no zero point.
func amount(o calc.Output, text string, difference bool) (float64, error) {
	if o.Kind == calc.Number || o.Kind == calc.Count {
		bare := text
		if o.Unit != "" {
			bare = strings.TrimSpace(strings.TrimSuffix(text, o.Unit))
		}
		return strconv.ParseFloat(bare, 64)
	}
	kind := o.Kind
	if kind == "temperature" && difference {
		kind = "temperature difference"
	}
	base, _, err := quantity.ReadAs(kind, text)
	return base, err
}

// allowance reads a tolerance: an amount, or a share of what is expected.
func allowance(o calc.Output, text string, want float64) (float64, error) {
	if text == "" {
		return 0, fmt.Errorf("none is given; write an amount or a share such as 0.5 %%")
	}
	if share, ok := strings.CutSuffix(strings.TrimSpace(text), "%"); ok && o.Unit != "%" {
		n, err := strconv.ParseFloat(strings.TrimSpace(share), 64)
		return math.Abs(want) * n / 100, err
	}
	return amount(o, text, true)
}
