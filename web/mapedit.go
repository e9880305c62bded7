package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// A mapForm is one form that changes a map: how it is filled from the map, how
// it is laid out, and what it changes.
type mapForm struct {
	section func(r *http.Request, mr mapRead) error // refuses what is not on the map
	fill    func(r *http.Request, mr mapRead) *typed
	show    func(r *http.Request, mr mapRead, t *typed) editView
	// change changes the map, or refuses fields of t. It gives what the version
	// is called, where the changed thing is on the map ("items[3].ways[0]"),
	// and where to go on.
	change func(r *http.Request, m *access.Map, t *typed) changed
}

type changed struct{ note, path, onward string }

func (h *Host) mapEditRoutes(mux *Router) {
	for path, f := range map[string]mapForm{
		"about": aboutForm, "add-item": addItemForm, "items/{item}/edit": editItemForm,
		"items/{item}/way": wayForm, "items/{item}/work": workForm,
	} {
		mux.HandleFunc("GET /maps/{map}/"+path, func(w http.ResponseWriter, r *http.Request) { h.openMapForm(w, r, f) })
		mux.HandleFunc("POST /maps/{map}/"+path, func(w http.ResponseWriter, r *http.Request) { h.keepMapForm(w, r, f) })
	}
	mux.HandleFunc("POST /maps/{map}/items/{item}/remove", h.removing(removeItem))
	mux.HandleFunc("POST /maps/{map}/items/{item}/remove-way", h.removing(removeWay))
	mux.HandleFunc("POST /maps/{map}/items/{item}/remove-work", h.removing(removeWork))
}

// newestMap reads the newest version: only that one is edited.
func (h *Host) newestMap(r *http.Request) (mapRead, error) {
	m, doc, err := h.kept().Load(r.Context(), r.PathValue("map"))
	if fault.Is(err, fault.NotFound) {
		err = fault.Wrap(err, fault.NotFound, "There is no such map here. Look for it under Maps.")
	}
	return mapRead{m, doc, doc.Version}, err
}

func (h *Host) openMapForm(w http.ResponseWriter, r *http.Request, f mapForm) {
	mr, err := h.newestMap(r)
	if err == nil && f.section != nil {
		err = f.section(r, mr)
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	h.showMapForm(w, r, http.StatusOK, mr, f.show(r, mr, f.fill(r, mr)))
}

func (h *Host) showMapForm(w http.ResponseWriter, r *http.Request, status int, mr mapRead, e editView) {
	e.Hidden = append(e.Hidden, parts.Pairs("base", strconv.Itoa(mr.newest))...)
	e.URL = r.URL.RequestURI()
	p := h.page(r, parts.Maps, e.Title)
	p.Reading = true
	h.show(w, r, status, longFormPage(p, e))
}

// keepMapForm makes the change on the newest version and keeps it as the next,
// unless something is wrong with it: then the form comes back as it was typed.
func (h *Host) keepMapForm(w http.ResponseWriter, r *http.Request, f mapForm) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	mr, err := h.newestMap(r)
	if err == nil && f.section != nil {
		err = f.section(r, mr)
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	if t.Get("more") != "" {
		h.showMapForm(w, r, http.StatusOK, mr, f.show(r, mr, t))
		return
	}
	m := mr.m.Clone()
	done := f.change(r, m, t)
	var elsewhere []problemView
	if len(t.wrong) == 0 {
		elsewhere = t.placeProblems(m, done.path, access.Check(m).Errors())
	}
	if len(t.wrong) > 0 || len(elsewhere) > 0 {
		e := f.show(r, mr, t)
		e.Error, e.Mend, e.Problems = "Not kept yet: something does not fit.", "It is said below. What you typed is still here.", elsewhere
		h.showMapForm(w, r, http.StatusUnprocessableEntity, mr, e)
		return
	}
	version := mr.newest
	if base := numberFrom(t.Get("base")); base != mr.newest {
		err = garage.ErrStale
	} else {
		_, version, err = h.kept().SaveOver(r.Context(), m, mr.m, mr.doc, garage.Edit{Base: base, At: h.Now(), Note: done.note})
	}
	if fault.Is(err, fault.Stale) {
		h.showStale(w, r, f, t)
		return
	}
	if err != nil {
		e := f.show(r, mr, t)
		e.Error, e.Mend = sentence(err), "What you typed is still here."
		h.showMapForm(w, r, statusOf(err), mr, e)
		return
	}
	http.Redirect(w, r, withSaid(done.onward, fmt.Sprintf("Kept as version %d", version)), http.StatusSeeOther)
}

func withSaid(address, said string) string {
	mark := "?"
	if strings.Contains(address, "?") {
		mark = "&"
	}
	return address + mark + "said=" + url.QueryEscape(said)
}

// showStale brings the form back when another version came first. Keeping it
// again makes the same change on the newest.
func (h *Host) showStale(w http.ResponseWriter, r *http.Request, f mapForm, t *typed) {
	mr, err := h.newestMap(r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	e := f.show(r, mr, t)
	e.Error = fmt.Sprintf("This map was changed while you were typing: it is version %d now. What you typed is still here, and not kept yet.", mr.newest)
	e.Mend = "Look at the newest version; keeping this again changes only what is on this form."
	e.Look = parts.Link{Href: mapURL(mr.m.ID, "")}
	h.showMapForm(w, r, http.StatusConflict, mr, e)
}

// removing takes something off a map at a tap.
func (h *Host) removing(remove func(r *http.Request, m *access.Map, t *typed) (changed, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		t, err := readForm(w, r)
		if err != nil {
			h.fail(w, r, err)
			return
		}
		mr, err := h.newestMap(r)
		if err != nil {
			h.fail(w, r, err)
			return
		}
		m := mr.m.Clone()
		done, err := remove(r, m, t)
		if problems := access.Check(m).Errors(); err == nil && len(problems) > 0 {
			err = fault.New(fault.Bad, "Without it the map does not work out: %s.", calledByName(m, problems[0].What))
		}
		if err == nil {
			_, _, err = h.kept().SaveOver(r.Context(), m, mr.m, mr.doc, garage.Edit{Base: numberFrom(t.Get("base")), At: h.Now(), Note: done.note})
		}
		switch {
		case fault.Is(err, fault.Stale):
			h.showItemOf(w, r, http.StatusConflict, mr, "This map was changed in the meantime, so nothing was taken out.", "This is the newest version; press again if it still holds.")
		case err != nil:
			h.showItemOf(w, r, statusOf(err), mr, sentence(err), "Nothing was taken out.")
		default:
			http.Redirect(w, r, withSaid(done.onward, "Taken out; older versions keep it"), http.StatusSeeOther)
		}
	}
}

func removeItem(r *http.Request, m *access.Map, _ *typed) (changed, error) {
	id := r.PathValue("item")
	it := m.Item(id)
	if it == nil {
		return changed{}, noItem(id)
	}
	name := it.Name
	if err := m.Remove(id); err != nil {
		return changed{}, fault.Wrap(err, fault.Bad, "%s.", capital(err.Error()))
	}
	return changed{note: "without " + name, onward: mapURL(m.ID, "")}, nil
}

func removeWay(r *http.Request, m *access.Map, t *typed) (changed, error) {
	it := m.Item(r.PathValue("item"))
	if it == nil {
		return changed{}, noItem(r.PathValue("item"))
	}
	for i := range it.Ways {
		if it.Ways[i].ID == t.Get("id") {
			it.Ways = append(it.Ways[:i], it.Ways[i+1:]...)
			return changed{note: it.Name + ": one way less", onward: itemURL(m.ID, it.ID, "")}, nil
		}
	}
	return changed{}, fault.New(fault.NotFound, "This way is on the map no more.")
}

func removeWork(r *http.Request, m *access.Map, t *typed) (changed, error) {
	it := m.Item(r.PathValue("item"))
	if it == nil {
		return changed{}, noItem(r.PathValue("item"))
	}
	for i := range it.Work {
		if string(it.Work[i].Action) == t.Get("action") {
			it.Work = append(it.Work[:i], it.Work[i+1:]...)
			return changed{note: it.Name + ": without the work " + t.Get("action"), onward: itemURL(m.ID, it.ID, "")}, nil
		}
	}
	return changed{}, fault.New(fault.NotFound, "This work is on the map no more.")
}
