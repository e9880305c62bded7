package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"lastbolt/calc/fastener"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/quantity"
	"lastbolt/web/parts"
)

// oneBoltForm is what is known of one bolt.
func oneBoltForm(r *http.Request, s *job.State, m *job.BoltMap) formView {
	b := m.Bolt(r.FormValue("bolt"))
	if b == nil {
		return formView{Title: "Bolt", Lead: "That bolt is not on the map any more.", Action: "Back to the map"}
	}
	keep := slices.Contains(m.Keep, b)
	f := formView{Title: fmt.Sprintf("%s · bolt %d", m.Name, b.N), Action: "Keep it", Hidden: parts.Pairs("bolt", b.ID)}
	if groups := m.Groups(); len(groups) > 1 && !keep {
		var which []parts.Option
		for _, g := range groups {
			which = append(which, parts.Option{Value: g.ID, Label: strings.Join(nonEmpty(g.Name, g.Fastener.Thread, g.Fastener.Torque.Value.String()), ", ")})
		}
		f.Fields = append(f.Fields, parts.FieldInfo{Type: "select", Name: "group", Label: "Kind", Value: typedOr(r, "group", b.Group), Options: which})
	}
	if !keep {
		f.Fields = append(f.Fields, parts.FieldInfo{Name: "length", Label: "Length, from under the head", Value: typedOr(r, "length", b.Length.String()), Placeholder: "35 mm"},
			parts.FieldInfo{Name: "thread", Label: "Thread", Value: typedOr(r, "thread", m.Fastener(b).Thread), Placeholder: "M6"})
	}
	if at := placeText(m, b); at != "" {
		f.Fields = append(f.Fields, parts.FieldInfo{Name: "place", Label: "Place, from the left and from the top in mm", Value: typedOr(r, "place", at)})
	}
	f.Fields = append(f.Fields,
		parts.FieldInfo{Name: "tray", Label: "Tray", Value: typedOr(r, "tray", b.Tray), Hint: "Blank: its place on the bolt card."},
		parts.FieldInfo{Name: "note", Label: "Mind", Value: typedOr(r, "note", b.Note), Placeholder: "goes through into the oil: seal the thread"},
		parts.FieldInfo{Type: "check", Name: "hidden", Label: "Out of sight once the part is on", Checked: b.Hidden},
		parts.FieldInfo{Type: "check", Name: "first", Label: "Locates the part: always the first in", Checked: b.First},
		parts.FieldInfo{Type: "check", Name: "keep", Label: "Not this one: must not be undone", Checked: keep},
		parts.FieldInfo{Type: "check", Name: "gone", Label: "Take it off the map"},
	)
	f.LinesTitle, f.Lines = boltHistory(b)
	return f
}

// boltHistory is what was done to a bolt, latest last.
func boltHistory(b *job.Bolt) (string, []lineView) {
	var lines []lineView
	for _, t := range b.Turns {
		name := string(t.Turn)
		if t.Turn == job.Clicked {
			name = strings.Join(nonEmpty(fmt.Sprintf("pass %d", t.Pass), t.Target), ", ")
		}
		beneath := strings.Join(nonEmpty(prefixed("set ", t.Set), string(t.Source), t.With, t.Why, t.By), " · ")
		if !t.Length.IsZero() {
			name += ", " + t.Length.String()
		}
		lines = append(lines, lineView{Name: name, Beneath: beneath, Tag: t.At.Format("15:04")})
	}
	return "Done to it", lines
}

func changeBolt(_ *Host, r *http.Request, _ *job.State, m *job.BoltMap) (job.Action, error) {
	b := m.Bolt(r.FormValue("bolt"))
	if b == nil {
		return nil, nil
	}
	is := func(name string) *bool { v := r.FormValue(name) == "yes"; return &v }
	d := job.BoltSet{Item: m.Item, Bolt: b.ID, Group: r.FormValue("group"), Tray: strings.TrimSpace(r.FormValue("tray")), Note: strings.TrimSpace(r.FormValue("note")),
		Hidden: is("hidden"), First: is("first"), Keep: is("keep")}
	if gone := is("gone"); *gone {
		d.Gone = gone
	}
	if thread := strings.TrimSpace(r.FormValue("thread")); thread != "" && thread != m.Fastener(b).Thread {
		d.Thread = thread
	}
	if text := strings.TrimSpace(r.FormValue("length")); r.Form.Has("length") && text != b.Length.String() {
		var length quantity.Written[quantity.Length]
		if text != "" {
			var err error
			if length, err = readLength(text); err != nil {
				return nil, err
			}
		}
		d.Length = &length
	}
	if text := strings.TrimSpace(r.FormValue("place")); text != "" && text != placeText(m, b) {
		place, err := readPlace(text)
		if err != nil {
			return nil, err
		}
		at := place.on(m)
		d.At = &at
	}
	return job.SetBolt(d), nil
}

// swapForm is the way round the warning of a swap, with its reason.
func swapForm(r *http.Request, _ *job.State, m *job.BoltMap) formView {
	f := formView{Title: "Another length", Action: "Put it in", Hidden: parts.Pairs("bolt", r.FormValue("bolt"), "hand", r.FormValue("hand")),
		Fields: []parts.FieldInfo{{Type: "area", Name: "why", Label: "Why is it right?", Value: r.FormValue("why"), Required: true, Focus: true, Hint: "The record keeps it."}}}
	if b := m.Bolt(r.FormValue("bolt")); b != nil {
		f.Lead = fmt.Sprintf("Hole %d had a bolt of %s; in your hand is %s.", b.N, b.Length, r.FormValue("hand"))
	}
	return f
}

func takeSwap(_ *Host, r *http.Request, _ *job.State, m *job.BoltMap) (job.Action, error) {
	why := strings.TrimSpace(r.FormValue("why"))
	if why == "" {
		return nil, &job.Error{Code: job.CodeMissing, Text: "Say why it is right: the next one to open it wants to know."}
	}
	length, err := readLength(r.FormValue("hand"))
	if err != nil {
		return nil, err
	}
	return job.TurnBolts(job.BoltTurned{Item: m.Item, Bolts: []string{r.FormValue("bolt")}, Turn: job.RunIn, Length: length, Why: why}), nil
}

func marksForm(r *http.Request, _ *job.State, m *job.BoltMap) formView {
	f := formView{Title: "Witness marks", Lead: m.Name + ": a line of paint from head to part shows at a glance whether a bolt has turned.", File: true, Action: "The marks are on",
		Fields: []parts.FieldInfo{{Type: "photo", Name: "photo", Label: "Photo of the marks"}, {Name: "note", Label: "Note", Value: r.FormValue("note"), Placeholder: "yellow paint"}}}
	f.LinesTitle = "Marked"
	for _, k := range m.Marks {
		f.Lines = append(f.Lines, lineView{Name: strings.Join(nonEmpty(k.At.Format("2 Jan 15:04"), k.Note), " · "), Tag: plural(min(len(k.Photo), 1), "photo", "photos")})
	}
	return f
}

func keepMarks(h *Host, r *http.Request, s *job.State, m *job.BoltMap) (job.Action, error) {
	name, media, _, err := h.picture(r)
	if err != nil {
		return nil, err
	}
	note := strings.TrimSpace(r.FormValue("note"))
	mark := job.MarkBolts(job.BoltsMarked{Item: m.Item, Photo: name, Note: note})
	if name == "" {
		return mark, nil
	}
	step := ""
	if st := stepOfItem(s, m.Item); st != nil {
		step = st.ID
	}
	photo := job.AddPhoto(job.PhotoTaken{Step: step, File: name, Media: media, Note: strings.TrimSuffix("Witness marks. "+note, " ")})
	return func(rec *job.Recorder, s *job.State) ([]job.Event, error) {
		first, err := mark(rec, s)
		if err != nil {
			return nil, err
		}
		second, err := photo(rec, s)
		if err != nil {
			second = nil // the same photo is there already
		}
		return append(first, second...), nil
	}, nil
}

func withoutForm(r *http.Request, _ *job.State, m *job.BoltMap) formView {
	return formView{Title: "Tightened without the map", Lead: m.Name + ": every bolt counts as tight, and the record says how it was done.", Action: "All tight, without the map",
		Fields: []parts.FieldInfo{{Type: "area", Name: "why", Label: "How, and to what?", Value: r.FormValue("why"), Required: true, Focus: true}}}
}

func finishWithout(_ *Host, r *http.Request, _ *job.State, m *job.BoltMap) (job.Action, error) {
	return job.WithoutMap(m.Item, r.FormValue("why")), nil
}

// showBoltOrder is the order that was worked out, and why.
func (h *Host) showBoltOrder(w http.ResponseWriter, r *http.Request) {
	s, m, ok := h.boltsFor(w, r, false)
	if !ok {
		return
	}
	f := formView{Title: "Order and passes", Lead: m.Name, URL: jobURL(s.ID, "bolts/order"), Hidden: parts.Pairs("item", m.Item), Action: "Work it out again", Sent: "Working it out…",
		Back: parts.Link{Label: "To the map", Href: boltsURL(s, m.Item)},
		Fields: []parts.FieldInfo{
			{Name: "passes", Label: "Passes", Value: fmt.Sprint(max(len(m.Passes()), job.UsualPasses)), Mode: "numeric", Hint: "Half way, then full is common practice; more on soft seals."},
			{Type: "check", Name: "around", Label: "And a last round at full torque, from neighbour to neighbour"},
			{Name: "typed", Label: "The maker's order, where there is one", Placeholder: "3 7 1 5", Hint: "The numbers as they stand on the map. It goes before anything worked out."},
		}}
	if o := m.Order; o != nil {
		f.Fields[0].Value = fmt.Sprint(len(o.Passes))
		f.LinesTitle = "In force"
		f.Lines = append(f.Lines, lineView{Name: "Loosen", Beneath: m.OrderText(o.Loosen)})
		for i, p := range o.Passes {
			f.Lines = append(f.Lines, lineView{Name: fmt.Sprintf("Pass %d, %s", i+1, shareWord(o.Passes, i+1)), Beneath: m.OrderText(p.Order)})
		}
		if len(o.Check) > 0 {
			f.Lines = append(f.Lines, lineView{Name: "Re-check, in another order", Beneath: m.OrderText(o.Check)})
		}
		f.Lines = append(f.Lines, lineView{Name: "Where it is from", Tag: string(o.Source)})
		if q := m.OrderQuery(); q != "" {
			f.Lines = append(f.Lines, lineView{Name: "See it drawn", Beneath: "how even the squeeze is, bolt by bolt, in this order and others", Href: "/work-out/tightening-order?" + q})
		}
		if m.Stale {
			f.Lines = append([]lineView{{Name: "Bolts came or went since: work it out again.", Tag: "stale", State: "now"}}, f.Lines...)
		}
	}
	frame := h.jobFrame(r, s, f.Title)
	frame.Live, frame.Reading = "", true
	h.show(w, r, http.StatusOK, boltOrderPage(frame, f, orderPicture(s, m), workingOf(m)))
}

func workingOf(m *job.BoltMap) []string {
	if m.Order == nil {
		return nil
	}
	return m.Order.Working
}

// showBoltList is the map to change while the hands are on it.
func (h *Host) showBoltList(w http.ResponseWriter, r *http.Request, s *job.State, m *job.BoltMap) {
	v := boltsView{Valley: valleyOf(s), Name: m.Name, Place: "change the map · " + plural(len(m.Bolts), "bolt", "bolts"), Undo: undoOf(s)}
	viewBuild(&v, s, m, boltAsk{mode: r.FormValue("mode")})
	for i := range v.Modes {
		v.Modes[i].Href = strings.Replace(v.Modes[i].Href, "/bolts?", "/bolts/list?", 1)
	}
	v.Map = pictureOf(s, m, boltAsk{mode: "bolt"}, nil)
	v.Rows = boltRows(s, m)
	if m.Stale {
		v.Warning = "Bolts came or went since the order was worked out."
	} else {
		v.Form.Main, v.Onward = parts.ActionInfo{}, parts.Link{Label: "Go on", Sub: "bolt by bolt", Href: boltsURL(s, m.Item)}
	}
	h.show(w, r, http.StatusOK, boltsPage(h.jobFrame(r, s, "Bolts of "+m.Name), v))
}

func (h *Host) wrenchRoutes(mux *Router) {
	mux.HandleFunc("GET /jobs/{job}/wrench", func(w http.ResponseWriter, r *http.Request) { h.showWrench(w, r, http.StatusOK, "") })
	mux.HandleFunc("POST /jobs/{job}/wrench", h.postWrench)
}

// showWrench chooses the torque wrenches of the job: those of the shelf, each
// with what it can set of what the job asks for.
func (h *Host) showWrench(w http.ResponseWriter, r *http.Request, status int, problem string) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	shelf, err := h.shelf(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	f := formView{Title: "Torque wrench", Lead: "Chosen once for the job. What to set on it stands at every bolt.", URL: jobURL(s.ID, "wrench"), Action: "Take these",
		Error: problem, Hidden: parts.Pairs("item", r.FormValue("item"), "from", r.FormValue("from")), LinesTitle: "What the job asks for", Back: parts.Link{Label: "Back", Href: wrenchBack(r, s)}}
	for _, n := range job.TorqueNeeds(s, shelf) {
		f.Lines = append(f.Lines, wrenchLine(n))
	}
	if len(f.Lines) == 0 {
		f.Lines = []lineView{{Name: "No torque is known of what goes back on in this job."}}
	}
	for i, t := range wrenchesOf(s, shelf) {
		chosen := slices.ContainsFunc(s.Wrenches, func(c job.WrenchChosen) bool { return c.Tool == t.Name })
		f.Fields = append(f.Fields, parts.FieldInfo{Type: "check", Name: fmt.Sprintf("take:%d", i), Label: t.Name, Checked: chosen, Hint: wrenchHint(t, h.Now())})
	}
	f.Fields = append(f.Fields,
		parts.FieldInfo{Name: "name", Label: "Another one", Value: r.FormValue("name"), Placeholder: "borrowed, 20–100 N·m", Hint: "Name, with its range. Put it on the shelf to find it here next time."},
		parts.FieldInfo{Name: "hand", Label: "Its length, from the square drive to the hand", Value: r.FormValue("hand"), Placeholder: "380 mm", Hint: "Only needed with an adapter."},
	)
	p := h.jobFrame(r, s, f.Title)
	p.Live, p.Reading = "", true
	h.show(w, r, status, formPage(p, f))
}

func wrenchBack(r *http.Request, s *job.State) string {
	if item := r.FormValue("item"); s.BoltMap(item) != nil {
		return boltsURL(s, item)
	}
	return jobURL(s.ID, "ready")
}

// wrenchHint says what the wrench's name leaves open; what it states stands in
// the label.
func wrenchHint(t garage.TorqueWrench, now time.Time) string {
	var open []string
	switch days := t.DaysSinceCheck(now); {
	case t.Dropped:
		open = append(open, "dropped or overloaded since its check: have it checked before it is trusted")
	case days < 0:
		open = append(open, `not known when it was last checked: write "checked 2026-03" behind it on the shelf`)
	case days > fastener.CheckedEveryDays:
		open = append(open, fmt.Sprintf("last checked %d days ago; once a year is asked (AC 43.13-1B 7-40)", days))
	}
	if t.Accuracy <= 0 {
		open = append(open, "accuracy not known: that of ISO 6789 is taken")
	}
	if t.Hand.IsZero() {
		open = append(open, "length to the hand not known")
	}
	return strings.Join(open, "; ")
}

func wrenchLine(n job.TorqueNeed) lineView {
	l := lineView{Name: n.Torque.String(), Beneath: strings.Join(n.For, "; ")}
	switch {
	case n.Chosen:
		l.Tag, l.State = n.Wrench, "done"
	case n.Why != "":
		l.Tag, l.State = "out of range", "now"
		l.Beneath += ": " + n.Why
	case n.Wrench != "":
		l.Tag, l.State = "not chosen yet", "open"
		l.Beneath += ". Would do: " + n.Wrench
	default:
		l.Tag, l.State = "no wrench for it", "now"
	}
	if n.Why != "" && len(n.Instead) > 0 {
		l.Beneath += " On the shelf, and would do: " + strings.Join(n.Instead, ", ") + "."
	}
	return l
}

// wrenchesOf are the torque wrenches of the shelf, and those chosen that are
// not on it.
func wrenchesOf(s *job.State, shelf garage.Shelf) []garage.TorqueWrench {
	list := shelf.TorqueWrenches()
	for _, c := range s.Wrenches {
		if !slices.ContainsFunc(list, func(t garage.TorqueWrench) bool { return t.Name == c.Tool }) {
			list = append(list, garage.TorqueWrench{Name: c.Tool, Low: c.Low, High: c.High, Accuracy: c.Accuracy, Hand: c.Hand})
		}
	}
	return list
}

func (h *Host) postWrench(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	if err := parseForm(r); err != nil {
		h.fail(w, r, formError(err))
		return
	}
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	shelf, err := h.shelf(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	acts, err := wrenchActs(r, s, shelf)
	for _, a := range acts {
		if err != nil {
			break
		}
		_, err = h.Book.Do(r.Context(), s.ID, a)
	}
	if err != nil {
		h.showWrench(w, r, statusOf(err), sentence(err))
		return
	}
	http.Redirect(w, r, wrenchBack(r, s), http.StatusSeeOther)
}

// wrenchActs are the choices that differ from what is chosen.
func wrenchActs(r *http.Request, s *job.State, shelf garage.Shelf) ([]job.Action, error) {
	var acts []job.Action
	for i, t := range wrenchesOf(s, shelf) {
		want := r.FormValue(fmt.Sprintf("take:%d", i)) == "yes"
		has := slices.ContainsFunc(s.Wrenches, func(c job.WrenchChosen) bool { return c.Tool == t.Name })
		switch {
		case want && !has:
			acts = append(acts, job.ChooseWrench(job.ChosenFrom(t)))
		case !want && has:
			acts = append(acts, job.ChooseWrench(job.WrenchChosen{Tool: t.Name, Away: true}))
		}
	}
	name := strings.TrimSpace(r.FormValue("name"))
	if name == "" {
		return acts, nil
	}
	t, ok := garage.ReadTorqueWrench(name)
	if !ok {
		return nil, &job.Error{Code: job.CodeWrong, Text: fmt.Sprintf("%q has no range in it: write from where to where it can be set, as in 20–100 N·m.", name)}
	}
	if text := strings.TrimSpace(r.FormValue("hand")); text != "" {
		hand, err := readLength(text)
		if err != nil {
			return nil, err
		}
		t.Hand = hand
	}
	return append(acts, job.ChooseWrench(job.ChosenFrom(t))), nil
}
