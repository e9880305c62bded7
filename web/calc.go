package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"lastbolt/calc"
	"lastbolt/calc/all"
	"lastbolt/paper"
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

// calculations is every calculation there is; it never changes while running.
var calculations = all.Registry()

func (h *Host) calcRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /work-out", h.listCalculations)
	mux.HandleFunc("GET /work-out/{calc}", h.showCalculation)
	mux.HandleFunc("GET /work-out/{calc}/answer.json", h.answerJSON)
	mux.HandleFunc("GET /work-out/{calc}/answer.pdf", h.answerPaper)
	mux.HandleFunc("POST /jobs/{job}/worked-out", h.post(makeWorked, toStep))
}

// calcURL is a calculation's page with inputs filled in: name, value, name, value.
func calcURL(name string, inputs ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(inputs); i += 2 {
		if inputs[i+1] != "" {
			q.Set(inputs[i], inputs[i+1])
		}
	}
	u := "/work-out/" + name
	if len(q) > 0 {
		u += "?" + q.Encode()
	}
	return u
}

// calcListView is the list of calculations.
type calcListView struct {
	Query  string
	Hidden []parts.Pair
	Back   parts.Link
	Groups []calcGroupView
}

type calcGroupView struct {
	Title, About string
	Rows         []rowView
}

func (h *Host) listCalculations(w http.ResponseWriter, r *http.Request) {
	v := calcListView{Query: strings.TrimSpace(r.FormValue("q"))}
	p := h.page(r, parts.WorkOut, "Work out")
	inJob := ""
	if id := r.FormValue("_job"); id != "" {
		s, err := h.load(r.Context(), id)
		if err != nil {
			h.fail(w, r, err)
			return
		}
		p = h.jobFrame(r, s, "Work out")
		inJob = forJob(s, r.FormValue("_step"))
		v.Hidden = parts.Pairs("_job", s.ID, "_step", r.FormValue("_step"))
		v.Back = backTo(s, r.FormValue("_step"))
	}
	for _, g := range calculations.Groups() {
		group := calcGroupView{Title: g.Title, About: g.About}
		for _, d := range g.Calculations() {
			if !matches(d, v.Query) {
				continue
			}
			group.Rows = append(group.Rows, rowView{Href: calcURL(d.Name) + inJob, Name: d.Title, Beneath: d.About})
		}
		if len(group.Rows) > 0 {
			v.Groups = append(v.Groups, group)
		}
	}
	h.show(w, r, http.StatusOK, calcListPage(p, v))
}

// matches tells whether every word asked for stands in what a calculation says
// of itself.
func matches(d *calc.Definition, query string) bool {
	text := strings.ToLower(strings.Join([]string{d.Name, d.Title, d.About, d.Method, d.Group().Title}, " "))
	for _, in := range d.Inputs {
		text += " " + strings.ToLower(in.Title)
	}
	for word := range strings.FieldsSeq(strings.ToLower(query)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

// calcView is one calculation's page.
type calcView struct {
	URL, Title, About string
	Back              parts.Link
	Hidden            []parts.Pair
	Fields            []calcField
	Example           string // address with an example filled in
	Answer            answerView
	Method            []string
	Sources           []calc.Source
	Command           string // the same on the command line
}

// calcField is one input as a field, or a table of them.
type calcField struct {
	parts.FieldInfo
	Rows [][]parts.FieldInfo // of a table
}

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

func (h *Host) showCalculation(w http.ResponseWriter, r *http.Request) {
	d, err := calculations.Find(r.PathValue("calc"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := viewCalculation(d, r)
	p := h.page(r, parts.WorkOut, d.Title)
	if id := r.FormValue("_job"); id != "" {
		s, err := h.load(r.Context(), id)
		if err != nil {
			h.fail(w, r, err)
			return
		}
		v.inJob(d, s, r)
		p = h.jobFrame(r, s, d.Title)
		p.Live = "" // an event elsewhere must not wipe a half-filled form
	}
	if r.Header.Get("X-Part") == "answer" { // the page asks for what changed alone
		h.show(w, r, http.StatusOK, calcAnswer(v.Answer))
		return
	}
	h.show(w, r, http.StatusOK, calcPage(p, v))
}

func (h *Host) answerJSON(w http.ResponseWriter, r *http.Request) {
	d, err := calculations.Find(r.PathValue("calc"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	given, _ := typedInputs(d, r)
	out, err := d.Run(given)
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	if err != nil {
		w.WriteHeader(statusOf(err))
		writeJSON(w, map[string]any{"problems": calc.ProblemsOf(err)})
		return
	}
	writeJSON(w, out)
}

func (h *Host) answerPaper(w http.ResponseWriter, r *http.Request) {
	d, err := calculations.Find(r.PathValue("calc"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	given, _ := typedInputs(d, r)
	out, err := d.Run(given)
	if err == nil {
		var pdf []byte
		if pdf, err = paper.Answer(out, paper.Options{Now: h.Now(), Zone: h.zone()}); err == nil {
			w.Header().Set("Content-Type", "application/pdf")
			w.Header().Set("Content-Disposition", `inline; filename="`+d.Name+`.pdf"`)
			w.Write(pdf) // a broken connection is the reader's to notice
			return
		}
	}
	h.fail(w, r, err)
}

func viewCalculation(d *calc.Definition, r *http.Request) calcView {
	given, asked := typedInputs(d, r)
	v := calcView{URL: calcURL(d.Name), Back: parts.Link{Label: "All calculations", Href: "/work-out"}, Title: d.Title, About: d.About, Sources: d.Sources,
		Method: paragraphs(d.Method), Example: exampleURL(d)}
	var problems calc.Problems
	if asked {
		out, err := d.Run(given)
		problems = calc.ProblemsOf(err)
		v.Answer = viewAnswer(out, problems)
		v.Answer.Asked = true
		v.Answer.JSON = calcURL(d.Name) + "/answer.json?" + r.URL.RawQuery
		v.Answer.Paper = calcURL(d.Name) + "/answer.pdf?" + r.URL.RawQuery
		v.Command = command(d, given)
	}
	for _, in := range d.Inputs {
		v.Fields = append(v.Fields, fieldFor(in, given[in.Name], problems))
	}
	return v
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
			v.Assumed = append(v.Assumed, parts.Fact{Label: a.Input.Title, Value: optionTitle(a.Input, a.Text)})
		}
	}
	return v
}

func optionTitle(in calc.Input, value string) string {
	for _, o := range in.Choices {
		if o.Value == value {
			return o.Title
		}
	}
	if in.Kind == calc.Number && in.Unit != "" {
		return value + " " + in.Unit
	}
	return value
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

func exampleURL(d *calc.Definition) string {
	var inputs []string
	for _, in := range d.Inputs {
		inputs = append(inputs, in.Name, d.Example[in.Name])
	}
	return calcURL(d.Name, inputs...)
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

func paragraphs(text string) []string {
	var all []string
	for p := range strings.SplitSeq(text, "\n\n") {
		if p = strings.TrimSpace(p); p != "" {
			all = append(all, p)
		}
	}
	return all
}

func verdictWord(l calc.Level) string {
	switch l {
	case calc.Good:
		return "Good:"
	case calc.Bad:
		return "No:"
	}
	return "With care:"
}

func writeJSON(w http.ResponseWriter, v any) {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.Encode(v) // a broken connection is the reader's to notice
}
