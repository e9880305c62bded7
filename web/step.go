package web

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
	"lastbolt/web/parts"
)

// viewStep is the page of one step as its state stands.
func (h *Host) viewStep(s *job.State, st *job.Step) stepView {
	v := stepView{Valley: valleyOf(s), Place: place(s, st), Name: stepTitle(st)}
	it := s.Items[st.Item]
	way := st.Details()
	v.Highest, v.Cautions = cautionsOf(s, st)
	switch {
	case st.Opens:
		h.viewDown(&v, s, st, it, way)
	case st.Closes:
		h.viewUp(&v, s, st, it, way)
	case st.Fluid != "":
		viewFill(&v, s, st)
	default:
		h.viewWork(&v, st, it)
	}
	v.Main.URL, v.Main.Main, v.Main.Hidden = jobURL(s.ID, "done"), true, doneFields(s, st)
	if check, ids := holdCheck(s, st); check != "" {
		v.Main.Hold = check
		v.Main.Hidden = append(v.Main.Hidden, parts.Pair{Name: "held", Value: ids})
	}
	boltsOfStep(&v, s, st)
	if stillOn(s, st) {
		v.Instead = onward(s)
		v.Instead.Sub = st.Name + " is still on"
		if isCondition(it) {
			v.Instead.Sub = st.Name + ": not yet"
		}
	}
	v.Facts = append(append(v.Facts, sealFacts(s, st)...), commonFacts(s, st)...)
	v.Waits = h.waitsOf(s, st)
	for _, n := range st.Notes {
		v.Notes = append(v.Notes, n.Text)
	}
	for _, t := range st.Troubles {
		v.Notes = append(v.Notes, "Trouble: "+strings.TrimSuffix(t.What+" · "+t.Note, " · "))
	}
	v.Photos = photosOf(st.Photos, st.Name)
	v.Clips = h.clipsOf(st.Clips)
	v.Beside = besideLinks(s, st)
	v.Worked, v.Belt = workedCards(s, st.ID), beltCardOn(s, st)
	if c, ok := calcCardOn(s, st); ok {
		v.Worked = append(v.Worked, c)
	}
	v.Undo = undoOf(s)
	if st.IsDone() {
		v.Done = true
		v.DoneText = h.doneText(st)
		v.Onward = onward(s)
	}
	return v
}

// stillOn tells of a step of putting back whose thing never came off: recording
// it would be refused.
func stillOn(s *job.State, st *job.Step) bool {
	return st.Closes && !st.IsDone() && s.Ring(st.Item) == nil
}

// uncuredLinks offer the wait of the sealant that just went on.
func uncuredLinks(s *job.State, st *job.Step) []parts.Link {
	var links []parts.Link
	for _, j := range s.Uncured() {
		if st.IsDone() && j.Down.Partner == st.ID {
			links = append(links, parts.Link{Label: "Start the sealant's wait", Href: sealURL(s, j, "wait")})
		}
	}
	return links
}

// toCount is how many pieces come out (or go back) that a hand can count.
func toCount(st *job.Step) (n int, loose int) {
	for _, g := range st.Groups {
		switch {
		case g.Loosen:
			loose += g.Want
		case st.Closes && g.OutKnown:
			n += g.Out
		default:
			n += g.Want
		}
	}
	return n, loose
}

func (h *Host) viewDown(v *stepView, s *job.State, st *job.Step, it *access.Item, way *access.Way) {
	n, loose := toCount(st)
	tool := mainTool(way)
	switch {
	case isCondition(it):
		v.Main = parts.ActionInfo{Label: "Done", Sub: st.Name}
	case n > 0:
		v.Numbers = []parts.NumberInfo{{Value: strconv.Itoa(n), Unit: piecesWord(st, n) + " out", Conv: tool}}
		v.Main = parts.ActionInfo{Label: fmt.Sprintf("All %d out", n), Sub: trayText(s, st)}
	case loose > 0:
		v.Numbers = []parts.NumberInfo{{Value: strconv.Itoa(loose), Unit: piecesWord(st, loose) + " cracked, left in", Conv: tool}}
		v.Main = parts.ActionInfo{Label: fmt.Sprintf("All %d cracked", loose)}
	case st.AsideWay:
		v.Main = parts.ActionInfo{Label: "Set aside"}
	default:
		v.Main = parts.ActionInfo{Label: "It is off", Sub: "no fasteners to count"}
	}
	if st.AsideWay && n > 0 {
		v.Main.Sub = "set aside, lines connected"
	}
	v.Facts = groupFacts(st)
	if way == nil {
		return
	}
	if len(st.Groups) == 0 && tool != "" {
		v.Facts = append(v.Facts, parts.Fact{Label: "Tool", Value: tool})
	}
	for _, f := range way.Fluids.Items {
		amount := "amount not known"
		if !f.Amount.IsZero() {
			amount = f.Amount.String()
		}
		v.Facts = append(v.Facts, parts.Fact{Label: "Comes out", Value: fmt.Sprintf("%s of %s, %s", amount, f.Name, f.From)})
	}
	if way.People > 1 {
		v.Facts = append(v.Facts, parts.Fact{Label: "Hands", Value: fmt.Sprintf("%d people", way.People)})
	}
	if way.Notes != "" {
		v.Facts = append(v.Facts, parts.Fact{Label: "Mind", Value: way.Notes})
	}
	for _, t := range way.Trouble {
		v.Facts = append(v.Facts, parts.Fact{Label: "Often", Value: fmt.Sprintf("%s (%s)", t.What, oddsText(t.Odds))})
	}
}

func (h *Host) viewUp(v *stepView, s *job.State, st *job.Step, it *access.Item, way *access.Way) {
	n, loose := toCount(st)
	for _, g := range st.Groups {
		if g.Fastener.Tightens() {
			v.Numbers = append(v.Numbers, torqueNumber(trusted(st, g)))
			continue
		}
		count := "not counted"
		if g.OutKnown {
			count = strconv.Itoa(g.Out)
		} else if g.Want > 0 {
			count = strconv.Itoa(g.Want)
		}
		v.Facts = append(v.Facts, parts.Fact{Label: cmp.Or(g.Name, "Pieces"), Value: count})
	}
	switch {
	case n > 0:
		v.Main = parts.ActionInfo{Label: fmt.Sprintf("All %d back", n), Sub: "tight, as shown"}
		if len(v.Numbers) == 0 {
			v.Main.Sub = "seated, counted"
		}
		if slices.ContainsFunc(st.Groups, func(g job.Group) bool { return g.Fastener.Torque.Then != "" }) {
			v.Main.Sub = "as shown" // run up by hand, or a further turn
		} else if len(v.Numbers) > 0 && !slices.ContainsFunc(v.Numbers, func(n parts.NumberInfo) bool { return n.Source != parts.Unknown }) {
			v.Main.Sub = "tight, counted" // no torque is shown
		}
	case loose > 0:
		v.Main = parts.ActionInfo{Label: fmt.Sprintf("All %d tight", loose)}
	case isCondition(it):
		v.Main = parts.ActionInfo{Label: "Done", Sub: st.Name}
	default:
		v.Main = parts.ActionInfo{Label: "It is back"}
	}
	if st.Tray != "" {
		v.Facts = append(v.Facts, parts.Fact{Label: "From", Value: "tray " + st.Tray})
	}
	if way == nil {
		return
	}
	if tool := mainTool(way); tool != "" {
		v.Facts = append(v.Facts, parts.Fact{Label: "Tool", Value: tool})
	}
	for _, p := range s.Renewals(st) {
		v.Renew = append(v.Renew, parts.FieldInfo{Type: "check", Name: "new:" + p.Name, Label: "New fitted: " + pieceText(p)})
	}
	for _, c := range way.Consumables.Items {
		v.Facts = append(v.Facts, parts.Fact{Label: "Use", Value: strings.TrimSpace(c.Name + " " + c.Amount)})
	}
	if way.Back.Notes != "" {
		v.Facts = append(v.Facts, parts.Fact{Label: "Mind", Value: way.Back.Notes})
	}
	if way.Back.Ground {
		v.Facts = append(v.Facts, parts.Fact{Label: "Where", Value: "wheels on the ground"})
	}
}

// viewFill says how much was let out, and so goes in.
func viewFill(v *stepView, s *job.State, st *job.Step) {
	v.Main = parts.ActionInfo{Label: "Filled", Sub: "to the mark"}
	for _, down := range s.Steps {
		way := down.Details()
		if way == nil || !down.Opens || !down.IsDone() {
			continue
		}
		for _, f := range way.Fluids.Items {
			if f.Name != st.Fluid {
				continue
			}
			n := parts.NumberInfo{Source: parts.Unknown, Unit: "Amount", Note: "came out: " + f.From}
			if !f.Amount.IsZero() {
				value, unit := splitValue(f.Amount.String())
				n = parts.NumberInfo{Value: value, Unit: unit, Conv: "came out: " + f.From}
			}
			v.Numbers = append(v.Numbers, n)
			if f.Reuse {
				v.Facts = append(v.Facts, parts.Fact{Label: "Use", Value: "what was caught clean"})
			}
		}
	}
	for _, j := range s.Uncured() {
		v.Facts = append(v.Facts, parts.Fact{Label: "First", Value: "start the wait for the sealant of " + j.Name, Href: sealURL(s, j, "wait")})
	}
	v.Facts = append(v.Facts, parts.Fact{Label: "Mind", Value: "the map says how much comes out; the mark says how much goes in"})
}

func (h *Host) viewWork(v *stepView, st *job.Step, it *access.Item) {
	v.Main = parts.ActionInfo{Label: "Done", Sub: string(st.Action) + ": " + st.Name, Main: true}
	if it == nil {
		v.Main.Sub = st.Name // without a map nobody chose what to do with it
		return
	}
	for _, w := range it.Work {
		if w.Action != st.Action {
			continue
		}
		for _, p := range w.Parts.Items {
			v.Facts = append(v.Facts, parts.Fact{Label: "Part", Value: pieceText(p)})
		}
		for _, c := range w.Consumables.Items {
			v.Facts = append(v.Facts, parts.Fact{Label: "Use", Value: strings.TrimSpace(c.Name + " " + c.Amount)})
		}
		if w.Notes != "" {
			v.Facts = append(v.Facts, parts.Fact{Label: "Mind", Value: w.Notes})
		}
	}
}

// torqueNumber is the torque of a group with its source. A value that is not
// known looks different and says so.
func torqueNumber(g job.Group) parts.NumberInfo {
	f := g.Fastener
	n := g.Want
	if g.OutKnown && !g.Loosen {
		n = g.Out
	}
	what := fmt.Sprintf("%d %s", n, fastenerWord(g, n))
	if t := threadText(f); t != "" {
		what += ", " + t
	}
	if f.Torque.Value.IsZero() {
		return parts.NumberInfo{Source: parts.Unknown, Unit: "Torque", Note: what}
	}
	src := sourceOf(f.Torque.Source)
	note := what
	if f.Torque.Where != "" {
		note = f.Torque.Where + " · " + what
	}
	value, unit := splitValue(f.Torque.Value.String())
	conv := conversion(f.Torque.Value)
	if f.Torque.Then != "" {
		conv = strings.TrimPrefix(conv+" · "+f.Torque.Then, " · ")
	}
	return parts.NumberInfo{Value: value, Unit: unit, Conv: conv, Source: src, Note: note,
		Spoken: strings.Join(nonEmpty(f.Torque.Value.String()+" for "+what, f.Torque.Where, f.Torque.Then, src.Word()), ", ")}
}

// splitValue parts "8 N·m" into the figure and its unit.
func splitValue(text string) (value, unit string) {
	if i := strings.LastIndexByte(text, ' '); i > 0 {
		return text[:i], text[i+1:]
	}
	return text, ""
}

// conversion is the value in the other system, marked conv.: source unit first.
func conversion(t quantity.Written[quantity.Torque]) string {
	full := t.In(quantity.PoundForceFoot)
	if i := strings.IndexByte(full, '('); i >= 0 {
		return strings.Trim(full[i:], "()")
	}
	return ""
}

func groupFacts(st *job.Step) []parts.Fact {
	var facts []parts.Fact
	for _, g := range st.Groups {
		var p []string
		if len(st.Groups) > 1 {
			p = append(p, fmt.Sprintf("%d", g.Want))
		}
		if t := threadText(g.Fastener); t != "" {
			p = append(p, t)
		}
		if hd := headSize(g.Fastener); hd != "" {
			p = append(p, hd)
		}
		if g.Size != "" {
			p = append(p, "found: "+g.Size)
		}
		if len(p) == 0 {
			continue
		}
		label := g.Name
		if label == "" || len(st.Groups) == 1 {
			label = "Thread"
		}
		facts = append(facts, parts.Fact{Label: label, Value: strings.Join(p, " · ")})
	}
	return facts
}

func commonFacts(s *job.State, st *job.Step) []parts.Fact {
	var facts []parts.Fact
	if ahead := s.Ahead(st.ID); len(ahead) > 0 && !st.IsDone() && !stillOn(s, st) {
		var names []string
		for _, o := range ahead {
			names = append(names, stepTitle(o))
		}
		facts = append(facts, parts.Fact{Label: "First", Value: strings.Join(names, ", ")})
	}
	if st.Planned != nil {
		if why := st.Planned.Why; len(why) > 1 {
			facts = append(facts, parts.Fact{Label: "Why", Value: strings.Join(why, " → ")})
		}
	}
	if len(st.InWayOf) > 0 && st.Planned == nil {
		facts = append(facts, parts.Fact{Label: "In the way of", Value: strings.Join(st.InWayOf, ", ")})
	}
	if st.Critical != "" {
		facts = append(facts, parts.Fact{Label: "Safety", Value: st.Critical + ": only the maker's figures count"})
	}
	return facts
}

func (h *Host) waitsOf(s *job.State, st *job.Step) []timerView {
	var out []timerView
	for i := range s.Waits {
		w := &s.Waits[i]
		if !w.Ended.IsZero() || h.passed(w.Until) {
			continue
		}
		out = append(out, timerView{
			Until: w.Until.Format(time.RFC3339),
			Label: fmt.Sprintf("%s: %s until about %s", w.Name, w.Kind, w.Until.In(h.zone()).Format("15:04")),
			Over:  parts.ActionInfo{URL: jobURL(s.ID, "wait-over"), Label: "It is over", Hidden: parts.Pairs("wait", w.Key, "id", st.ID)},
		})
	}
	return out
}

func (h *Host) doneText(st *job.Step) string {
	text := "Recorded " + h.when(st.Finished)
	if st.By != "" {
		text += " by " + st.By
	}
	for _, g := range st.Groups {
		out, back := "out", "back"
		if g.Loosen {
			out, back = "loosened", "tight"
		}
		if st.Opens && g.OutKnown {
			text += fmt.Sprintf(" · %d %s %s", g.Out, fastenerWord(g, g.Out), out)
		}
		if st.Closes && g.BackKnown {
			text += fmt.Sprintf(" · %d %s %s", g.Back, fastenerWord(g, g.Back), back)
		}
	}
	if st.Tray != "" {
		text += " · tray " + st.Tray
	}
	return text
}

// onward is where a finished step leads: to the next one, or to the job.
func onward(s *job.State) parts.Link {
	if s.Next != nil {
		return parts.Link{Label: "Next: " + stepTitle(s.Next), Href: stepURL(s.ID, s.Next.ID)}
	}
	return parts.Link{Label: "Back to the job", Href: jobURL(s.ID, "")}
}

func undoOf(s *job.State) parts.ActionInfo {
	if s.Undo == nil {
		return parts.ActionInfo{}
	}
	return parts.ActionInfo{URL: jobURL(s.ID, "undo"), Label: s.Undo.Text, Hidden: parts.Pairs("event", s.Undo.Event)}
}

func besideLinks(s *job.State, st *job.Step) []parts.Link {
	q := "?id=" + queryEscape(st.ID)
	links := []parts.Link{
		{Label: "Photo", Href: jobURL(s.ID, "photo") + q},
		{Label: "Sound", Href: jobURL(s.ID, "sound") + q},
		{Label: "Trouble", Href: jobURL(s.ID, "trouble") + q},
	}
	if st.Opens {
		links = append(links, parts.Link{Label: "In the way", Href: jobURL(s.ID, "in-the-way") + q})
	}
	if len(st.Groups) > 0 || st.Unplanned {
		links = append(links, parts.Link{Label: "Count, tray, size", Href: jobURL(s.ID, "count") + q})
	}
	links = append(links, parts.Link{Label: "Note", Href: jobURL(s.ID, "note") + q})
	links = append(links, boltLinks(s, st)...)
	links = append(append(links, fluidLinks(s, st)...), uncuredLinks(s, st)...)
	return append(links, parts.Link{Label: "Work out", Href: "/work-out" + forJob(s, st.ID)})
}

func doneFields(s *job.State, st *job.Step) []parts.Pair {
	pairs := parts.Pairs("id", st.ID, "tray", trayFor(s, st))
	for _, g := range st.Groups {
		n := g.Want
		if st.Closes && g.OutKnown {
			n = g.Out
		}
		if n == 0 && g.Loosen {
			continue
		}
		pairs = append(pairs, parts.Pair{Name: "count:" + g.ID, Value: strconv.Itoa(n)})
	}
	return pairs
}

// trayFor is where the pieces go: the tray noted, else the next free letter.
func trayFor(s *job.State, st *job.Step) string {
	if st.Tray != "" || !st.Opens {
		return st.Tray
	}
	if n, _ := toCount(st); n == 0 {
		return ""
	}
	return freeTray(s)
}

// freeTray is the first letter that no step of the job has used.
func freeTray(s *job.State) string {
	used := map[string]bool{}
	for _, st := range s.Steps {
		used[strings.ToUpper(st.Tray)] = true
	}
	for n := 0; ; n++ {
		if t := trayLetter(n); !used[t] {
			return t
		}
	}
}

// trayLetter names trays A … Z, AA, AB …
func trayLetter(n int) string {
	name := ""
	for {
		name = string(rune('A'+n%26)) + name
		n = n/26 - 1
		if n < 0 {
			return name
		}
	}
}

func trayText(s *job.State, st *job.Step) string {
	if t := trayFor(s, st); t != "" {
		return "counted, in tray " + t
	}
	return "counted"
}

func piecesWord(st *job.Step, n int) string {
	if len(st.Groups) == 1 {
		return job.PiecesWord(st.Groups[0].Name, n)
	}
	return job.PiecesWord("", n)
}

func mainTool(way *access.Way) string {
	if way == nil {
		return ""
	}
	var names []string
	for _, t := range way.Tools.Items {
		names = append(names, strings.Join(t.Any, " or "))
	}
	return strings.Join(names, ", ")
}

func isCondition(it *access.Item) bool { return it != nil && it.Kind == access.Condition }

func pieceText(p access.Piece) string {
	text := p.Name
	if p.Count > 1 {
		text = fmt.Sprintf("%d × %s", p.Count, text)
	}
	if p.Size != "" {
		text += ", " + p.Size
	}
	if p.Number != "" {
		text += " (" + p.Number + ")"
	}
	return text
}

// oddsText says a share as a person would: "1 in 4".
func oddsText(p float64) string {
	if p <= 0 {
		return "rarely"
	}
	if p >= 0.95 {
		return "nearly always"
	}
	return fmt.Sprintf("about 1 in %.0f", 1/p)
}
