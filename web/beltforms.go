package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"

	"lastbolt/calc/belt"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

// beltForm is a page with one form of the belt's record, over its picture where
// there is one.
type beltForm struct {
	Title, Lead string
	URL         string
	Hidden      []parts.Pair
	Picture     pictureView
	Fields      []parts.FieldInfo
	Action, Sub string
	Remove      *parts.ActionInfo
	Back        parts.Link
}

func (h *Host) beltFormPage(w http.ResponseWriter, r *http.Request, s *job.State, run *job.BeltRun, f beltForm) {
	p := h.jobFrame(r, s, f.Title)
	p.Live = "" // an event elsewhere must not wipe a half-filled form
	f.Hidden = append(f.Hidden, parts.Pairs("item", run.Item)...)
	f.Back = parts.Link{Label: "Back to the belt", Href: beltURL(s, run.Item, "")}
	h.show(w, r, http.StatusOK, beltFormPage(p, f))
}

func (h *Host) showBeltAbout(w http.ResponseWriter, r *http.Request, s *job.State, run *job.BeltRun) {
	ribs := ""
	if run.Ribs > 0 {
		ribs = strconv.Itoa(run.Ribs)
	}
	profiles := []parts.Option{{Value: "", Label: "PK, unless you know better"}}
	for _, name := range belt.Profiles() {
		profiles = append(profiles, parts.Option{Value: name, Label: name})
	}
	h.beltFormPage(w, r, s, run, beltForm{Title: "The belt itself", URL: jobURL(s.ID, "belt/about"), Action: "Keep", Fields: []parts.FieldInfo{
		{Name: "length", Label: "Length as marked", Value: run.Length.String(), Placeholder: "1795 mm", Hint: "The length on the belt's back tells the possible runs apart. May be left blank."},
		{Name: "ribs", Label: "Ribs", Value: ribs, Mode: "numeric", Hint: "May be left blank."},
		{Type: "select", Name: "profile", Label: "Section", Value: run.Profile, Options: profiles},
		{Type: "select", Name: "turns", Label: "The crank turns, seen from the front", Value: run.Turns,
			Options: parts.Options("", "clockwise, unless you know better", "clockwise", "clockwise", "counter-clockwise", "counter-clockwise")},
		{Type: "check", Name: "one_way", Label: "An arrow on the belt: it runs one way only", Checked: run.OneWay},
		{Type: "area", Name: "note", Label: "Note", Value: run.Note},
	}})
}

func (h *Host) showBeltScale(w http.ResponseWriter, r *http.Request, s *job.State, run *job.BeltRun) {
	v := beltPicture(run)
	if v.Src == "" {
		h.fail(w, r, fault.New(fault.Bad, "There is no photo yet to set the scale of. Take one on the belt's page, or write the pulleys' places in millimetres."))
		return
	}
	v.Taps = []tapView{tapFor("a", "One end of what you measured"), tapFor("b", "Its other end")}
	h.beltFormPage(w, r, s, run, beltForm{Title: "Scale of the photo", Lead: "Tap the two ends of something you can measure, as large as possible and at the same depth as the belt: the crank pulley's rim, left and right.",
		URL: jobURL(s.ID, "belt/scale"), Picture: v, Action: "Keep the scale",
		Fields: []parts.FieldInfo{{Name: "distance", Label: "How far apart", Value: run.Distance.String(), Placeholder: "150 mm", Required: true}}})
}

func (h *Host) showBeltPulley(w http.ResponseWriter, r *http.Request, s *job.State, run *job.BeltRun) {
	p := run.Pulley(r.FormValue("pulley"))
	f := beltForm{Title: "A pulley", URL: jobURL(s.ID, "belt/pulley"), Action: "Keep the pulley", Picture: beltPicture(run)}
	first := len(run.Pulleys) == 0
	if p == nil {
		p = &job.BeltPulley{Crank: first}
		if first {
			p.Name = "crank"
			f.Lead = "Begin with the pulley on the crank: it drives the others."
		}
	} else {
		f.Title = p.Name
		f.Hidden = parts.Pairs("pulley", p.ID)
		f.Remove = &parts.ActionInfo{URL: f.URL, Hidden: parts.Pairs("item", run.Item, "pulley", p.ID, "remove", "yes"), Label: "Not there after all"}
	}
	f.Fields = []parts.FieldInfo{{Name: "name", Label: "What it turns", Value: p.Name, Required: true, Hint: "Or idler, tensioner. Each name once.",
		Options: parts.Options("crank", "crank", "generator", "generator", "water pump", "water pump", "steering pump", "steering pump", "compressor", "compressor", "idler", "idler", "tensioner", "tensioner")}}
	if run.Picture != "" {
		f.Picture.Taps = []tapView{tapFor("c", "Its centre"), tapFor("r", "Any place on its rim")}
		f.Fields = append(f.Fields, parts.FieldInfo{Name: "diameter", Label: "Diameter over the rim", Value: p.Diameter.String(), Placeholder: "62 mm", Hint: "Measured is better than tapped. May be left blank."})
	} else {
		x, y := "", ""
		if p.X != nil && p.Y != nil {
			x, y = p.X.String(), p.Y.String()
		} else if first {
			x, y = "0 mm", "0 mm"
		}
		f.Fields = append(f.Fields,
			parts.FieldInfo{Name: "x", Label: "How far to the right of the crank", Value: x, Placeholder: "180 mm", Required: true, Hint: "Centre to centre, seen from the front; to the left is -180 mm."},
			parts.FieldInfo{Name: "y", Label: "How far above the crank", Value: y, Placeholder: "210 mm", Required: true, Hint: "Below it is -210 mm."},
			parts.FieldInfo{Name: "diameter", Label: "Diameter over the rim", Value: p.Diameter.String(), Placeholder: "62 mm", Required: true})
	}
	surface := string(p.Surface)
	if surface == "" {
		surface = string(belt.Grooved)
	}
	f.Fields = append(f.Fields,
		parts.FieldInfo{Type: "select", Name: "surface", Label: "Its rim", Value: surface, Options: parts.Options(
			string(belt.Grooved), "grooved: the ribs run in it", string(belt.Plain), "smooth: the belt's back runs on it", string(belt.Either), "smooth, could be either side")},
		parts.FieldInfo{Type: "select", Name: "turns", Label: "It must turn", Value: p.Turns, Options: parts.Options("", "either way, or not known", string(belt.WithIt), "the same way as the crank", string(belt.Opposite), "against the crank")},
		parts.FieldInfo{Type: "select", Name: "side", Label: "Marks on its rim", Value: string(p.Side), Options: parts.Options("", "nothing to be seen", string(belt.Ribs), "lines of ribs", string(belt.Back), "shine of a smooth back", string(belt.Untouched), "dirt or rust all round: no belt")},
		parts.FieldInfo{Type: "check", Name: "crank", Label: "It is on the crank", Checked: p.Crank},
		parts.FieldInfo{Type: "check", Name: "moves", Label: "It moves to tighten the belt", Checked: p.Moves},
		parts.FieldInfo{Type: "check", Name: "last", Label: "The belt goes on it last", Checked: p.Last})
	h.beltFormPage(w, r, s, run, f)
}

// routingView is the page where the run is tapped, pulley by pulley.
type routingView struct {
	Title, Lead string
	Drawing     string
	Picture     pictureView
	SoFar       []string
	Next        []parts.ActionInfo
	Over        *parts.ActionInfo
	Again       *parts.ActionInfo
	Back        parts.Link
}

func (h *Host) showBeltRouting(w http.ResponseWriter, r *http.Request, s *job.State, run *job.BeltRun) {
	v := routingView{Title: "Follow the belt", Back: parts.Link{Label: "Back to the belt", Href: beltURL(s, run.Item, "")}, Picture: beltPicture(run),
		Lead: "From the crank in the direction the belt travels: which pulley comes next, and which side of the belt touches it?"}
	soFar := ""
	seen := map[string]bool{}
	if run.Routing != nil {
		for _, t := range run.Routing.Run {
			soFar += t.Pulley + ":" + string(t.Side) + " "
			seen[t.Pulley] = true
			if p := run.Pulley(t.Pulley); p != nil {
				v.SoFar = append(v.SoFar, p.Name+map[belt.Side]string{belt.Back: " (back)"}[t.Side])
			}
		}
	}
	post := jobURL(s.ID, "belt/run")
	measured := string(access.Measured)
	for _, p := range run.Pulleys {
		if seen[p.ID] || len(seen) == 0 && !p.Crank {
			continue
		}
		for _, side := range sidesOf(p) {
			v.Next = append(v.Next, parts.ActionInfo{URL: post, Label: p.Name, Sub: map[belt.Side]string{belt.Ribs: "ribs on it", belt.Back: "back on it"}[side],
				Hidden: parts.Pairs("item", run.Item, "so_far", soFar, "next", p.ID+":"+string(side), "source", measured)})
		}
	}
	if len(seen) >= 2 {
		v.Over = &parts.ActionInfo{URL: post, Main: true, Label: "Back at the crank", Sub: "that is the whole run",
			Hidden: parts.Pairs("item", run.Item, "so_far", soFar, "source", measured, "whole", "yes")}
		if sol, err := run.Solve(); err == nil {
			v.Drawing = draw.FigureSVG(belt.Draw(sol))
		}
	}
	if len(seen) > 0 {
		v.Again = &parts.ActionInfo{URL: post, Label: "Start again", Hidden: parts.Pairs("item", run.Item)}
	}
	h.show(w, r, http.StatusOK, beltRoutingPage(h.jobFrame(r, s, v.Title), v))
}

func sidesOf(p *job.BeltPulley) []belt.Side {
	switch p.Surface {
	case belt.Plain:
		return []belt.Side{belt.Back}
	case belt.Either:
		return []belt.Side{belt.Ribs, belt.Back}
	}
	return []belt.Side{belt.Ribs}
}

// foundView is the page of the runs that can be.
type foundView struct {
	Title, Lead, Error string
	Ways               []wayFound
	Wrong              []lineView
	Back               parts.Link
}

type wayFound struct {
	Order, Drawing string
	Facts          []parts.Fact
	Choose         parts.ActionInfo
}

// mostFound is how many runs are drawn; the rest would not be read.
const mostFound = 4

func (h *Host) showBeltFind(w http.ResponseWriter, r *http.Request, s *job.State, run *job.BeltRun) {
	v := foundView{Title: "How it may have run", Back: parts.Link{Label: "Back to the belt", Href: beltURL(s, run.Item, "")}}
	d, err := run.Drive()
	var found *belt.Found
	if err == nil {
		found, err = belt.Find(d, belt.Search{Best: mostFound})
	}
	switch {
	case err != nil:
		v.Error = sentence(err)
	case len(found.Ways) == 0:
		v.Error = "There is no way to run one belt over these pulleys so that each turns as it must. Look at the rims and at which way each has to turn, and mend the pulleys."
	default:
		v.Lead = foundWords(run, found)
		for i, way := range found.Ways {
			if i < mostFound {
				v.Ways = append(v.Ways, foundWay(s, run, way, i))
			}
		}
		wrong, err := belt.Misroutings(d, found.Ways[0].Routing)
		if err == nil {
			for _, w := range wrong[:min(3, len(wrong))] {
				var says []string
				for _, diff := range belt.Compare(found.Ways[0].Solution, w.Solution) {
					says = append(says, diff.Say)
				}
				v.Wrong = append(v.Wrong, lineView{Name: w.Order(), Beneath: strings.Join(says, " ")})
			}
		}
	}
	h.show(w, r, http.StatusOK, beltFoundPage(h.jobFrame(r, s, v.Title), v))
}

func foundWords(run *job.BeltRun, f *belt.Found) string {
	switch {
	case run.Length.IsZero() && f.All > 1:
		return fmt.Sprintf("%d runs are possible. The length marked on the old belt would tell more.", f.All)
	case f.All == 1:
		return "Only one run is possible over these pulleys."
	case f.Fitting == 1:
		return fmt.Sprintf("%d runs are possible; a belt of %s fits one of them.", f.All, run.Length)
	case f.Fitting == 0:
		return fmt.Sprintf("%d runs are possible, and a belt of %s fits none: check its length and the pulleys' places.", f.All, run.Length)
	}
	return fmt.Sprintf("%d runs are possible, a belt of %s fits %d of them: the likeliest first. Compare with shine and dirt on the rims.", f.All, run.Length, f.Fitting)
}

func foundWay(s *job.State, run *job.BeltRun, way belt.Way, i int) wayFound {
	fits := "not known: no length marked"
	if !run.Length.IsZero() {
		fits = "fits"
		if !way.Fits {
			fits = "off by " + quantity.Millimetre.Format(way.Off, 2)
		}
	}
	out := wayFound{Order: way.Order(), Drawing: draw.FigureSVG(belt.Draw(way.Solution)), Facts: []parts.Fact{
		{Label: "Belt length", Value: quantity.Millimetre.Format(way.Effective, 4), Source: parts.Computed},
		{Label: "The marked belt", Value: fits},
	}}
	if len(way.Reasons) > 0 {
		out.Facts = append(out.Facts, parts.Fact{Label: "Speaks against it", Value: strings.Join(way.Reasons, "; ")})
	}
	var touches []string
	for _, t := range way.Routing {
		touches = append(touches, run.Pulleys[t.Pulley].ID+":"+string(t.Side))
	}
	label := "This is it"
	if i > 0 {
		label = "No, this one"
	}
	out.Choose = parts.ActionInfo{URL: jobURL(s.ID, "belt/run"), Label: label, Sub: "kept as computed, not as seen", Main: i == 0,
		Hidden: parts.Pairs("item", run.Item, "so_far", strings.Join(touches, " "), "source", string(access.Computed), "where", "routing finder", "whole", "yes")}
	return out
}

// tapFor is a place to tap, with the fields that stand in for it without the
// script.
func tapFor(name, say string) tapView {
	return tapView{Say: say,
		X: parts.FieldInfo{Name: name + "x", Label: say + ": % across the picture", Mode: "decimal"},
		Y: parts.FieldInfo{Name: name + "y", Label: say + ": % down, of the picture's width", Mode: "decimal"}}
}

// pointFrom reads a tapped place: both fields in per cent of the picture's
// width, nil when both are blank.
func pointFrom(r *http.Request, name string) (*job.Point, error) {
	x, y := strings.TrimSpace(r.FormValue(name+"x")), strings.TrimSpace(r.FormValue(name+"y"))
	if x == "" && y == "" {
		return nil, nil
	}
	px, err := strconv.ParseFloat(strings.Replace(x, ",", ".", 1), 64)
	if err == nil {
		var py float64
		if py, err = strconv.ParseFloat(strings.Replace(y, ",", ".", 1), 64); err == nil {
			return &job.Point{X: px / 100, Y: py / 100}, nil
		}
	}
	return nil, fault.New(fault.Bad, "A place on the picture is two numbers, across and down in per cent of its width, as in 42 and 57.")
}

func optionalLength(text, what string) (quantity.Written[quantity.Length], error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return quantity.Written[quantity.Length]{}, nil
	}
	l, err := quantity.ParseLength(text)
	if err != nil {
		return l, fault.New(fault.Bad, "%s: %v.", what, err)
	}
	return l, nil
}

func distance(a, b job.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

func svgNumber(n float64) string { return strconv.FormatFloat(n, 'f', 4, 64) }
