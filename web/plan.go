package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/web/parts"
)

var actions = []access.Action{access.Replace, access.Reseal, access.Inspect, access.AccessOnly}

// chooseTargets shows the map's items, each with what can be done to it.
func (h *Host) chooseTargets(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err == nil {
		err = open(s)
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	h.showTargets(w, r, s, http.StatusOK, "")
}

func (h *Host) showTargets(w http.ResponseWriter, r *http.Request, s *job.State, status int, problem string) {
	m, _, err := h.mapOf(r.Context(), s)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := targetsView{URL: jobURL(s.ID, "targets"), Query: strings.TrimSpace(r.FormValue("q")), Error: problem}
	chosen := map[string]access.Action{}
	for _, t := range s.Targets {
		chosen[t.Item] = t.Action
	}
	for i := range m.Items {
		it := &m.Items[i]
		if a := access.Action(r.FormValue("do:" + it.ID)); a != "" {
			chosen[it.ID] = a
		} else if r.Form.Has("do:" + it.ID) {
			delete(chosen, it.ID)
		}
		if it.Kind == access.Condition {
			continue
		}
		// What is chosen stays in the form when the list is searched.
		if _, kept := chosen[it.ID]; !kept && v.Query != "" && !mentions(it, v.Query) {
			continue
		}
		f := targetField(it, chosen[it.ID])
		if f.Value != "" || len(it.Work) > 0 || v.Query != "" {
			v.Items = append(v.Items, f)
		} else {
			v.More = append(v.More, f)
		}
	}
	slices.SortStableFunc(v.Items, func(a, b parts.FieldInfo) int {
		return boolOrder(a.Value != "", b.Value != "")
	})
	v.ItemsTitle = "What the map has work for"
	if v.Query != "" {
		v.ItemsTitle = "Found"
	}
	v.MoreTitle = fmt.Sprintf("Everything else on the map (%d)", len(v.More))
	v.Limits = limitFields(m, s, r)
	h.show(w, r, status, targetsPage(h.jobFrame(r, s, "What is to be done"), v))
}

func boolOrder(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

func mentions(it *access.Item, words string) bool {
	text := strings.ToLower(it.Name + " " + it.Area + " " + it.ID)
	for _, w := range strings.Fields(strings.ToLower(words)) {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

// targetField offers the actions; those whose minutes the map knows say so.
func targetField(it *access.Item, chosen access.Action) parts.FieldInfo {
	f := parts.FieldInfo{Type: "select", Name: "do:" + it.ID, Label: it.Name, Value: string(chosen), Options: []parts.Option{{Value: "", Label: "leave it"}}}
	for _, a := range actions {
		label := string(a)
		for _, w := range it.Work {
			if w.Action == a {
				label += " (" + minutesText(w.Minutes.Mean()) + " at it)"
			}
		}
		f.Options = append(f.Options, parts.Option{Value: string(a), Label: label})
	}
	f.Hint = it.Area
	return f
}

func limitFields(m *access.Map, s *job.State, r *http.Request) []parts.FieldInfo {
	fields := []parts.FieldInfo{{
		Type: "check", Name: "licensed", Label: "I may open a sealed air conditioning circuit",
		Hint: "Without it, no way that opens the refrigerant circuit is planned.", Checked: r.FormValue("licensed") == "yes",
	}, {
		Type: "check", Name: "owned", Label: "Only with the tools on my shelf", Checked: r.FormValue("owned") == "yes",
	}}
	already := map[string]bool{}
	for _, a := range s.Already {
		already[strings.SplitN(a, "/", 2)[0]] = true
	}
	for _, it := range m.Items {
		on := already[it.ID] || r.FormValue("state:"+it.ID) == "off"
		value := ""
		if on {
			value = "off"
		}
		if r.FormValue("state:"+it.ID) == "closed" {
			value = "closed"
		}
		fields = append(fields, parts.FieldInfo{
			Type: "select", Name: "state:" + it.ID, Label: it.Name, Value: value,
			Options: []parts.Option{{Value: "", Label: "as it is"}, {Value: "off", Label: stateWord(it)}, {Value: "closed", Label: "must not be opened"}},
		})
	}
	return fields
}

func stateWord(it access.Item) string {
	if it.Kind == access.Condition {
		return "holds already"
	}
	return "off already"
}

// planJob reads the targets, plans, and records both.
func (h *Host) planJob(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err == nil {
		err = open(s)
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	if err := parseForm(r); err != nil {
		h.fail(w, r, formError(err))
		return
	}
	if r.FormValue("find") != "" {
		h.showTargets(w, r, s, http.StatusOK, "")
		return
	}
	m, version, err := h.mapOf(r.Context(), s)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	req := opening.Request{Map: m, OnlyOwned: r.FormValue("owned") == "yes"}
	for i := range m.Items {
		it := &m.Items[i]
		if a := access.Action(r.FormValue("do:" + it.ID)); a != "" {
			req.Targets = append(req.Targets, opening.Target{Item: it.ID, Action: a})
		}
		switch r.FormValue("state:" + it.ID) {
		case "off":
			req.Already = append(req.Already, it.ID)
		case "closed":
			req.KeepClosed = append(req.KeepClosed, it.ID)
		}
	}
	if r.FormValue("licensed") != "yes" {
		req.KeepClosed = append(req.KeepClosed, "refrigerant")
	}
	if shelf, err := h.shelf(r.Context()); err == nil {
		req.Tools = append(req.Tools, shelf.Tools...)
	}
	plan, err := opening.Make(r.Context(), req)
	if err != nil {
		h.showTargets(w, r, s, http.StatusUnprocessableEntity, planProblem(err))
		return
	}
	if err := h.recordPlan(r.Context(), s, m, version, req, plan); err != nil {
		h.fail(w, r, err)
		return
	}
	http.Redirect(w, r, jobURL(s.ID, "plan"), http.StatusSeeOther)
}

// planProblem is why there is no plan: its own sentences, which speak to the
// mechanic already.
func planProblem(err error) string { return err.Error() }

// viewPlan is the plan: the picture, the minutes with their proof, what comes
// free, what is missing, what other ways would have cost.
func (h *Host) viewPlan(r *http.Request, s *job.State) jobView {
	v := jobView{Title: "The plan", Invented: s.Invented, Tabs: stageTabs(s, "Plan"), Undo: undoOf(s)}
	if s.Plan == nil {
		v.Beneath = "No plan yet"
		if s.NoMap {
			v.Cards = []cardView{{Title: "Recorded as you go", Text: "This job has no map. What comes off is recorded one by one, and the finished job can be kept as a map."}}
			v.Main = parts.Link{Label: "Something comes off", Href: jobURL(s.ID, "off")}
			return v
		}
		v.Cards = []cardView{{Title: "Nothing chosen yet", Text: "Choose what is to be done; the shortest order follows."}}
		v.Main = parts.Link{Label: "What is to be done?", Href: jobURL(s.ID, "targets")}
		return v
	}
	p := s.Plan
	v.HasSteps, v.Valley = true, valleyOf(s)
	p50, p80 := p.Spread()
	v.Beneath = fmt.Sprintf("%s, %s · half of the times under %s, 8 of 10 times under %s",
		minutesText(p.Minutes), proofWord(p), minutesText(p50), minutesText(p80))
	if n := guessed(s); n > 0 {
		v.Beneath += fmt.Sprintf(" · the minutes of %s are guesses", plural(n, "step", "steps"))
	}
	v.Cards = append(v.Cards, targetsCard(s), noReturnCard(s))
	if m, _, err := h.mapOf(r.Context(), s); err == nil {
		v.Cards = append(v.Cards, waitsCard(s, m))
		v.Cards = append(v.Cards, h.explainCards(r, s, m)...)
	}
	v.Cards = append(v.Cards, cardView{Title: "On paper", Links: []parts.Link{
		{Label: "Job sheet", Href: jobURL(s.ID, "paper/sheet")}, {Label: "Tray labels", Href: jobURL(s.ID, "paper/labels")},
	}})
	v.Cards = dropEmpty(v.Cards)
	v.Main = h.mainLink(s)
	return v
}

func noReturnPassed(st *job.Step) string {
	return "Past the point of no return: since \"" + st.Name + "\" the vehicle does not drive."
}

// proofWord says what is known of the order: proven shortest, or how far it
// may be from it.
func proofWord(p *opening.Plan) string {
	if p.Proven {
		return "shortest order proven"
	}
	return fmt.Sprintf("best found; no order is under %s (gap %.1f %%)", minutesText(p.Bound), 100*p.Gap())
}

// guessed counts the steps whose minutes nobody timed.
func guessed(s *job.State) (n int) {
	for _, st := range s.Steps {
		if way := st.Details(); way != nil && way.Guess {
			n++
		}
	}
	return n
}

func targetsCard(s *job.State) cardView {
	c := cardView{Title: "To be done"}
	for _, t := range s.Targets {
		c.Lines = append(c.Lines, lineView{Name: t.Name, Tag: string(t.Action)})
	}
	if !s.IsReleased() && s.Progress.Done == 0 {
		c.Links = []parts.Link{{Label: "Change", Href: jobURL(s.ID, "targets")}}
	}
	return c
}

func noReturnCard(s *job.State) cardView {
	c := cardView{Title: "Point of no return"}
	if s.NoReturn < 0 || s.NoReturn >= len(s.Steps) {
		c.Text = "The vehicle can be driven at every point of this plan."
		return c
	}
	st := s.Steps[s.NoReturn]
	if s.Ring(st.Item) != nil {
		c.Text = noReturnPassed(st)
	} else {
		c.Text = "After \"" + st.Name + "\" the vehicle does not drive. Have everything before it."
	}
	return c
}

// waitsCard says which steps the plan has to wait for, how long, and what the
// hands do meanwhile. It is empty for a plan that never waits.
func waitsCard(s *job.State, m *access.Map) cardView {
	c := cardView{Title: "Waits"}
	for _, st := range s.Steps {
		p := st.Planned
		if p == nil || p.Idle <= 0 {
			continue
		}
		var ahead []string
		if p.AheadHands != "" {
			ahead = append(ahead, "change place: "+m.PositionName(p.AheadHands))
		}
		if p.AheadTool != "" {
			ahead = append(ahead, "take the "+p.AheadTool)
		}
		l := lineView{Name: "Before: " + stepTitle(st), Href: stepURL(s.ID, st.ID), Tag: "wait " + minutesText(p.Idle), Beneath: "nothing else is left to do meanwhile"}
		if len(ahead) > 0 {
			l.Beneath = "meanwhile " + strings.Join(ahead, ", ")
		}
		c.Lines = append(c.Lines, l)
	}
	return c
}

func (h *Host) explainCards(r *http.Request, s *job.State, m *access.Map) []cardView {
	req := opening.Request{Map: m, Targets: s.Plan.Targets, Already: s.Already}
	if shelf, err := h.shelf(r.Context()); err == nil {
		req.Tools = append(req.Tools, shelf.Tools...)
	}
	p := *s.Plan
	if len(p.Free) == 0 && len(p.Rejected) == 0 {
		// A map changed since may no longer explain this plan; the plan stands.
		if err := opening.Explain(r.Context(), req, &p); err != nil {
			h.logger().Info("plan not explained", "job", s.ID, "error", err)
		}
	}
	free := cardView{Title: "Also open now"}
	for _, x := range p.Free {
		free.Lines = append(free.Lines, lineView{Name: x.Name, Beneath: string(x.Action), Tag: fmt.Sprintf("+ %s now, later %s", minutesText(x.Marginal), minutesText(x.Alone))})
	}
	other := cardView{Title: "Other ways"}
	for _, x := range p.Rejected {
		tag := "+ " + minutesText(x.More)
		if x.Never != "" {
			tag = x.Never
		}
		other.Lines = append(other.Lines, lineView{Name: x.Name, Tag: tag})
	}
	missing := cardView{Title: "Tools not on the shelf"}
	for _, t := range p.Missing {
		missing.Lines = append(missing.Lines, lineView{Name: t, Tag: "borrow or buy", State: "open"})
	}
	return []cardView{free, missing, other}
}

// viewSteps lists every step in order, with where it stands.
func (h *Host) viewSteps(s *job.State) jobView {
	v := jobView{Title: "All steps", Invented: s.Invented, Tabs: stageTabs(s, "Steps"), HasSteps: len(s.Steps) > 0, Undo: undoOf(s), Main: h.mainLink(s)}
	v.Beneath = fmt.Sprintf("%d of %d done", s.Progress.Done, s.Progress.Total)
	if v.HasSteps {
		v.Valley = valleyOf(s)
	}
	titles := map[opening.Phase]string{opening.Down: "Take apart", opening.Bottom: "The work", opening.Up: "Put back"}
	for _, ph := range []opening.Phase{opening.Down, opening.Bottom, opening.Up} {
		c := cardView{Title: titles[ph]}
		for i, st := range s.Steps {
			if st.Phase != ph {
				continue
			}
			c.Lines = append(c.Lines, stepLine(s, st))
			if i == s.NoReturn {
				c.Lines = append(c.Lines, lineView{Name: "⚑ after this the vehicle does not drive"})
			}
		}
		v.Cards = append(v.Cards, c)
	}
	v.Cards = dropEmpty(v.Cards)
	if len(v.Cards) == 0 {
		v.Cards = []cardView{{Title: "No steps yet", Text: "They come from the plan, or one by one as things come off."}}
	}
	return v
}

func stepLine(s *job.State, st *job.Step) lineView {
	l := lineView{Name: stepTitle(st), Href: stepURL(s.ID, st.ID), Tag: string(st.Status)}
	var b []string
	if n, _ := toCount(st); n > 0 {
		b = append(b, plural(n, "fastener", "fasteners"))
	}
	if st.Expected > 0 {
		b = append(b, minutesText(st.Expected))
	}
	if st.Tray != "" {
		b = append(b, "tray "+st.Tray)
	}
	l.Beneath = strings.Join(b, " · ")
	switch st.Status {
	case job.Done, job.Aside:
		l.State = "done"
	case job.Now, job.Dispute:
		l.State = "now"
	case job.Owed:
		l.State = "open"
	}
	return l
}
