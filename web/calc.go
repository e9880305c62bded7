package web

import (
	"encoding/json"
	"net/http"
	"net/url"
	"strings"

	"lastbolt/calc"
	"lastbolt/calc/all"
	"lastbolt/paper"
	"lastbolt/web/parts"
)

// calculations is every calculation there is; it never changes while running.
var calculations = all.Registry()

func (h *Host) calcRoutes(mux *Router) {
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
	Seldom            []calcField // folded away: seldom needed, and not filled in
	Example           string      // address with an example filled in
	Answer            answerView
	Method            []string
	Sources           []calc.Source
	Command           string // the same on the command line
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
		f := fieldFor(in, given[in.Name], problems)
		if in.Seldom && f.Error == "" && (given[in.Name] == "" || given[in.Name] == in.Default) {
			v.Seldom = append(v.Seldom, f)
			continue
		}
		v.Fields = append(v.Fields, f)
	}
	return v
}

func exampleURL(d *calc.Definition) string {
	var inputs []string
	for _, in := range d.Inputs {
		inputs = append(inputs, in.Name, d.Example[in.Name])
	}
	return calcURL(d.Name, inputs...)
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

func writeJSON(w http.ResponseWriter, v any) {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.Encode(v) // a broken connection is the reader's to notice
}
