package web

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
	"lastbolt/web/parts"
)

// A boltFormPage is a page with one form beside a bolt map.
type boltFormPage struct {
	path string
	// view fills the form; what was typed comes back where it is refused.
	view func(r *http.Request, s *job.State, m *job.BoltMap) formView
	// act reads the form. A nil action is for what was kept already.
	act func(h *Host, r *http.Request, s *job.State, m *job.BoltMap) (job.Action, error)
	// fresh says that the map need not be there yet.
	fresh bool
}

func (h *Host) boltForms(mux *Router) {
	pages := []boltFormPage{
		{"start", startMapForm, startMap, true},
		{"part", partForm, changePart, false},
		{"scale", scaleForm, changeScale, false},
		{"adapter", adapterForm, changeAdapter, false},
		{"torque", boltTorqueForm, changeTorque, false},
		{"bolt", oneBoltForm, changeBolt, false},
		{"swap", swapForm, takeSwap, false},
		{"marks", marksForm, keepMarks, false},
		{"without", withoutForm, finishWithout, false},
	}
	for _, p := range pages {
		mux.HandleFunc("GET /jobs/{job}/bolts/"+p.path, func(w http.ResponseWriter, r *http.Request) {
			s, m, ok := h.boltsFor(w, r, p.fresh)
			if ok {
				h.boltFormAgain(w, r, http.StatusOK, s, m, p, "")
			}
		})
		mux.HandleFunc("POST /jobs/{job}/bolts/"+p.path, func(w http.ResponseWriter, r *http.Request) { h.postBoltForm(w, r, p) })
	}
	mux.HandleFunc("GET /jobs/{job}/bolts/order", h.showBoltOrder)
	mux.HandleFunc("GET /jobs/{job}/bolts/list", func(w http.ResponseWriter, r *http.Request) {
		s, m, ok := h.boltsFor(w, r, false)
		if ok {
			h.showBoltList(w, r, s, m)
		}
	})
}

func (h *Host) boltsFor(w http.ResponseWriter, r *http.Request, fresh bool) (*job.State, *job.BoltMap, bool) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return nil, nil, false
	}
	item := r.FormValue("item")
	m := s.BoltMap(item)
	if m != nil {
		return s, m, true
	}
	if st := stepOfItem(s, item); fresh && st != nil {
		return s, &job.BoltMap{Item: item, Name: st.Name, Aspect: 1}, true
	}
	h.fail(w, r, &job.Error{Code: job.CodeUnknown, Text: "There is no bolt map of that item in this job. Begin one at the step that takes it off."})
	return nil, nil, false
}

// stepOfItem is the step that is to take an item off, or else to put it back.
func stepOfItem(s *job.State, item string) *job.Step {
	var found *job.Step
	for _, st := range s.Steps {
		if st.Item == item && (st.Opens || st.Closes) && (found == nil || !st.IsDone() && found.IsDone()) {
			found = st
		}
	}
	return found
}

func (h *Host) boltFormAgain(w http.ResponseWriter, r *http.Request, status int, s *job.State, m *job.BoltMap, p boltFormPage, problem string) {
	f := p.view(r, s, m)
	f.Error = problem
	f.URL = jobURL(s.ID, "bolts/"+p.path)
	f.Hidden = append(f.Hidden, parts.Pairs("item", m.Item)...)
	f.Back = parts.Link{Label: "Back to the map", Href: boltsURL(s, m.Item)}
	if s.BoltMap(m.Item) == nil {
		f.Back = parts.Link{Label: "Back", Href: jobURL(s.ID, "")}
	}
	if f.Lead == "" {
		f.Lead = m.Name
	}
	frame := h.jobFrame(r, s, f.Title)
	frame.Live, frame.Reading = "", true
	h.show(w, r, status, formPage(frame, f))
}

func (h *Host) postBoltForm(w http.ResponseWriter, r *http.Request, p boltFormPage) {
	r.Body = http.MaxBytesReader(w, r.Body, photoUpload.limit+formLimit)
	if err := r.ParseMultipartForm(photoUpload.limit); err != nil && err != http.ErrNotMultipart {
		h.fail(w, r, formError(err))
		return
	}
	s, m, ok := h.boltsFor(w, r, p.fresh)
	if !ok {
		return
	}
	act, err := p.act(h, r, s, m)
	if err == nil && act != nil {
		_, err = h.Book.Do(r.Context(), s.ID, act)
	}
	if err != nil {
		h.boltFormAgain(w, r, statusOf(err), s, m, p, sentence(err))
		return
	}
	http.Redirect(w, r, boltsURL(s, m.Item), http.StatusSeeOther)
}

// typedOr is what was typed or, on the first opening, what is known.
func typedOr(r *http.Request, name, known string) string {
	if r.Method == http.MethodPost {
		return r.FormValue(name)
	}
	return known
}

func startMapForm(r *http.Request, s *job.State, m *job.BoltMap) formView {
	count, width, height := m.Count, "", ""
	if count == 0 {
		if st := stepOfItem(s, m.Item); st != nil {
			for _, g := range st.Groups {
				if g.Fastener.Thread != "" || len(st.Groups) == 1 {
					count += g.Want
				}
			}
		}
	}
	if mm := m.MM(); mm > 0 && m.Picture == "" {
		width, height = fmt.Sprintf("%.0f mm", mm), fmt.Sprintf("%.0f mm", mm*m.Aspect)
	}
	f := formView{
		Title: "Bolt map", Lead: m.Name + ": look at the new part before the old one comes off. How many bolts, roughly where, and which are out of sight?",
		File: true, Action: "Go on to the bolts", Sub: "tap each one",
		Fields: []parts.FieldInfo{
			{Name: "count", Label: "How many bolts?", Value: typedOr(r, "count", zeroBlank(count)), Mode: "numeric", Hint: "Counted on the new part."},
			{Type: "photo", Name: "photo", Label: "Photo of the part, from straight above"},
		},
	}
	f.LinesTitle, f.Lines = "Known already", knownLine(s, m)
	if photos := photoChoices(s); len(photos) > 0 {
		f.Fields = append(f.Fields, parts.FieldInfo{Type: "select", Name: "taken", Label: "Or a photo already taken", Options: photos})
	}
	f.Fields = append(f.Fields,
		parts.FieldInfo{Name: "width", Label: "Without a photo: how wide is the part?", Value: typedOr(r, "width", width), Placeholder: "160 mm", Hint: "The map is then a sheet of that size."},
		parts.FieldInfo{Name: "height", Label: "And how high?", Value: typedOr(r, "height", height), Placeholder: "130 mm"},
	)
	return f
}

func zeroBlank(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func photoChoices(s *job.State) []parts.Option {
	out := []parts.Option{{Value: "", Label: "none"}}
	for _, p := range s.Photos {
		name := "Photo"
		if st := s.StepByID(p.Step); st != nil {
			name = st.Name
		}
		out = append(out, parts.Option{Value: p.File, Label: strings.TrimSuffix(name+" · "+p.Note, " · ")})
	}
	if len(out) == 1 {
		return nil
	}
	return out
}

func startMap(h *Host, r *http.Request, s *job.State, m *job.BoltMap) (job.Action, error) {
	d := job.BoltMapSet{Item: m.Item}
	n, err := countOf(r.FormValue("count"))
	if err != nil {
		return nil, err
	}
	d.Count = n
	if d.Picture, d.Media, d.Aspect, err = h.picture(r); err != nil {
		return nil, err
	}
	if taken := r.FormValue("taken"); taken != "" && d.Picture == "" {
		d.Picture = taken
		if d.Aspect, err = h.aspect(r, taken); err != nil {
			return nil, err
		}
	}
	width, height := strings.TrimSpace(r.FormValue("width")), strings.TrimSpace(r.FormValue("height"))
	if d.Picture != "" || m.Picture != "" || width == "" {
		return job.ChangeBoltMap(d), nil
	}
	w, err := readLength(width)
	if err != nil {
		return nil, err
	}
	d.From, d.To, d.Distance = &job.Point{}, &job.Point{X: 1}, w
	if height != "" && w.Value > 0 {
		hgt, err := readLength(height)
		if err != nil {
			return nil, err
		}
		d.Aspect = float64(hgt.Value) / float64(w.Value)
		if !(d.Aspect >= 0.05 && d.Aspect <= 20) {
			return nil, &job.Error{Code: job.CodeWrong, Text: fmt.Sprintf("A part %s wide and %s high cannot be drawn: check the two figures.", w, hgt)}
		}
	}
	return job.ChangeBoltMap(d), nil
}

func partForm(r *http.Request, _ *job.State, m *job.BoltMap) formView {
	return formView{Title: "Part and seal", Lead: m.Name + ": the order is worked out for it.", Action: "Keep it", Fields: []parts.FieldInfo{
		{Type: "choices", Name: "cover", Label: "What do the bolts hold down?", Value: typedOr(r, "cover", m.Cover), Options: options(job.Covers...)},
		{Type: "choices", Name: "seal", Label: "What seals it?", Value: typedOr(r, "seal", m.Seal), Options: options(job.Seals...)},
	}}
}

func changePart(_ *Host, r *http.Request, _ *job.State, m *job.BoltMap) (job.Action, error) {
	return job.ChangeBoltMap(job.BoltMapSet{Item: m.Item, Cover: r.FormValue("cover"), Seal: r.FormValue("seal")}), nil
}

func scaleForm(r *http.Request, _ *job.State, m *job.BoltMap) formView {
	return formView{Title: "Scale", Lead: "Measure on the part from the middle of one bolt hole to the middle of another, as far apart as can be.", Action: "Keep the scale",
		Fields: []parts.FieldInfo{
			{Name: "one", Label: "From bolt", Value: typedOr(r, "one", ""), Mode: "numeric", Placeholder: "1", Required: true},
			{Name: "other", Label: "To bolt", Value: typedOr(r, "other", ""), Mode: "numeric", Placeholder: "5", Required: true},
			{Name: "distance", Label: "Distance", Value: typedOr(r, "distance", ""), Placeholder: "118.5 mm", Required: true},
		}}
}

func changeScale(_ *Host, r *http.Request, _ *job.State, m *job.BoltMap) (job.Action, error) {
	find := func(name string) (*job.Point, error) {
		n, err := strconv.Atoi(strings.TrimSpace(r.FormValue(name)))
		for _, b := range slices.Concat(m.Bolts, m.Keep) {
			if err == nil && b.N == n {
				return &b.At, nil
			}
		}
		return nil, &job.Error{Code: job.CodeWrong, Text: fmt.Sprintf("There is no bolt %q on the map: write two of its numbers.", r.FormValue(name))}
	}
	from, err := find("one")
	if err != nil {
		return nil, err
	}
	to, err := find("other")
	if err != nil {
		return nil, err
	}
	d, err := readLength(r.FormValue("distance"))
	return job.ChangeBoltMap(job.BoltMapSet{Item: m.Item, From: from, To: to, Distance: d}), err
}

func adapterForm(r *http.Request, _ *job.State, m *job.BoltMap) formView {
	a := m.Adapter
	return formView{Title: "Adapter", Lead: "A crowfoot or ring between wrench and bolt makes the wrench longer, so less is set. A plain extension along the drive changes nothing and needs no entry.", Action: "Keep it",
		Fields: []parts.FieldInfo{
			{Name: "name", Label: "What is it?", Value: typedOr(r, "name", a.Name), Placeholder: "10 mm crowfoot", Hint: "Leave blank for none."},
			{Name: "reach", Label: "From the square drive to the bolt", Value: typedOr(r, "reach", a.Reach.String()), Placeholder: "50 mm"},
			{Name: "angle", Label: "Angle to the wrench", Unit: "°", Type: "number", Value: typedOr(r, "angle", fmt.Sprintf("%g", a.Angle)), Hint: "0 straight out, 90 across."},
		}}
}

func changeAdapter(_ *Host, r *http.Request, _ *job.State, m *job.BoltMap) (job.Action, error) {
	if strings.TrimSpace(r.FormValue("name")) == "" {
		return job.ChangeBoltMap(job.BoltMapSet{Item: m.Item, Adapter: &job.Adapter{Name: "none"}}), nil
	}
	reach, err := readLength(r.FormValue("reach"))
	if err != nil {
		return nil, err
	}
	angle := strings.ReplaceAll(strings.TrimSpace(cmp.Or(r.FormValue("angle"), "0")), ",", ".")
	n, err := strconv.ParseFloat(angle, 64)
	if err != nil {
		return nil, &job.Error{Code: job.CodeWrong, Text: fmt.Sprintf("%q is not an angle: write degrees, as in 0 or 90.", angle)}
	}
	return job.ChangeBoltMap(job.BoltMapSet{Item: m.Item, Adapter: &job.Adapter{Name: r.FormValue("name"), Reach: reach, Angle: n}}), nil
}

func boltTorqueForm(r *http.Request, _ *job.State, m *job.BoltMap) formView {
	var t job.BoltTorque
	if len(m.Bolts) > 0 {
		t = m.Torque(m.Bolts[0])
	}
	f := formView{Title: "Torque", Action: "Keep it", Lead: m.Name + ": how tight, and who says so."}
	sources := []parts.Option{{Value: string(access.Maker), Label: "maker's document"}}
	if m.Critical == "" {
		sources = append(sources, options(string(access.Published), string(access.Computed), string(access.CommonPractice))...)
	} else {
		f.Lead = fmt.Sprintf("%s is of the %s: only the figure of the maker's own document counts.", m.Name, m.Critical)
	}
	if groups := m.Groups(); len(groups) > 1 {
		which := []parts.Option{{Value: "", Label: "every bolt of the map"}}
		for _, g := range groups {
			which = append(which, parts.Option{Value: g.ID, Label: g.Name})
		}
		f.Fields = append(f.Fields, parts.FieldInfo{Type: "select", Name: "group", Label: "Which bolts?", Value: r.FormValue("group"), Options: which})
	}
	f.Fields = append(f.Fields,
		parts.FieldInfo{Name: "value", Label: "Torque", Value: typedOr(r, "value", t.Value.String()), Placeholder: "10 N·m", Required: true},
		parts.FieldInfo{Name: "then", Label: "And then", Value: typedOr(r, "then", t.Then), Placeholder: "90°", Hint: "An angle, where the document gives one."},
		parts.FieldInfo{Type: "choices", Name: "source", Label: "Where is it from?", Value: typedOr(r, "source", string(t.Source)), Options: sources, Required: true},
		parts.FieldInfo{Name: "where", Label: "Document and page", Value: typedOr(r, "where", t.Where), Placeholder: "sheet 12"},
	)
	if m.Critical == "" {
		f.Fields = append(f.Fields, parts.FieldInfo{Name: "up_to", Label: "Up to", Value: typedOr(r, "up_to", t.UpTo.String()), Placeholder: "11 N·m", Hint: "Only for advice, which is a band."})
	}
	return f
}

func changeTorque(_ *Host, r *http.Request, _ *job.State, m *job.BoltMap) (job.Action, error) {
	d := job.BoltTorqueSet{Item: m.Item, Group: r.FormValue("group")}
	read := func(name string) (quantity.Written[quantity.Torque], error) {
		text := strings.TrimSpace(r.FormValue(name))
		if text == "" {
			return quantity.Written[quantity.Torque]{}, nil
		}
		t, err := quantity.ParseTorque(text)
		if err != nil {
			return t, &job.Error{Code: job.CodeWrong, Text: strings.TrimSuffix(err.Error(), ".") + "."}
		}
		return t, nil
	}
	var err error
	if d.Torque.Value, err = read("value"); err != nil {
		return nil, err
	}
	if d.UpTo, err = read("up_to"); err != nil {
		return nil, err
	}
	d.Torque.Then, d.Torque.Where = strings.TrimSpace(r.FormValue("then")), strings.TrimSpace(r.FormValue("where"))
	d.Torque.Source = access.Source(r.FormValue("source"))
	return job.SetBoltTorque(d), nil
}
