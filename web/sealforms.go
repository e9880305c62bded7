package web

import (
	"errors"
	"net/http"
	"strings"

	"lastbolt/calc/seal"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/quantity"
	"lastbolt/web/parts"
)

// sealForm is a page with one form about a seal.
type sealForm struct {
	Title, Lead, Error string
	URL                string
	Hidden             []parts.Pair
	Fields             []parts.FieldInfo
	Action, Sub        string
	Back               parts.Link
}

// A sealFormOf is one of the forms: what it asks, and the action it makes.
type sealFormOf struct {
	path string
	form func(j *job.JointSeal) sealForm
	make func(r *http.Request, s *job.State, j *job.JointSeal) (job.Action, error)
}

func (h *Host) sealFormPage(w http.ResponseWriter, r *http.Request, s *job.State, j *job.JointSeal, of sealFormOf, problem string, status int) {
	f := of.form(j)
	f.URL, f.Error = jobURL(s.ID, "seal/"+of.path), problem
	f.Hidden = parts.Pairs("joint", j.ID)
	f.Back = parts.Link{Label: "Back to the seal", Href: sealURL(s, j, "")}
	if problem != "" {
		for i := range f.Fields { // what was typed comes back
			f.Fields[i].Value = r.PostForm.Get(f.Fields[i].Name)
		}
	}
	p := h.jobFrame(r, s, f.Title)
	p.Live = "" // an event elsewhere must not wipe a half-filled form
	h.show(w, r, status, sealFormPage(p, f))
}

func (h *Host) postSeal(of sealFormOf) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
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
		j := s.Seal(r.FormValue("joint"))
		if j == nil {
			h.fail(w, r, fault.New(fault.NotFound, "This job opens no such joint any more. Go back to its seals."))
			return
		}
		act, err := of.make(r, s, j)
		if err == nil {
			s, err = h.Book.Do(r.Context(), s.ID, act)
		}
		if err != nil {
			var refusal *job.Error
			if fault.Is(err, fault.Bad) || errors.As(err, &refusal) && s != nil {
				h.sealFormPage(w, r, s, j, of, fault.Say(err), http.StatusUnprocessableEntity)
				return
			}
			h.fail(w, r, err)
			return
		}
		http.Redirect(w, r, sealURL(s, j, ""), http.StatusSeeOther)
	}
}

// sealWhat asks what kind of seal it is.
var sealWhat = sealFormOf{path: "what",
	form: func(j *job.JointSeal) sealForm {
		return sealForm{Title: "What seals " + j.Name + "?", Action: "Keep", Lead: "What the new one's bag says, or the maker's parts list. The old ring's colour proves nothing.",
			Fields: []parts.FieldInfo{
				{Type: "select", Name: "kind", Label: "Kind of seal", Value: string(j.Kind), Options: choicesOf("not known", seal.Kinds(), kindTitle)},
				{Name: "size", Label: "Size", Value: j.Size, Placeholder: "20x2.65", Hint: "Of an O-ring: inside by thickness in millimetres, or a dash number such as 214. May be left blank."},
				{Type: "select", Name: "material", Label: "Material", Value: string(j.Material), Options: choicesOf("not known", seal.Materials(), seal.Material.Title)},
				{Type: "select", Name: "fluid", Label: "It holds", Value: string(j.Holds()), Options: choicesOf("not said", seal.Fluids(), seal.Fluid.Title)},
				{Name: "hot", Label: "Hottest it gets there", Value: j.Hot.String(), Placeholder: "110 °C", Hint: "May be left blank: what is usual is taken, and said so."},
				{Type: "area", Name: "note", Label: "Note", Value: j.Note, Placeholder: "part number, where it came from"},
			}}
	},
	make: func(r *http.Request, _ *job.State, j *job.JointSeal) (job.Action, error) {
		d := job.SealSet{Joint: j.ID, Kind: seal.Kind(r.FormValue("kind")), Size: strings.TrimSpace(r.FormValue("size")), Material: seal.Material(r.FormValue("material")),
			Note: strings.TrimSpace(r.FormValue("note"))}
		if f := seal.Fluid(r.FormValue("fluid")); f != j.Holds() {
			d.Fluid = f
		}
		if text := strings.TrimSpace(r.FormValue("hot")); text != "" {
			hot, err := quantity.Parse[quantity.Temperature](text)
			if err != nil {
				return nil, fault.New(fault.Bad, "The hottest it gets: %v.", err)
			}
			d.Hot = hot
		}
		if d.Kind == "" && j.Kind == "" {
			return nil, fault.New(fault.Bad, "Choose the kind of seal: with that it can be said how it goes in.")
		}
		return job.SetSeal(d), nil
	}}

// sealMeasure asks for what was measured of ring and groove.
var sealMeasure = sealFormOf{path: "measure",
	form: func(j *job.JointSeal) sealForm {
		within := j.Error.String()
		if within == "" {
			within = "0.05 mm"
		}
		return sealForm{Title: "Ring and groove of " + j.Name, Action: "Keep and judge", Lead: "With a caliper, clean and dry. The new ring, not the old: that one has taken a set.",
			Fields: []parts.FieldInfo{
				{Name: "size", Label: "Ring's size", Value: j.Size, Placeholder: "20x2.65", Hint: "Or leave it blank and measure the ring."},
				{Name: "inside", Label: "Ring's inside diameter", Value: j.Inside.String(), Placeholder: "20 mm"},
				{Name: "section", Label: "Ring's thickness", Value: j.Section.String(), Placeholder: "2.65 mm"},
				{Type: "select", Name: "seat", Label: "It sits", Value: string(j.Seat), Options: parts.Options(string(seal.Face), "in a flat face, squeezed by a lid",
					string(seal.Piston), "round a plug or pipe, squeezed by the bore", string(seal.Rod), "in a housing, squeezed by the pipe or rod")},
				{Name: "depth", Label: "Groove's depth, of a flat face", Value: j.Depth.String(), Placeholder: "2.0 mm"},
				{Name: "groove", Label: "Diameter of the groove's floor, round a plug or in a housing", Value: j.Groove.String(), Placeholder: "25.6 mm"},
				{Name: "mate", Label: "Diameter of the bore, or of the pipe", Value: j.Mate.String(), Placeholder: "31.35 mm"},
				{Name: "width", Label: "Groove's width", Value: j.Width.String(), Placeholder: "4.9 mm", Hint: "Left blank, how full the groove gets is not told."},
				{Name: "error", Label: "How far each reading may be off", Value: within},
			}}
	},
	make: func(r *http.Request, _ *job.State, j *job.JointSeal) (job.Action, error) {
		d := job.SealSet{Joint: j.ID, Size: strings.TrimSpace(r.FormValue("size")), Seat: seal.Seat(r.FormValue("seat"))}
		for _, f := range []struct {
			field, what string
			to          *quantity.Written[quantity.Length]
		}{{"inside", "The ring's inside diameter", &d.Inside}, {"section", "The ring's thickness", &d.Section}, {"depth", "The groove's depth", &d.Depth},
			{"groove", "The groove's diameter", &d.Groove}, {"mate", "The bore or pipe", &d.Mate}, {"width", "The groove's width", &d.Width}, {"error", "How far it may be off", &d.Error}} {
			l, err := optionalLength(r.FormValue(f.field), f.what)
			if err != nil {
				return nil, err
			}
			*f.to = l
		}
		if j.Kind == "" {
			d.Kind = seal.ORing
		}
		return job.SetSeal(d), nil
	}}

// sealAnyway asks why a seal is fitted that is judged unfit.
var sealAnyway = sealFormOf{path: "anyway",
	form: func(j *job.JointSeal) sealForm {
		return sealForm{Title: "Fit it all the same", Action: "Keep the reason", Sub: "the leak test then blocks the release until it passes",
			Lead:   "It was judged unfit. Say why it goes in, and for how long: the record shows it.",
			Fields: []parts.FieldInfo{{Type: "area", Name: "anyway", Label: "Why", Value: j.Anyway, Required: true, Placeholder: "to get it to the shop; the right ring is ordered"}}}
	},
	make: func(r *http.Request, _ *job.State, j *job.JointSeal) (job.Action, error) {
		why := strings.TrimSpace(r.FormValue("anyway"))
		if why == "" {
			return nil, fault.New(fault.Bad, "Write why it is fitted all the same.")
		}
		return job.SetSeal(job.SealSet{Joint: j.ID, Anyway: why}), nil
	}}

// sealWait asks for today's air and starts the wait of fresh sealant.
var sealWait = sealFormOf{path: "wait",
	form: func(j *job.JointSeal) sealForm {
		return sealForm{Title: "Wait for the sealant of " + j.Name, Action: "Start the wait", Sub: "no fluid, no pressure before it is over",
			Lead: "An estimate by today's air. What the tube says goes before it: write that instead.",
			Fields: []parts.FieldInfo{
				{Name: "label", Label: "The tube says: fluid after", Placeholder: "24 h", Hint: "Then nothing is estimated."},
				{Name: "temperature", Label: "Temperature today", Value: "15 °C"},
				{Type: "number", Name: "humidity", Label: "Relative humidity", Value: "60", Unit: "%", Hint: "A damp day 80, a dry one 40."},
			}}
	},
	make: func(r *http.Request, s *job.State, j *job.JointSeal) (job.Action, error) {
		wait, err := sealWaitOf(r, j)
		if err != nil {
			return nil, err
		}
		step := ""
		if j.Down != nil {
			step = j.Down.Partner
		}
		if s.StepByID(step) == nil {
			step = ""
		}
		return job.StartWait(job.WaitStarted{Step: step, Kind: "cure", Minutes: wait.In(quantity.Minute)}), nil
	}}

// sealWaitOf is how long the joint waits for fluid: by the label, else the
// longer end of the estimate.
func sealWaitOf(r *http.Request, j *job.JointSeal) (quantity.Duration, error) {
	if text := strings.TrimSpace(r.FormValue("label")); text != "" {
		d, err := quantity.Parse[quantity.Duration](text)
		if err != nil {
			return 0, fault.New(fault.Bad, "What the tube says: %v.", err)
		}
		return d.Value, nil
	}
	at, err := quantity.Parse[quantity.Temperature](strings.TrimSpace(r.FormValue("temperature")))
	if err != nil {
		return 0, fault.New(fault.Bad, "The temperature today: %v.", err)
	}
	kind := seal.Oxime
	if j.Kind == seal.Anaerobic {
		kind = seal.AnaerobicGel
	}
	const edge = 5e-3 // m from the open edge to the middle of a usual bead; it decides full cure, not the wait for fluid
	c, err := seal.CureOf(kind, at.Value, float64(numberFrom(r.FormValue("humidity")))/100, edge)
	if err != nil {
		return 0, err
	}
	return c.Fluid[1], nil
}

func kindTitle(k seal.Kind) string {
	switch k {
	case seal.ORing:
		return "O-ring"
	case seal.MovingRing:
		return "O-ring of moving parts"
	case seal.LipSeal:
		return "shaft seal with a lip"
	}
	return string(k)
}

// choicesOf makes the options of a select, a blank one first.
func choicesOf[T ~string](blank string, all []T, title func(T) string) []parts.Option {
	options := []parts.Option{{Value: "", Label: blank}}
	for _, v := range all {
		options = append(options, parts.Option{Value: string(v), Label: title(v)})
	}
	return options
}
