package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"lastbolt/calc/belt"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

func (h *Host) beltRoutes(mux *Router) {
	page := func(path string, show func(http.ResponseWriter, *http.Request, *job.State, *job.BeltRun)) {
		mux.HandleFunc("GET /jobs/{job}/belt"+path, func(w http.ResponseWriter, r *http.Request) {
			s, err := h.load(r.Context(), r.PathValue("job"))
			if err != nil {
				h.fail(w, r, err)
				return
			}
			run := s.BeltRun(r.FormValue("item"))
			if run == nil {
				run = &job.BeltRun{Item: r.FormValue("item"), Aspect: 1}
			}
			if run.Name == "" {
				run.Name = itemName(s, run.Item)
			}
			show(w, r, s, run)
		})
	}
	page("", h.showBelt)
	page("/about", h.showBeltAbout)
	page("/scale", h.showBeltScale)
	page("/pulley", h.showBeltPulley)
	page("/run", h.showBeltRouting)
	page("/find", h.showBeltFind)
	mux.HandleFunc("POST /jobs/{job}/belt/photo", h.postBeltPhoto)
	mux.HandleFunc("POST /jobs/{job}/belt/about", h.post(makeBeltAbout, toBelt))
	mux.HandleFunc("POST /jobs/{job}/belt/scale", h.post(makeBeltScale, toBelt))
	mux.HandleFunc("POST /jobs/{job}/belt/pulley", h.post(makeBeltPulley, toBelt))
	mux.HandleFunc("POST /jobs/{job}/belt/run", h.post(makeBeltRouting, func(r *http.Request, s *job.State) string {
		if r.FormValue("whole") != "" {
			return toBelt(r, s)
		}
		return beltURL(s, r.FormValue("item"), "run")
	}))
	mux.HandleFunc("POST /jobs/{job}/belt/seat", h.post(func(r *http.Request) (job.Action, error) {
		return job.SeatBelt(r.FormValue("item"), r.FormValue("pulley")), nil
	}, toBelt))
}

func itemName(s *job.State, item string) string {
	for _, st := range s.Steps {
		if st.Item == item {
			return st.Name
		}
	}
	return item
}

func beltURL(s *job.State, item, page string, more ...string) string {
	q := url.Values{"item": {item}}
	for i := 0; i+1 < len(more); i += 2 {
		q.Set(more[i], more[i+1])
	}
	return jobURL(s.ID, "belt"+prefixed("/", page)) + "?" + q.Encode()
}

func toBelt(r *http.Request, s *job.State) string { return beltURL(s, r.FormValue("item"), "") }

// beltView is the page of how a belt runs.
type beltView struct {
	Title, Lead string
	Back        parts.Link
	Error       string
	Picture     pictureView
	Drawing     string
	Paper       parts.Link
	Facts       []parts.Fact
	Verdicts    []verdictView
	Cards       []cardView
	PhotoURL    string
	Hidden      []parts.Pair
	Acts        []parts.Link
	Main        *parts.ActionInfo
	MainLink    parts.Link
	Undo        parts.ActionInfo
}

type verdictView struct{ Level, Word, Say string }

// pictureView is a photo with what is marked on it; taps on it fill in fields.
type pictureView struct {
	Src    string
	Alt    string
	Aspect string // height over width, for the svg
	Marks  []markView
	Lines  []string // points of lines, as svg takes them
	Taps   []tapView
}

type markView struct {
	X, Y, R string
	Label   string
	Now     bool
}

// tapView is one place to tap: what it is, and the fields it fills.
type tapView struct {
	Say  string
	X, Y parts.FieldInfo
}

func (h *Host) beltPage(w http.ResponseWriter, r *http.Request, s *job.State, v beltView) {
	p := h.jobFrame(r, s, v.Title)
	h.show(w, r, http.StatusOK, beltPage(p, v))
}

// showBelt is the record: the drawing, what is known, what is next.
func (h *Host) showBelt(w http.ResponseWriter, r *http.Request, s *job.State, run *job.BeltRun) {
	v := beltView{Title: "How it runs: " + run.Name, Back: parts.Link{Label: "Back to the job", Href: jobURL(s.ID, "")}, Undo: undoOf(s),
		PhotoURL: jobURL(s.ID, "belt/photo"), Hidden: parts.Pairs("item", run.Item)}
	if run.Step != nil {
		v.Back = parts.Link{Label: "Back to the step", Href: stepURL(s.ID, run.Step.ID)}
	}
	sol, err := run.Solve()
	if sol != nil {
		v.Drawing = draw.FigureSVG(belt.Draw(sol))
		v.Facts, v.Verdicts = beltFacts(run, sol), troublesOf(sol)
		v.Paper = parts.Link{Label: "On paper", Href: jobURL(s.ID, "paper/belt")}
	} else if d, derr := run.Drive(); derr == nil {
		v.Drawing = draw.FigureSVG(belt.DrawPulleys(&d))
	}
	if err != nil && len(run.Pulleys) > 0 {
		v.Lead = sentence(err)
	}
	v.Picture = beltPicture(run)
	if run.Picture != "" {
		v.PhotoURL = ""
	}
	v.Cards = append(v.Cards, pulleyCard(s, run), aboutBeltCard(s, run))
	if sol != nil {
		v.Cards = append(v.Cards, spanCard(s, run, sol))
	}
	h.beltActs(&v, s, run, err == nil)
	h.beltPage(w, r, s, v)
}

// beltActs chooses the one thing to do next, and what else can be done.
func (h *Host) beltActs(v *beltView, s *job.State, run *job.BeltRun, solved bool) {
	add := parts.Link{Label: "Add a pulley", Sub: "crank first, then the others", Href: beltURL(s, run.Item, "pulley")}
	scale := parts.Link{Label: "Set the scale", Sub: "two places a known distance apart", Href: beltURL(s, run.Item, "scale")}
	record := parts.Link{Label: "Record how it runs", Sub: "while it is still on", Href: beltURL(s, run.Item, "run")}
	find := parts.Link{Label: "Find how it ran", Sub: "when it is off and nobody noted it", Href: beltURL(s, run.Item, "find")}
	on := run.Step != nil && run.Step.Closes
	switch left := run.Unseated(); {
	case len(run.Pulleys) == 0:
		v.MainLink = add
		v.Lead = "Take a photo from the front while the belt is on, or go on without one and measure. Every pulley, then the run."
	case run.Picture != "" && run.MM() == 0:
		v.MainLink = scale
		v.Acts = []parts.Link{add}
	case run.Routing == nil && on:
		v.MainLink, v.Acts = find, []parts.Link{add, {Label: "I know how it runs", Href: record.Href}}
	case run.Routing == nil:
		v.MainLink, v.Acts = record, []parts.Link{add, find}
	case on && solved && len(left) > 0:
		p := left[0]
		v.Main = &parts.ActionInfo{URL: jobURL(s.ID, "belt/seat"), Hidden: parts.Pairs("item", run.Item, "pulley", p.ID), Main: true,
			Label: p.Name + ": sits right", Sub: seatWords(run, p)}
		order, why := run.PutOnOrder()
		if why != "" {
			v.Lead = "On last: " + order[len(order)-1].Name + ", " + why
		}
		v.Acts = []parts.Link{record, find}
	default:
		v.MainLink = v.Back
		v.Acts = []parts.Link{add, record, find}
		if run.Picture != "" {
			v.Acts = append(v.Acts, scale)
		}
	}
}

// seatWords say what to look at on one pulley.
func seatWords(run *job.BeltRun, p *job.BeltPulley) string {
	side := belt.Ribs
	if run.Routing != nil {
		for _, t := range run.Routing.Run {
			if t.Pulley == p.ID {
				side = t.Side
			}
		}
	}
	if side == belt.Back {
		return "the belt's back in the middle of the rim, no edge over it"
	}
	return "every rib in its groove, none hanging over the edge, seen and felt"
}

func beltFacts(run *job.BeltRun, sol *belt.Solution) []parts.Fact {
	src, note := sourceOf(run.Routing.Source), run.Routing.Where
	facts := []parts.Fact{
		{Label: "In the direction it travels", Value: sol.Order(), Source: src, Note: note},
		{Label: "Belt length over these pulleys", Value: quantity.Millimetre.Format(sol.Effective, 4), Source: parts.Computed,
			Note: fmt.Sprintf("%s to %s by how far the back stands off", quantity.Millimetre.Format(sol.Low, 4), quantity.Millimetre.Format(sol.High, 4))},
	}
	if !run.Length.IsZero() {
		facts = append(facts, parts.Fact{Label: "Marked on the belt", Value: run.Length.String(), Source: parts.Measured})
	}
	if run.OneWay {
		facts = append(facts, parts.Fact{Label: "This belt runs one way only", Value: "arrow on the belt with the arrows of the drawing"})
	}
	return facts
}

func troublesOf(sol *belt.Solution) []verdictView {
	var all []verdictView
	for _, t := range sol.Troubles {
		v := verdictView{"careful", "Worth a look:", t.Say}
		if t.Grave {
			v = verdictView{"bad", "This cannot be right:", t.Say}
		}
		all = append(all, v)
	}
	if len(all) == 0 {
		all = []verdictView{{"good", "Good:", "every pulley turns the way it must, and nothing crosses or rubs."}}
	}
	return all
}

func pulleyCard(s *job.State, run *job.BeltRun) cardView {
	c := cardView{Title: "Pulleys"}
	if len(run.Pulleys) == 0 {
		c.Text = "None yet."
	}
	order, _ := run.PutOnOrder()
	last := ""
	if len(order) > 0 && run.Routing != nil {
		last = order[len(order)-1].ID
	}
	for _, p := range run.Pulleys {
		var words []string
		if p.Crank {
			words = append(words, "on the crank, drives")
		}
		switch p.Surface {
		case belt.Plain:
			words = append(words, "smooth rim, the belt's back runs on it")
		case belt.Either:
			words = append(words, "smooth rim")
		default:
			words = append(words, "grooved")
		}
		if p.Moves {
			words = append(words, "moves to tighten")
		}
		if !p.Diameter.IsZero() {
			words = append(words, p.Diameter.String()+" across")
		}
		line := lineView{Name: p.Name, Beneath: strings.Join(words, " · "), Href: beltURL(s, run.Item, "pulley", "pulley", p.ID)}
		switch {
		case run.Routing != nil && run.Step != nil && run.Step.Closes && run.Seated(p.ID):
			line.Tag, line.State = "sits right", "done"
		case p.ID == last:
			line.Tag, line.State = "on last", "open"
		}
		c.Lines = append(c.Lines, line)
	}
	return c
}

// spanCard lists the free spans: plucked, each sings its tension.
func spanCard(s *job.State, run *job.BeltRun, sol *belt.Solution) cardView {
	step := ""
	if run.Step != nil {
		step = run.Step.ID
	}
	c := cardView{Title: "Tension by the note of a span", Text: "Engine off. Pluck the longest free span and measure its note; the tension follows from it.",
		Links: []parts.Link{{Label: "Are the pulleys in line?", Href: workOutURL(s, step, "belt-alignment")}}}
	ribs := ""
	if run.Ribs > 0 {
		ribs = fmt.Sprint(run.Ribs)
	}
	for _, span := range sol.Spans {
		length := quantity.Millimetre.Format(span.Length, 4)
		c.Lines = append(c.Lines, lineView{Name: sol.Stops[span.From].Name + " to " + sol.Stops[span.To].Name, Beneath: length + " free, computed",
			Href: workOutURL(s, step, "belt-tension-by-note", "span", length, "ribs", ribs, "profile", run.Profile)})
	}
	return c
}

func aboutBeltCard(s *job.State, run *job.BeltRun) cardView {
	c := cardView{Title: "The belt", Links: []parts.Link{{Label: "Length, ribs, way of turning", Href: beltURL(s, run.Item, "about")}}}
	add := func(label, value string) {
		if value != "" {
			c.Facts = append(c.Facts, parts.Fact{Label: label, Value: value})
		}
	}
	add("Length as marked", run.Length.String())
	if run.Ribs > 0 {
		add("Ribs", fmt.Sprint(run.Ribs))
	}
	add("Section", run.Profile)
	add("Crank turns", prefixedOrDefault(run.Turns, "clockwise, seen from the front (taken until you say otherwise)"))
	add("Note", run.Note)
	return c
}

func prefixedOrDefault(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text + ", seen from the front"
}

// beltPicture is the photo with the pulleys and the run marked on it.
func beltPicture(run *job.BeltRun) pictureView {
	if run.Picture == "" {
		return pictureView{}
	}
	v := pictureView{Src: "/photos/" + run.Picture, Alt: "Photo of the belt drive with its pulleys marked", Aspect: svgNumber(run.Aspect)}
	at := map[string]*job.Point{}
	for _, p := range run.Pulleys {
		if p.At == nil {
			continue
		}
		at[p.ID] = p.At
		radius := 0.02
		if p.Rim != nil {
			radius = distance(*p.At, *p.Rim)
		}
		v.Marks = append(v.Marks, markView{X: svgNumber(p.At.X), Y: svgNumber(p.At.Y), R: svgNumber(radius), Label: p.Name, Now: p.Crank})
	}
	if run.Routing != nil {
		var points []string
		for _, t := range run.Routing.Run {
			if p := at[t.Pulley]; p != nil {
				points = append(points, svgNumber(p.X)+","+svgNumber(p.Y))
			}
		}
		if len(points) > 2 {
			v.Lines = append(v.Lines, strings.Join(append(points, points[0]), " "))
		}
	}
	return v
}

// beltOnStep is what a step that moves a belt shows of its run.
type beltOnStep struct {
	Drawing, Say string
	Link         parts.Link
}

func beltCardOn(s *job.State, st *job.Step) *beltOnStep {
	if !s.IsBelt(st) {
		return nil
	}
	run := s.BeltRun(st.Item)
	v := &beltOnStep{Link: parts.Link{Label: "The belt's run", Href: beltURL(s, st.Item, "")}}
	if run == nil || run.Routing == nil {
		v.Say = "Not recorded. A photo and two minutes now save the guessing later."
		v.Link.Label = "Record how it runs"
		if st.Closes && !stillOn(s, st) {
			v.Say = "Nobody noted how it ran. Measure the pulleys, and the possible runs can be found."
			v.Link.Label = "Find how it ran"
		}
		return v
	}
	if sol, err := run.Solve(); err == nil {
		v.Drawing = draw.FigureSVG(belt.Draw(sol))
	}
	v.Say = "Recorded before it came off."
	if run.Routing.Source == access.Computed {
		v.Say = "Found by computing, not seen: compare with the marks on the rims."
	}
	if left := run.Unseated(); st.Closes && !st.IsDone() {
		v.Link.Label = "Go through the pulleys"
		v.Link.Sub = fmt.Sprintf("%d of %d looked at", len(run.Touched())-len(left), len(run.Touched()))
	}
	if run.OneWay {
		v.Say += " The belt runs one way only: its arrow with the arrows of the drawing."
	}
	return v
}
