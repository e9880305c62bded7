package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

func (h *Host) showNewMap(w http.ResponseWriter, r *http.Request, status int, t *typed, problem string) {
	e := editView{Title: "A new map", URL: "/new/map", Action: "Start the map", Sub: "then make it fit the vehicle", Error: problem, Back: parts.Link{Label: "Maps", Href: "/maps"},
		Lead: "Starters hold what most vehicles have in common. Every torque and amount in them is not known: look it up for yours."}
	e.Sections = append(e.Sections, sectionView{Cells: []cell{{FieldInfo: t.field(parts.FieldInfo{Name: "name", Label: "What is the map of?", Placeholder: "Tern van 1.4, front end"})}}})
	starters := sectionView{Title: "Begin with", Ticks: true}
	for _, s := range access.Starters() {
		starters.Cells = append(starters.Cells, cell{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: "starter:" + s.ID, Label: s.Name})})
	}
	e.Sections = append(e.Sections, starters)
	p := h.page(r, parts.Maps, e.Title)
	p.Reading = true
	h.show(w, r, status, longFormPage(p, e))
}

func (h *Host) startMap(w http.ResponseWriter, r *http.Request) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	var chosen []string
	for _, s := range access.Starters() {
		if t.ticked("starter:" + s.ID) {
			chosen = append(chosen, s.ID)
		}
	}
	name := strings.Join(strings.Fields(t.Get("name")), " ")
	if name == "" {
		t.refuse("name", "Write what the map is of, for example the vehicle and which part of it.")
	}
	switch {
	case len(chosen) == 0:
		h.showNewMap(w, r, http.StatusUnprocessableEntity, t, "Choose at least one starter to begin with. A map can also be imported, or come from a job done without one.")
		return
	case len(t.wrong) > 0:
		h.showNewMap(w, r, http.StatusUnprocessableEntity, t, "")
		return
	}
	m, err := access.FromStarter(chosen...)
	if err == nil {
		m.Name = name
		m.ID, err = h.freeID(r.Context(), garage.KindMap, name)
	}
	if err == nil {
		_, _, err = h.kept().Save(r.Context(), m.ID, m.Encode(), garage.Edit{At: h.Now(), Note: "from " + strings.Join(chosen, ", ")})
	}
	if err != nil {
		h.showNewMap(w, r, statusOf(err), t, sentence(err))
		return
	}
	http.Redirect(w, r, mapURL(m.ID, "")+"?said=Started", http.StatusSeeOther)
}

// importLimit leaves room beside a file of the largest size for the text in
// the form, which holds the same.
const importLimit = 2*access.MaxBytes + formLimit

func (h *Host) showImport(w http.ResponseWriter, r *http.Request, status int, t *typed, e editView) {
	e.Title, e.URL, e.File, e.Action = "Import a map", "/import/map", true, "Import it"
	e.Lead = "A map is a YAML text file. Its first line is: format: " + access.Format
	e.Back = parts.Link{Label: "Maps", Href: "/maps"}
	s := sectionView{Code: true, Cells: []cell{
		{FieldInfo: t.field(parts.FieldInfo{Type: "file", Name: "file", Label: "The file"})},
		{FieldInfo: t.field(parts.FieldInfo{Type: "area", Name: "text", Label: "Or its text", Rows: 12})},
	}}
	if t.Has("exists") {
		s.Cells = append(s.Cells, cell{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: "next", Label: "Keep it as the next version of " + t.Get("exists")})})
		e.Hidden = append(e.Hidden, parts.Pairs("exists", t.Get("exists"), "base", t.Get("base"))...)
	}
	e.Sections = []sectionView{s}
	p := h.page(r, parts.Maps, e.Title)
	p.Reading = true
	h.show(w, r, status, longFormPage(p, e))
}

func (h *Host) importMap(w http.ResponseWriter, r *http.Request) {
	tooLarge := fmt.Sprintf("The file is larger than %d MB, more than a map may be, so it was not read. Split it into maps of parts of the vehicle.", access.MaxBytes>>20)
	t, files, err := readFiles(w, r, importLimit, tooLarge)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	name := "text"
	for _, f := range files.File["file"] {
		text, problem := textOf(f)
		if problem == "" && f.Size > access.MaxBytes {
			problem = tooLarge
		}
		if problem != "" {
			t.refuse("file", "%s", problem)
			h.showImport(w, r, http.StatusUnprocessableEntity, t, editView{})
			return
		}
		t.Set("text", text)
		name = f.Filename
	}
	text := strings.ReplaceAll(strings.TrimPrefix(t.Get("text"), "\ufeff"), "\r\n", "\n")
	if strings.TrimSpace(text) == "" {
		t.refuse("file", "Choose a file, or paste its text below.")
		h.showImport(w, r, http.StatusUnprocessableEntity, t, editView{})
		return
	}
	edit := garage.Edit{At: h.Now(), Note: "imported"}
	if t.ticked("next") {
		edit.Base = numberFrom(t.Get("base"))
	}
	m, version, err := h.kept().Save(r.Context(), name, []byte(text), edit)
	if problems, ok := errors.AsType[access.Problems](err); ok {
		h.showImport(w, r, http.StatusUnprocessableEntity, t, importProblems(problems, text))
		return
	}
	if fault.Is(err, fault.Stale) {
		h.importMeets(w, r, t, text)
		return
	}
	if err != nil {
		h.showImport(w, r, statusOf(err), t, editView{Error: sentence(err), Mend: "The text is still here."})
		return
	}
	http.Redirect(w, r, withSaid(mapURL(m.ID, ""), fmt.Sprintf("Imported as version %d", version)), http.StatusSeeOther)
}

// importMeets asks what to do with a file whose id a map here has already.
func (h *Host) importMeets(w http.ResponseWriter, r *http.Request, t *typed, text string) {
	m, err := access.Parse("text", []byte(text))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	d, err := h.Documents.Latest(r.Context(), garage.KindMap, m.ID)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	t.Set("exists", m.ID)
	t.Set("base", fmt.Sprint(d.Version))
	t.Del("next")
	h.showImport(w, r, http.StatusConflict, t, editView{
		Error: fmt.Sprintf("There is a map with the id %q here already, in version %d. Nothing was kept yet.", m.ID, d.Version),
		Mend:  "Tick below to keep this as its next version, or give it another id in the text.", Look: parts.Link{Href: mapURL(m.ID, "")}})
}

// shownProblems is how many problems of a file are listed; after mending
// these, the rest is a new list anyway.
const shownProblems = 30

func importProblems(problems access.Problems, text string) editView {
	lines := strings.Split(text, "\n")
	e := editView{Error: fmt.Sprintf("Not imported: %s.", plural(len(problems), "thing is wrong", "things are wrong")), Mend: "The text is below: mend it there, then import it."}
	for i, p := range problems {
		if i == shownProblems {
			e.Problems = append(e.Problems, problemView{What: fmt.Sprintf("And %d more.", len(problems)-i)})
			break
		}
		v := problemView{What: capital(p.What) + ".", Mend: capital(p.Mend) + "."}
		v.Mend = strings.ReplaceAll(strings.TrimPrefix(v.Mend, "."), "?.", "?")
		if p.Line > 0 {
			v.Where = fmt.Sprintf("line %d, column %d", p.Line, p.Column)
			if p.Line <= len(lines) {
				v.Line = clipLine(lines[p.Line-1])
			}
		}
		e.Problems = append(e.Problems, v)
	}
	return e
}

func clipLine(s string) string {
	if r := []rune(s); len(r) > 120 {
		return string(r[:119]) + "…"
	}
	return s
}
