package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"lastbolt/calc"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/quantity"
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

func (h *Host) fluidRoutes(mux *Router) {
	mux.HandleFunc("GET /jobs/{job}/fluid", h.showFluid)
	form := func(path string, make func(*job.State, *job.FluidBook) formView) {
		mux.HandleFunc("GET /jobs/{job}/fluid/"+path, func(w http.ResponseWriter, r *http.Request) {
			s, b, err := h.loadFluid(r)
			if err != nil {
				h.fail(w, r, err)
				return
			}
			v := make(s, b)
			v.URL = jobURL(s.ID, "fluid/"+path)
			v.Hidden = parts.Pairs("fluid", b.Fluid)
			v.Back = parts.Link{Label: "Back to the " + b.Fluid, Href: fluidURL(s, b.Fluid)}
			p := h.jobFrame(r, s, v.Title)
			p.Live, p.Reading = "", true // an event elsewhere must not wipe a half-filled form
			h.show(w, r, http.StatusOK, formPage(p, v))
		})
	}
	form("caught", caughtForm)
	form("filled", filledForm)
	form("about", aboutFluidForm)
	form("level", levelForm)
	mux.HandleFunc("POST /jobs/{job}/fluid/caught", h.post(makeMoved(job.CatchFluid), toFluid))
	mux.HandleFunc("POST /jobs/{job}/fluid/filled", h.post(makeMoved(job.FillFluid), toFluid))
	mux.HandleFunc("POST /jobs/{job}/fluid/about", h.post(makeAboutFluid, toFluid))
	mux.HandleFunc("POST /jobs/{job}/fluid/level", h.post(func(r *http.Request) (job.Action, error) {
		return job.SeeLevel(job.FluidLevel{Fluid: r.FormValue("fluid"), After: r.FormValue("after"), Level: r.FormValue("level")}), nil
	}, toFluid))
}

func fluidURL(s *job.State, fluid string) string {
	return jobURL(s.ID, "fluid") + "?" + url.Values{"name": {fluid}}.Encode()
}

func toFluid(r *http.Request, s *job.State) string { return fluidURL(s, r.FormValue("fluid")) }

func (h *Host) loadFluid(r *http.Request) (*job.State, *job.FluidBook, error) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		return nil, nil, err
	}
	name := r.FormValue("name")
	b := s.FluidBook(name)
	if b == nil {
		return nil, nil, fault.New(fault.NotFound, "This job lets out no fluid of that name. Go back to the job.")
	}
	return s, b, nil
}

// showFluid is the book of one fluid: what came out, what went in, what to fill
// and whether it all went in.
func (h *Host) showFluid(w http.ResponseWriter, r *http.Request) {
	s, b, err := h.loadFluid(r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := jobView{Title: capital(b.Fluid), Beneath: fluidSum(b), Invented: s.Invented, Undo: undoOf(s)}
	if b.IsCoolant() {
		v.Banner = "Coolant is poisonous to people and animals and tastes sweet."
		v.BannerMend = "Keep what was caught covered and labelled, wipe up every drop, hand it in where the local rules say. Never open a hot system."
	}
	v.Cards = append(v.Cards, movedCard(s, b))
	if b.Out > 0 {
		v.Cards = append(v.Cards, refillCard(s, b)...)
	}
	if b.In > 0 {
		v.Cards = append(v.Cards, trappedCard(s, b))
	}
	v.Cards = append(v.Cards, aboutFluidCard(s, b))
	name := "?name=" + queryEscape(b.Fluid)
	switch {
	case b.Out == 0:
		v.Main = parts.Link{Label: "How much came out", Sub: "measured in the catch container", Href: jobURL(s.ID, "fluid/caught") + name}
	case b.Up != nil && b.Up.IsDone() || b.In > b.Out+b.Spilled-quantity.Litres(0.1):
		v.Main = parts.Link{Label: "Look at the level", Sub: "after filling, and again after the first warm-up", Href: jobURL(s.ID, "fluid/level") + name}
	default:
		v.Main = parts.Link{Label: "How much went in", Href: jobURL(s.ID, "fluid/filled") + name}
	}
	h.show(w, r, http.StatusOK, jobPage(h.jobFrame(r, s, v.Title), v))
}

func litres(v quantity.Volume) string { return quantity.Litre.Format(v, 3) }

func fluidSum(b *job.FluidBook) string {
	if b.Out == 0 && b.In == 0 {
		return "Nothing measured yet."
	}
	if b.In == 0 {
		return litres(b.Out) + " came out, nothing went in yet."
	}
	return fmt.Sprintf("%s came out, %s went in.", litres(b.Out), litres(b.In))
}

func movedCard(s *job.State, b *job.FluidBook) cardView {
	c := cardView{Title: "Measured"}
	if b.Mapped > 0 {
		c.Facts = append(c.Facts, parts.Fact{Label: "By the map", Value: litres(b.Mapped) + " come out", Source: parts.Practice, Note: "the map's own figure"})
	}
	for _, e := range b.Caught {
		c.Facts = append(c.Facts, parts.Fact{Label: "Came out", Value: strings.Join(nonEmpty(e.Moved.Amount.String(), prefixed("spilled about ", e.Moved.Spilled.String()), e.Moved.Note), ", "), Source: parts.Measured})
	}
	for _, e := range b.Filled {
		c.Facts = append(c.Facts, parts.Fact{Label: "Went in", Value: strings.Join(nonEmpty(e.Moved.Amount.String(), e.Moved.What, e.Moved.Note), ", "), Source: parts.Measured})
	}
	for _, e := range b.Levels {
		c.Facts = append(c.Facts, parts.Fact{Label: "Level after " + e.Level.After, Value: e.Level.Level, Source: parts.Measured})
	}
	name := "?name=" + queryEscape(b.Fluid)
	c.Links = []parts.Link{
		{Label: "More came out", Href: jobURL(s.ID, "fluid/caught") + name},
		{Label: "More went in", Href: jobURL(s.ID, "fluid/filled") + name},
	}
	return c
}

func aboutFluidCard(s *job.State, b *job.FluidBook) cardView {
	c := cardView{Title: "About it", Links: []parts.Link{{Label: "Change", Href: jobURL(s.ID, "fluid/about") + "?name=" + queryEscape(b.Fluid)}}}
	add := func(label, value, note string, source parts.Source) {
		if value == "" {
			source, note = parts.Unknown, ""
		}
		c.Facts = append(c.Facts, parts.Fact{Label: label, Value: value, Source: source, Note: note})
	}
	add("The system holds", b.Capacity.String(), "as you wrote", parts.Measured)
	if b.IsCoolant() {
		add("Coldest night", b.Coldest.String(), "as you wrote", parts.Measured)
		add("Strength of the old", suffixed(b.Strength, " % by volume"), "as you wrote", parts.Measured)
	}
	return c
}

func suffixed(text, suffix string) string {
	if text == "" {
		return ""
	}
	return text + suffix
}

// refillCard works out what goes back in, where enough is known, and what else
// to ask of a drained coolant.
func refillCard(s *job.State, b *job.FluidBook) []cardView {
	if !b.IsCoolant() {
		return nil
	}
	step := ""
	if b.Up != nil {
		step = b.Up.ID
	}
	inputs := map[string]string{"capacity": b.Capacity.String(), "caught": litres(b.Out), "base": b.Base, "old": b.Strength, "coldest": b.Coldest.String(), "product": b.Product, "product_strength": b.ProductStrength}
	card := cardView{Title: "What to fill"}
	if b.Capacity.IsZero() {
		card.Text = "Write what the whole system holds, and it can be worked out."
	} else {
		card = calcCard(s, step, "What to fill", "coolant-refill", inputs)
	}
	reuse := cardView{Title: "May the old go back in?", Text: "It depends on its age, how it looks, and what failed.",
		Links: []parts.Link{{Label: "Judge it", Href: workOutURL(s, step, "coolant-reuse")}, {Label: "May two kinds be mixed?", Href: workOutURL(s, step, "coolant-mixing")}}}
	return []cardView{card, reuse}
}

// trappedCard compares what came out with what went in.
func trappedCard(s *job.State, b *job.FluidBook) cardView {
	step := ""
	if b.Up != nil {
		step = b.Up.ID
	}
	inputs := map[string]string{"caught": litres(b.Out), "filled": litres(b.In), "capacity": b.Capacity.String()}
	if b.Spilled > 0 {
		inputs["spilled"] = litres(b.Spilled)
	}
	if !b.IsCoolant() {
		missing := b.Out + b.Spilled - b.In
		c := cardView{Title: "Did it all go in?", Facts: []parts.Fact{{Label: "Out less in", Value: litres(missing), Source: parts.Computed}}}
		c.Text = "The mark decides, not the sum: measure the level as the maker says."
		return c
	}
	return calcCard(s, step, "Did it all go in?", "coolant-fill-check", inputs)
}

// calcCard runs a calculation on what the job knows and shows its answer.
func calcCard(s *job.State, step, title, name string, inputs map[string]string) cardView {
	c := cardView{Title: title}
	d, err := calculations.Find(name)
	if err != nil {
		c.Text = sentence(err)
		return c
	}
	given := map[string]string{}
	var pairs []string
	for k, v := range inputs {
		if v != "" {
			given[k] = v
			pairs = append(pairs, k, v)
		}
	}
	link := parts.Link{Label: "See the working, change it", Href: workOutURL(s, step, name, pairs...)}
	c.Links = []parts.Link{link}
	out, err := d.Run(given)
	if err != nil {
		c.Text = calc.ProblemsOf(err).Error()
		return c
	}
	if len(out.Verdicts) > 0 {
		c.Text = out.Verdicts[0].Level.Word() + " " + out.Verdicts[0].Say
	}
	for _, r := range out.Results {
		if r.Output.Kind == calc.Table {
			for _, row := range r.Rows {
				var cells []string
				for _, cell := range row {
					cells = append(cells, cell.Show())
				}
				c.Lines = append(c.Lines, lineView{Name: strings.Join(cells, " · ")})
			}
			continue
		}
		c.Facts = append(c.Facts, parts.Fact{Label: r.Output.Title, Value: r.Show(), Source: basisSource(r.Basis), Note: r.Why})
	}
	for _, f := range out.Figures {
		c.Drawing = draw.FigureSVG(f)
	}
	return c
}

func caughtForm(_ *job.State, b *job.FluidBook) formView {
	hint := "Measured in the catch container, cold."
	if b.Mapped > 0 {
		hint += " The map expects " + litres(b.Mapped) + "."
	}
	return formView{Title: "How much " + b.Fluid + " came out", Action: "Write it down", Fields: []parts.FieldInfo{
		{Name: "amount", Label: "Caught", Placeholder: "3.2 L", Required: true, Focus: true, Hint: hint},
		{Name: "spilled", Label: "Spilled, a guess", Placeholder: "0.2 L", Hint: "May be left blank."},
		{Name: "note", Label: "How it looks", Hint: "Clear, rusty, oily, bits in it. May be left blank."},
	}}
}

func filledForm(_ *job.State, b *job.FluidBook) formView {
	return formView{Title: "How much " + b.Fluid + " went in", Lead: fmt.Sprintf("%s came out, %s went in so far.", litres(b.Out), litres(b.In)), Action: "Write it down", Fields: []parts.FieldInfo{
		{Name: "amount", Label: "Filled", Placeholder: "2.5 L", Required: true, Focus: true},
		{Name: "what", Label: "What", Placeholder: "ready-mixed", Hint: "May be left blank."},
	}}
}

func levelForm(_ *job.State, b *job.FluidBook) formView {
	after := "filling"
	if len(b.Levels) > 0 {
		after = "first warm-up"
	}
	return formView{Title: "Level of the " + b.Fluid, Lead: "Cold, on level ground. A level that falls after the first warm-up was trapped air coming out, or a leak: look for both.", Action: "Write it down", Fields: []parts.FieldInfo{
		{Type: "select", Name: "after", Label: "When", Value: after, Options: parts.Options("filling", "after filling", "first warm-up", "after the first warm-up, cold again")},
		{Type: "choices", Name: "level", Label: "The level is", Required: true, Options: parts.Options("at the mark", "at the mark", "below", "below it", "above", "above it")},
	}}
}

func aboutFluidForm(_ *job.State, b *job.FluidBook) formView {
	fields := []parts.FieldInfo{{Name: "capacity", Label: "The whole system holds", Value: b.Capacity.String(), Placeholder: "6.5 L", Hint: "From the maker's document."}}
	if b.IsCoolant() {
		fields = append(fields,
			parts.FieldInfo{Name: "coldest", Label: "Coldest night to be safe in", Value: b.Coldest.String(), Placeholder: "-20 °C"},
			parts.FieldInfo{Type: "select", Name: "base", Label: "Glycol", Value: b.Base, Options: parts.Options("", "ethylene, unless you know better", "ethylene", "ethylene", "propylene", "propylene")},
			parts.FieldInfo{Name: "strength", Label: "Strength of the old", Value: b.Strength, Unit: "% by volume", Mode: "decimal", Hint: "By refractometer or hydrometer; a calculation turns their readings into it."},
			parts.FieldInfo{Type: "select", Name: "product", Label: "What is filled", Value: b.Product, Options: parts.Options("", "choose", "concentrate", "concentrate, thinned with water", "ready", "ready-mixed")},
			parts.FieldInfo{Name: "product_strength", Label: "Its strength", Value: b.ProductStrength, Unit: "% by volume", Mode: "decimal", Hint: "Of a ready-mixed one, on its label. May be left blank."})
	}
	return formView{Title: "About the " + b.Fluid, Action: "Keep", Fields: fields}
}

func makeMoved(act func(job.FluidMoved) job.Action) func(*http.Request) (job.Action, error) {
	return func(r *http.Request) (job.Action, error) {
		d := job.FluidMoved{Fluid: r.FormValue("fluid"), What: strings.TrimSpace(r.FormValue("what")), Note: strings.TrimSpace(r.FormValue("note"))}
		var err error
		if d.Amount, err = optionalVolume(r.FormValue("amount"), "The amount"); err != nil {
			return nil, err
		}
		if d.Spilled, err = optionalVolume(r.FormValue("spilled"), "What was spilled"); err != nil {
			return nil, err
		}
		return act(d), nil
	}
}

func makeAboutFluid(r *http.Request) (job.Action, error) {
	d := job.FluidSet{Fluid: r.FormValue("fluid"), Base: r.FormValue("base"), Strength: plainPercent(r.FormValue("strength")), Product: r.FormValue("product"), ProductStrength: plainPercent(r.FormValue("product_strength"))}
	var err error
	if d.Capacity, err = optionalVolume(r.FormValue("capacity"), "What the system holds"); err != nil {
		return nil, err
	}
	if text := strings.TrimSpace(r.FormValue("coldest")); text != "" {
		if d.Coldest, err = quantity.ParseTemperature(text); err != nil {
			return nil, fault.New(fault.Bad, "The coldest night: %v.", err)
		}
	}
	return job.SetFluid(d), nil
}

func plainPercent(text string) string {
	return strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%"))
}

func optionalVolume(text, what string) (quantity.Written[quantity.Volume], error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return quantity.Written[quantity.Volume]{}, nil
	}
	v, err := quantity.ParseVolume(text)
	if err != nil {
		return v, fault.New(fault.Bad, "%s: %v.", what, err)
	}
	return v, nil
}

// fluidLinks lead from a step to the books of the fluids it lets out or fills.
func fluidLinks(s *job.State, st *job.Step) []parts.Link {
	var links []parts.Link
	for _, b := range s.Fluids {
		lets := false
		if way := st.Details(); way != nil && st.Opens {
			for _, f := range way.Fluids.Items {
				lets = lets || f.Name == b.Fluid
			}
		}
		if lets || st.Fluid == b.Fluid {
			links = append(links, parts.Link{Label: capital(b.Fluid), Href: fluidURL(s, b.Fluid)})
		}
	}
	return links
}
