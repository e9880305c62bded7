package web

import (
	"context"
	"fmt"
	"net/http"
	"strings"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/web/parts"
)

// learnFrom is how many of the latest finished jobs on a map are read for what
// they say of it; reading one takes a few milliseconds.
const learnFrom = 200

func (h *Host) learnedRoutes(mux *Router) {
	mux.HandleFunc("GET /maps/{map}/learned", h.showLearned)
	mux.HandleFunc("POST /maps/{map}/learned", h.decideLearned)
}

// showLearned is what finished jobs say about a map: shown, never applied by
// itself.
func (h *Host) showLearned(w http.ResponseWriter, r *http.Request) {
	m, _, err := h.kept().Load(r.Context(), r.PathValue("map"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	jobs, more, err := h.finishedOn(r.Context(), m.ID)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	verdicts, err := garage.Learned{Documents: h.Documents}.Verdicts(r.Context(), m.ID)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := jobView{Title: "What jobs say about this map", Beneath: m.Name + " · " + plural(len(jobs), "finished job", "finished jobs"), Invented: m.Invented}
	if more {
		v.Beneath += fmt.Sprintf(": the %d finished last are read, older ones are not", learnFrom)
	}
	open, settled := cardView{Title: "Suggestions"}, cardView{Title: "Decided"}
	for _, sg := range job.Orders(jobs, m) {
		key := suggestionKey(sg)
		l := lineView{Name: sg.Text, Beneath: fmt.Sprintf("%s · %s", sg.Kind, plural(sg.Support, "job says so", "jobs say so"))}
		if said, ok := verdicts[key]; ok {
			l.Tag = map[bool]string{true: "taken over", false: "declined"}[said.Accepted]
			settled.Lines = append(settled.Lines, l)
			continue
		}
		l.Acts = []parts.ActionInfo{
			{URL: r.URL.Path, Label: "I changed the map", Hidden: parts.Pairs("suggestion", key, "accepted", "yes")},
			{URL: r.URL.Path, Label: "Leave the map", Hidden: parts.Pairs("suggestion", key)},
		}
		open.Lines = append(open.Lines, l)
	}
	if len(open.Lines) == 0 {
		open.Text = fmt.Sprintf("Nothing to suggest. Orders and minutes are suggested once %d finished jobs agree; one job is enough to show that something was not in the way.", job.EnoughJobs)
	}
	v.Cards = dropEmpty([]cardView{open, settled})
	v.Main = parts.Link{Label: "To the map", Href: "/maps/" + m.ID}
	h.show(w, r, http.StatusOK, jobPage(h.page(r, parts.Maps, v.Title), v))
}

// finishedOn reads the latest finished jobs on a map; more says that there are
// older ones.
func (h *Host) finishedOn(ctx context.Context, m string) (jobs []*job.State, more bool, err error) {
	list, err := h.Book.Summaries(ctx, job.Query{Closed: true, Stage: string(job.StageReleased), Map: m, Limit: learnFrom + 1})
	if err != nil {
		return nil, false, err
	}
	if more = len(list) > learnFrom; more {
		list = list[:learnFrom]
	}
	for _, line := range list {
		s, err := h.load(ctx, line.ID)
		if err != nil {
			return nil, false, err
		}
		if s.MapID == m { // its line may be older than what another program recorded
			jobs = append(jobs, s)
		}
	}
	return jobs, more, nil
}

// suggestionKey says what a suggestion proposes, so that one decided on stays
// decided until there is new evidence.
func suggestionKey(s job.Suggestion) string {
	return strings.Join([]string{string(s.Kind), s.Item, s.Of, s.Way, fmt.Sprint(s.Back), fmt.Sprint(s.Support)}, "|")
}

func (h *Host) decideLearned(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	if err := parseForm(r); err != nil {
		h.fail(w, r, formError(err))
		return
	}
	id := r.PathValue("map")
	if _, _, err := h.kept().Load(r.Context(), id); err != nil {
		h.fail(w, r, err)
		return
	}
	err := garage.Learned{Documents: h.Documents}.Decide(r.Context(), id, garage.Verdict{
		Suggestion: r.FormValue("suggestion"), Accepted: r.FormValue("accepted") == "yes", At: h.Now(),
	})
	if err != nil {
		h.fail(w, r, err)
		return
	}
	http.Redirect(w, r, r.URL.Path, http.StatusSeeOther)
}
