package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

// formRoutes are the pages with one form, each beside a step or a job.
func (h *Host) formRoutes(mux *Router) {
	page := func(path string, make func(r *http.Request, s *job.State) formView) {
		mux.HandleFunc("GET /jobs/{job}/"+path, func(w http.ResponseWriter, r *http.Request) {
			s, err := h.load(r.Context(), r.PathValue("job"))
			if err != nil {
				h.fail(w, r, err)
				return
			}
			v := make(r, s)
			id := r.FormValue("id")
			v.Back = parts.Link{Label: "Back", Href: jobURL(s.ID, "")}
			if st := s.StepByID(id); st != nil {
				v.Hidden = append(v.Hidden, parts.Pair{Name: "id", Value: id})
				v.Back.Href = stepURL(s.ID, id)
			}
			if v.URL == "" {
				v.URL = jobURL(s.ID, path)
			}
			p := h.jobFrame(r, s, v.Title)
			p.Live, p.Reading = "", true // an event elsewhere must not wipe a half-filled form
			h.show(w, r, http.StatusOK, formPage(p, v))
		})
	}
	page("trouble", troublePage)
	page("note", notePage)
	page("photo", photoPage)
	page("sound", soundPage)
	page("count", countPage)
	page("in-the-way", inTheWayPage)
	page("off", offPage)
	page("list", listPage)
	page("found", foundPage)
	page("explain", explainPage)
	page("pause", pausePage)
	page("resume", h.resumePage)
	page("release", h.releasePage)
	page("edit", editPage)
	page("amend", amendPage)
	page("test", testPage)
	page("tools", toolsPage)
	page("look-again", lookPage)
	page("back", backPage)
}

func named(r *http.Request, s *job.State) string {
	if st := s.StepByID(r.FormValue("id")); st != nil {
		return st.Name
	}
	return ""
}

func options(values ...string) []parts.Option {
	var out []parts.Option
	for _, v := range values {
		out = append(out, parts.Option{Value: v, Label: v})
	}
	return out
}

func troublePage(r *http.Request, s *job.State) formView {
	return formView{
		Title: "Trouble", Lead: named(r, s), Action: "Write it down", Sub: "what it needs goes on the list",
		Fields: []parts.FieldInfo{
			{Type: "choices", Name: "what", Label: "What went wrong?", Options: options(job.Troubles...), Required: true},
			{Name: "needs", Label: "What does it need?", Hint: "A new clip, a bolt, a thread insert. Leave blank for nothing."},
			{Name: "amount", Label: "How many, how much?", Placeholder: "2"},
			{Type: "area", Name: "note", Label: "Note"},
		},
	}
}

func notePage(r *http.Request, s *job.State) formView {
	return formView{Title: "Note", Lead: named(r, s), Action: "Keep the note",
		Fields: []parts.FieldInfo{{Type: "area", Name: "text", Label: "What should be remembered?", Required: true, Rows: 5, Focus: true}}}
}

func countPage(r *http.Request, s *job.State) formView {
	f := formView{Title: "Count, tray, size", Lead: named(r, s), URL: jobURL(s.ID, "done"), Action: "Done, with these counts"}
	st := s.StepByID(r.FormValue("id"))
	if st == nil {
		return f
	}
	word := "out"
	if st.Closes {
		word = "back"
	}
	for _, g := range st.Groups {
		n := g.Want
		if st.Closes && g.OutKnown {
			n = g.Out
		}
		hint := fmt.Sprintf("The map says %d.", g.Want)
		if st.Closes && g.OutKnown {
			hint = fmt.Sprintf("%d came out.", g.Out)
		} else if g.Want == 0 {
			hint = ""
		}
		f.Fields = append(f.Fields, parts.FieldInfo{Type: "number", Mode: "numeric", Name: "count:" + g.ID, Label: g.Name + ", " + word,
			Value: strconv.Itoa(n), Hint: strings.TrimSpace(hint + " Blank means not counted.")})
		if st.Opens {
			f.Fields = append(f.Fields, parts.FieldInfo{Name: "size:" + g.ID, Label: g.Name + ", size found different", Placeholder: "12 mm head"})
		}
	}
	if st.Opens {
		f.Fields = append(f.Fields,
			parts.FieldInfo{Name: "tray", Label: "Tray or bag", Value: trayFor(s, st)},
			parts.FieldInfo{Type: "check", Name: "aside", Label: "Set aside, its lines still connected", Checked: st.AsideWay})
	}
	f.Fields = append(f.Fields, parts.FieldInfo{Type: "area", Name: "note", Label: "Note", Rows: 2})
	addHeld(&f, s, st)
	return f
}

// addHeld repeats the check of a DANGER on a form that finishes a step.
func addHeld(f *formView, s *job.State, st *job.Step) {
	hold, ids := holdCheck(s, st)
	if hold == "" {
		return
	}
	f.Hidden = append(f.Hidden, parts.Pair{Name: "held", Value: ids})
	f.Fields = append(f.Fields, parts.FieldInfo{Type: "check", Name: "confirmed", Label: hold, Required: true})
}

func inTheWayPage(r *http.Request, s *job.State) formView {
	f := offFields(s)
	f.Title, f.Lead = "In the way", "Something the plan did not foresee is in the way of: "+named(r, s)
	f.URL, f.Action = jobURL(s.ID, "off"), "It is off"
	f.Fields = append(f.Fields, parts.FieldInfo{Type: "check", Name: "not_yet", Label: "Not off yet: make it the next step"})
	return f
}

func offPage(r *http.Request, s *job.State) formView {
	f := offFields(s)
	f.Title, f.Lead, f.URL, f.Action = "Something comes off", "Write it down as it comes off; its pieces are counted back on later.", jobURL(s.ID, "off"), "It is off"
	var off []parts.Option
	for _, t := range s.Targets {
		if key := t.Key(); key != "" {
			off = append(off, parts.Option{Value: key, Label: t.Name})
		}
	}
	for _, ring := range s.Open {
		off = append(off, parts.Option{Value: ring.Item, Label: ring.Name})
	}
	if len(off) > 0 {
		off = append([]parts.Option{{Value: "", Label: "nothing that is known yet"}}, off...)
		f.Fields = append(f.Fields, parts.FieldInfo{Type: "choices", Name: "in_way_of", Label: "It was in the way of", Options: off})
	}
	return f
}

func offFields(s *job.State) formView {
	return formView{Sub: "its pieces are counted back on", Fields: []parts.FieldInfo{
		{Name: "name", Label: "What is it?", Required: true, Focus: true, Placeholder: "Heater hose bracket"},
		{Type: "number", Mode: "numeric", Name: "count", Label: "How many fasteners came out?", Hint: "0 for none."},
		{Name: "pieces", Label: "What are they?", Placeholder: "M6 bolts, 10 mm head", Hint: "Length and head help when it goes back."},
		{Name: "tray", Label: "Tray or bag", Value: freeTray(s)},
		{Type: "check", Name: "aside", Label: "Set aside, its lines still connected"},
		{Type: "select", Name: "opens", Label: "Does it open something?", Options: append([]parts.Option{{Value: "", Label: "nothing that can leak or be forgotten"}}, options(jointKinds()...)...)},
	}}
}

func listPage(r *http.Request, s *job.State) formView {
	return formView{Title: "To get", Lead: named(r, s), Action: "Put it on the list", Fields: []parts.FieldInfo{
		{Name: "name", Label: "What?", Required: true, Focus: true}, {Name: "amount", Label: "How many, how much?"},
		{Name: "size", Label: "Size"}, {Name: "number", Label: "Part number"}, {Name: "why", Label: "Why?"},
	}}
}

func foundPage(_ *http.Request, s *job.State) formView {
	return formView{Title: "Found, not done", Lead: "A fault seen and left. It goes on the record, signed with the release.", Action: "Write it down", Fields: []parts.FieldInfo{
		{Name: "what", Label: "What did you find?", Required: true, Focus: true},
		{Type: "choices", Name: "severity", Label: "How bad is it?", Options: options(job.Severities...)},
		{Name: "advice", Label: "What should be done?"}, {Name: "by", Label: "By when?", Placeholder: "before winter, in 5,000 km"},
	}}
}

func explainPage(r *http.Request, s *job.State) formView {
	f := formView{Title: "Explain the count", Action: "That is why", Fields: []parts.FieldInfo{
		{Type: "area", Name: "why", Label: "Where is it, or why do the counts differ?", Required: true, Focus: true},
	}}
	item, group := r.FormValue("item"), r.FormValue("group")
	f.Hidden = parts.Pairs("item", item, "group", group)
	for _, d := range s.Differences {
		if d.Item == item && d.Group == group {
			f.Lead = d.Name + ", " + d.GroupName + ": " + differenceText(d) + "."
		}
	}
	return f
}

func pausePage(_ *http.Request, s *job.State) formView {
	var loose []string
	for _, ring := range s.Open {
		loose = append(loose, ring.Name)
	}
	hint, must := "One a line.", ""
	if len(s.Open) > 0 {
		hint += " Off now: " + strings.Join(loose, "; ") + "."
		must = "Do not start the engine"
	}
	return formView{Title: "Pause", Lead: "What whoever comes next must know, also you in three months. A tag for the steering wheel can be printed from it.",
		Action: "Pause the job", Fields: []parts.FieldInfo{
			{Name: "why", Label: "Why?", Placeholder: "waiting for the seal"},
			{Type: "area", Name: "loose", Label: "Fitted but not tight", Hint: hint},
			{Type: "area", Name: "must", Label: "Must not be started or moved", Value: must, Hint: "One a line."},
			{Name: "until", Label: "Until when?"},
		}}
}

func (h *Host) resumePage(_ *http.Request, s *job.State) formView {
	res := h.resumption(s)
	f := formView{Title: "Look at these again", Action: "They hold, go on",
		Lead:   strings.TrimSpace(res.Why + " Go back three steps: put a hand on each before you go on."),
		Hidden: parts.Pairs("since", res.Since.Format(time.RFC3339))}
	for _, st := range res.Confirm {
		f.Fields = append(f.Fields, parts.FieldInfo{Type: "check", Name: "step", Label: st.Name + ": " + h.doneText(st), Required: true})
		f.Hidden = append(f.Hidden, parts.Pair{Name: "step", Value: st.ID})
	}
	// The boxes only have to be ticked; what is confirmed goes in the hidden
	// fields, since a box says yes and not which step.
	for i := range f.Fields {
		f.Fields[i].Name = fmt.Sprintf("seen%d", i)
	}
	unfinished := ""
	for _, st := range res.Unfinished {
		unfinished += " " + st.Name + " was begun and not finished."
	}
	f.Lead += unfinished
	if len(res.Confirm) == 0 {
		f.Lead, f.Action = strings.TrimSpace("Nothing has to be looked at again."+unfinished), "Go on"
	}
	return f
}

func (h *Host) releasePage(r *http.Request, s *job.State) formView {
	f := formView{Title: "Release", Lead: "Hand the vehicle over: who, when, at what distance. What was recorded stays as it is.", Action: "Release the vehicle",
		Fields: []parts.FieldInfo{
			{Name: "who", Label: "Who releases it?", Value: job.PersonOf(r.Context()).Name, Required: true, Complete: "name"},
			{Name: "odometer", Label: "Odometer now", Value: s.Odometer, Placeholder: "84,230 km"},
			{Type: "area", Name: "statement", Label: "What was done, in a sentence", Value: releaseText(s)},
		}}
	blocked := 0
	for _, o := range s.OpenItems(h.Now()) {
		l := lineView{Name: o.Text, Tag: "may stay open"}
		if o.Blocks {
			blocked++
			l.Tag, l.State = "first", "now"
		}
		switch {
		case o.Step != "":
			l.Href = stepURL(s.ID, o.Step)
		case o.Test != "":
			l.Href = jobURL(s.ID, "test") + "?test=" + queryEscape(o.Test)
		case o.Kind == "tool":
			l.Href = jobURL(s.ID, "tools")
		default:
			l.Href = jobURL(s.ID, "") // what was found, what is still to get
		}
		f.Lines = append(f.Lines, l)
	}
	f.LinesTitle = "Still open"
	if blocked > 0 {
		f.Error, f.Mend = "Not yet: "+plural(blocked, "thing", "things")+" must be closed first.", "Each is named below and leads to where it is closed."
	}
	return f
}

func releaseText(s *job.State) string {
	var done []string
	for _, t := range s.Targets {
		if word, ok := doneWords[t.Action]; ok && !s.NoMap { // without a map nobody chose the action
			done = append(done, t.Name+": "+word)
		} else {
			done = append(done, t.Name)
		}
	}
	return strings.Join(done, "; ")
}

// doneWords are the actions as they read once they are done.
var doneWords = map[access.Action]string{access.Replace: "replaced", access.Reseal: "resealed", access.Inspect: "inspected"}

func editPage(_ *http.Request, s *job.State) formView {
	return formView{Title: "Title, vehicle", Action: "Change it", Fields: []parts.FieldInfo{
		{Name: "title", Label: "Title", Value: s.Title}, {Name: "vehicle", Label: "Vehicle", Value: s.Vehicle},
		{Name: "vin", Label: "VIN", Value: s.VIN}, {Type: "area", Name: "complaint", Label: "Complaint", Value: s.Complaint},
	}}
}

func amendPage(r *http.Request, s *job.State) formView {
	return formView{Title: "Amend the record", Lead: "The record as released stays; this is added to it, with your name and the time.", Action: "Add it", Fields: []parts.FieldInfo{
		{Name: "who", Label: "Who adds this?", Value: job.PersonOf(r.Context()).Name, Required: true}, {Type: "area", Name: "text", Label: "What is added?", Required: true, Rows: 5},
	}}
}

// stepFrame is the frame of a step's page: the screen stays on, and a long
// rest leads to looking at the last steps again.
func (h *Host) stepFrame(r *http.Request, s *job.State, st *job.Step) parts.PageInfo {
	p := h.jobFrame(r, s, st.Name)
	p.Theme = ui.Theme(r)
	p.Awake = true
	if st.Phase != opening.Bottom && !s.IsReleased() {
		p.IdleURL, p.IdleMin = jobURL(s.ID, "resume"), int(job.Idle/time.Minute)
	}
	if before := stepBefore(s, st); before != "" {
		p.BackHref = before
	}
	return p
}

func stepBefore(s *job.State, st *job.Step) string {
	for i, other := range s.Steps {
		if other.ID == st.ID && i > 0 {
			return stepURL(s.ID, s.Steps[i-1].ID)
		}
	}
	return ""
}
