package web

import (
	"net/http"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// backPage asks why the job turns round here, before everything planned is
// open.
func backPage(_ *http.Request, s *job.State) formView {
	f := formView{Title: "Put it back now", Lead: "The way back is planned from what is really open, not from the list of what was to come off.", Action: "Plan the way back",
		Fields: []parts.FieldInfo{{Name: "why", Label: "Why does it turn round here?", Required: true, Value: "the work is done", Focus: true}}}
	for _, ring := range s.Open {
		f.Lines = append(f.Lines, lineView{Name: ring.Name, Href: stepURL(s.ID, ring.Down)})
	}
	f.LinesTitle = "Off or aside now"
	return f
}

// turnBack plans the way back from what is really open and records it.
func (h *Host) turnBack(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	var base *access.Map
	version := 0
	if s.MapID != "" {
		if base, version, err = h.mapOf(r.Context(), s); err != nil {
			h.fail(w, r, err)
			return
		}
	}
	plan, err := job.PlanBack(r.Context(), s, base, nil)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	s, err = h.Book.Do(r.Context(), s.ID, job.TurnBack(r.FormValue("why"), plan, base, version))
	if err != nil {
		h.refused(w, r, s, err)
		return
	}
	http.Redirect(w, r, toNext(r, s), http.StatusSeeOther)
}
