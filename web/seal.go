package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"lastbolt/calc"
	"lastbolt/calc/seal"
	"lastbolt/job"
	"lastbolt/quantity"
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

func (h *Host) sealRoutes(mux *Router) {
	mux.HandleFunc("GET /jobs/{job}/seals", h.showSeals)
	page := func(path string, show func(http.ResponseWriter, *http.Request, *job.State, *job.JointSeal)) {
		mux.HandleFunc("GET /jobs/{job}/seal"+path, func(w http.ResponseWriter, r *http.Request) {
			s, err := h.load(r.Context(), r.PathValue("job"))
			if err != nil {
				h.fail(w, r, err)
				return
			}
			j := s.Seal(r.FormValue("joint"))
			if j == nil {
				http.Redirect(w, r, jobURL(s.ID, "seals"), http.StatusSeeOther)
				return
			}
			show(w, r, s, j)
		})
	}
	page("", h.showSeal)
	for _, f := range []sealFormOf{sealWhat, sealMeasure, sealAnyway, sealWait} {
		page("/"+f.path, func(w http.ResponseWriter, r *http.Request, s *job.State, j *job.JointSeal) {
			h.sealFormPage(w, r, s, j, f, "", http.StatusOK)
		})
		mux.HandleFunc("POST /jobs/{job}/seal/"+f.path, h.postSeal(f))
	}
}

func sealURL(s *job.State, j *job.JointSeal, page string) string {
	return jobURL(s.ID, "seal"+prefixed("/", page)) + "?" + url.Values{"joint": {j.ID}}.Encode()
}

// sealView is the page of one seal.
type sealView struct {
	Title, Lead string
	Back        parts.Link
	Verdicts    []verdictView
	Drawing     string
	Cards       []cardView
	Acts        []parts.Link
	Main        parts.Link
	Undo        parts.ActionInfo
}

// showSeals lists the joints that the job opens with what seals each.
func (h *Host) showSeals(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := sealView{Title: "Seals", Lead: "Every joint that this job opens, and what keeps it tight.", Back: parts.Link{Label: "Back to the job", Href: jobURL(s.ID, "")},
		Main: parts.Link{Label: "Back to the job", Href: jobURL(s.ID, "")}, Undo: undoOf(s)}
	c := cardView{Title: "Joints"}
	for _, j := range s.Seals {
		c.Lines = append(c.Lines, sealLine(s, j))
	}
	if len(s.Seals) == 0 {
		v.Lead = "No joint that a seal keeps tight is opened in this job, as far as the map or the record knows."
	} else {
		v.Cards = append(v.Cards, c)
	}
	h.show(w, r, http.StatusOK, sealPage(h.jobFrame(r, s, v.Title), v))
}

func sealLine(s *job.State, j *job.JointSeal) lineView {
	line := lineView{Name: j.Name + ": " + j.Opens.Kind, Beneath: j.Title(), Href: sealURL(s, j, "")}
	level, _ := j.Judge()
	switch {
	case !j.Named():
		line.Beneath, line.Tag, line.State = "not named yet", "not known", "open"
	case level == calc.Bad && j.Anyway != "":
		line.Tag, line.State = "fitted all the same", "open"
	case level == calc.Bad:
		line.Tag, line.State = "will not do", "danger"
	case level == calc.Careful:
		line.Tag, line.State = "look closer", "open"
	case level == calc.Good:
		line.Tag, line.State = "will do", "done"
	}
	return line
}

// showSeal is one joint's seal.
func (h *Host) showSeal(w http.ResponseWriter, r *http.Request, s *job.State, j *job.JointSeal) {
	v := sealView{Title: "Seal: " + j.Name, Back: parts.Link{Label: "All seals of the job", Href: jobURL(s.ID, "seals")}, Undo: undoOf(s),
		Verdicts: sealVerdicts(j)}
	if j.Anyway != "" {
		v.Lead = "Fitted all the same: " + j.Anyway
	}
	if drawing := sealDrawing(j); drawing != "" {
		v.Drawing = drawing
	}
	v.Cards = append(v.Cards, sealFactsCard(j))
	if how, ok := j.How(); ok {
		v.Cards = append(v.Cards, sealHowCard(how))
	}
	v.Acts, v.Main = sealActs(s, j)
	h.show(w, r, http.StatusOK, sealPage(h.jobFrame(r, s, v.Title), v))
}

func sealVerdicts(j *job.JointSeal) []verdictView {
	words := map[calc.Level]string{calc.Bad: "Will not do:", calc.Careful: "Look closer:", calc.Good: "Good:"}
	_, findings := j.Judge()
	var all []verdictView
	for _, f := range findings {
		all = append(all, verdictView{string(f.Level), words[f.Level], f.Say})
	}
	return all
}

func sealDrawing(j *job.JointSeal) string {
	ring, haveRing := j.Ring()
	gland, haveGland := j.Gland()
	if !haveRing || !haveGland {
		return ""
	}
	fit, err := gland.Fit(ring)
	if err != nil {
		return ""
	}
	return draw.FigureSVG(seal.DrawGland(gland, ring, fit))
}

func sealFactsCard(j *job.JointSeal) cardView {
	c := cardView{Title: "What it is"}
	what := parts.Fact{Label: "Seal", Value: j.Title()}
	switch {
	case !j.Named():
		what.Value, what.Source = "", parts.Unknown
	case j.At.IsZero():
		what.Note = "named on the map"
	}
	c.Facts = append(c.Facts, what)
	if f := j.Holds(); f != "" {
		c.Facts = append(c.Facts, parts.Fact{Label: "Holds", Value: f.Title()})
	}
	if j.Kind.Rubber() {
		at, taken := j.Hottest()
		hot := parts.Fact{Label: "Hottest it gets", Value: quantity.DegreeCelsius.Format(at, 3), Source: parts.Measured}
		if taken {
			hot.Source, hot.Note = parts.Practice, "taken, nobody measured it"
		}
		c.Facts = append(c.Facts, hot)
	}
	if ring, ok := j.Ring(); ok {
		c.Facts = append(c.Facts, parts.Fact{Label: "Ring", Value: fmt.Sprintf("%s inside, %s thick",
			quantity.Millimetre.Format(ring.Inside.Nominal, 4), quantity.Millimetre.Format(ring.Section.Nominal, 3))})
	}
	if j.Note != "" {
		c.Facts = append(c.Facts, parts.Fact{Label: "Note", Value: j.Note})
	}
	return c
}

func sealHowCard(how seal.How) cardView {
	in := string(how.Manner)
	if how.With != "" {
		in += ": " + string(how.With)
	}
	return cardView{Title: "How it goes in", Text: how.Say, Facts: []parts.Fact{
		{Label: "It goes in", Value: in, Source: parts.Practice},
		{Label: "Never", Value: strings.Join(how.Never, "; "), Source: parts.Practice},
	}}
}

// sealActs chooses the one thing to do next, and what else can be worked out.
func sealActs(s *job.State, j *job.JointSeal) (acts []parts.Link, main parts.Link) {
	what := parts.Link{Label: "Say what it is", Sub: "kind, size, material", Href: sealURL(s, j, "what")}
	measure := parts.Link{Label: "Measure it", Sub: "ring and groove", Href: sealURL(s, j, "measure")}
	step := ""
	if j.Down != nil {
		step = j.Down.ID
		if up := s.StepByID(j.Down.Partner); up != nil && j.Down.IsDone() {
			step = up.ID
		}
	}
	back := backTo(s, step)
	if step != "" {
		back = parts.Link{Label: "Back to the step", Href: stepURL(s.ID, step)}
	}
	work := func(label, calculation string, inputs ...string) parts.Link {
		return parts.Link{Label: label, Href: workOutURL(s, step, calculation, inputs...)}
	}
	ring := j.Kind == seal.ORing || j.Kind == seal.MovingRing
	_, haveGland := j.Gland()
	switch {
	case !j.Named():
		main = what
	case j.Unfit():
		main = what
		main.Label, main.Sub = "Take another seal", "and say what it is"
		acts = append(acts, parts.Link{Label: "Fit it all the same", Sub: "with a reason", Href: sealURL(s, j, "anyway")})
	case ring && !haveGland:
		main, acts = measure, append(acts, what)
	case j.Kind == seal.Silicone || j.Kind == seal.Anaerobic:
		main = parts.Link{Label: "Joint closed: start the wait", Sub: "by today's temperature and humidity", Href: sealURL(s, j, "wait")}
		acts = append(acts, what)
	default:
		main, acts = back, append(acts, what)
	}
	if ring || !j.Named() {
		if main.Label != measure.Label {
			acts = append(acts, measure)
		}
		acts = append(acts, work("Which ring is this?", "o-ring-recognise", "used", "yes"), work("Which ring for this groove?", "o-ring-for-groove", grooveInputs(j)...))
	}
	switch j.Kind {
	case seal.PaperGasket, seal.MetalLayer, seal.RubberFace:
		acts = append(acts, work("Is the face flat?", "flatness"), work("Do the bolts suffice?", "gasket-seating"))
	case seal.Silicone, seal.Anaerobic:
		acts = append(acts, work("How much sealant?", "sealant-bead"), work("Is the face flat?", "flatness"))
	}
	if main != back {
		acts = append(acts, back)
	}
	return acts, main
}

// grooveInputs fills in what was measured of the groove.
func grooveInputs(j *job.JointSeal) []string {
	var inputs []string
	add := func(name string, l quantity.Written[quantity.Length]) {
		if !l.IsZero() {
			inputs = append(inputs, name, l.String())
		}
	}
	if j.Seat != "" {
		inputs = append(inputs, "seat", string(j.Seat))
	}
	add("depth", j.Depth)
	add("groove", j.Groove)
	add("mate", j.Mate)
	add("width", j.Width)
	return inputs
}

// sealFacts are what a step shows of the seals of its joints: on the way down
// what to look at, on the way up how each goes in.
func sealFacts(s *job.State, st *job.Step) []parts.Fact {
	var facts []parts.Fact
	for _, j := range s.SealsOf(st) {
		label := "Seal"
		if j.Name != st.Name {
			label = "Seal, " + j.Name
		}
		how, named := j.How()
		href := sealURL(s, j, "")
		switch {
		case !named:
			facts = append(facts, parts.Fact{Label: label, Value: "not named: see what it is", Href: href})
		case st.Opens:
			facts = append(facts, parts.Fact{Label: label, Value: j.Title(), Href: href})
		default:
			facts = append(facts, parts.Fact{Label: label, Value: j.InText(), Href: href}, parts.Fact{Label: "Never on it", Value: strings.Join(how.Never, "; "), Source: parts.Practice})
		}
	}
	return facts
}

// sealCards is the job's card of its seals, none where it opens no joint.
func sealCards(s *job.State) []cardView {
	if len(s.Seals) == 0 {
		return nil
	}
	named, bad := 0, 0
	for _, j := range s.Seals {
		if j.Named() {
			named++
		}
		if j.Unfit() {
			bad++
		}
	}
	text := fmt.Sprintf("%d of %s named.", named, plural(len(s.Seals), "joint", "joints"))
	if bad > 0 {
		text += fmt.Sprintf(" %d will not do.", bad)
	}
	return []cardView{{Title: "Seals", Text: text, Links: []parts.Link{{Label: "What seals each joint", Href: jobURL(s.ID, "seals")}}}}
}
