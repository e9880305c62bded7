package web

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/job"
	"lastbolt/web/draw"
	"lastbolt/web/parts"
)

// A boltsView is what the page of a bolt map shows, in whatever phase it is.
type boltsView struct {
	Valley     draw.Valley
	Error      string
	Place      string
	Name       string
	Map        boltPicture
	Modes      []chipView // what a tap on the picture does, while it is built
	Number     *parts.NumberInfo
	Hand       []chipView // the bolt in hand, by its length
	HandWord   string
	Warning    string // a swap, before it is recorded
	Facts      []parts.Fact
	Form       boltForm
	Onward     parts.Link // the main action where it only leads on
	Finish     *stepView  // the step's own form, once every bolt had its turn
	Beside     []parts.Link
	Acts       []parts.ActionInfo // small acts beside the main one
	Places     bool               // places can be typed
	PlacesHint string
	Rows       parts.TableInfo
	Undo       parts.ActionInfo
	Hidden     []parts.Pair // of the tapped form
	TapURL     string
}

// A boltForm is the main action of a bolt map: hidden fields, lengths to tap.
type boltForm struct {
	Main    parts.ActionInfo
	Lengths []parts.Option // buttons that send the form with a length
	Other   bool           // a length can be typed
}

// A chipView is one of several choices in a row; a chosen one is marked.
type chipView struct {
	Label, Href string
	On          bool
}

func boltsURL(s *job.State, item string, more ...string) string {
	u := jobURL(s.ID, "bolts") + "?item=" + queryEscape(item)
	for i := 0; i+1 < len(more); i += 2 {
		if more[i+1] != "" {
			u += "&" + more[i] + "=" + queryEscape(more[i+1])
		}
	}
	return u
}

// A boltAsk is what the address of the page asks for.
type boltAsk struct {
	mode string // what a tap does: "bolt", "hidden", "keep", "edge", "move"
	bolt string // the bolt chosen
	hand string // the length in hand
}

// viewBolts is the page of a bolt map as it stands.
func (h *Host) viewBolts(s *job.State, m *job.BoltMap, ask boltAsk) boltsView {
	v := boltsView{Valley: valleyOf(s), Name: m.Name, Undo: undoOf(s)}
	v.Undo.Hidden = append(v.Undo.Hidden, parts.Pairs("item", m.Item, "mode", ask.mode)...)
	v.Form.Main = parts.ActionInfo{URL: jobURL(s.ID, "bolts/turn"), Main: true, Hidden: parts.Pairs("item", m.Item)}
	bolt := m.Next
	if b := m.Bolt(ask.bolt); b != nil {
		bolt = b
	}
	switch m.Phase {
	case job.PhaseBuild:
		viewBuild(&v, s, m, ask)
	case job.PhaseCrack, job.PhaseOut:
		viewUndo(&v, s, m, bolt)
	case job.PhaseRunIn:
		viewRunIn(&v, s, m, ask)
	case job.PhaseTighten:
		viewTighten(&v, s, m, bolt)
	case job.PhaseCheck:
		viewRecheck(&v, s, m, bolt)
	default:
		h.viewBoltsEnd(&v, s, m)
	}
	if st := m.Step; st != nil && s.Next != nil && s.Next != st && m.Phase != job.PhaseBuild && v.Warning == "" && len(m.Left()) == len(m.Sequence()) {
		v.Warning = fmt.Sprintf("Not its turn yet: %q comes first.", stepTitle(s.Next))
	}
	if m.Phase != job.PhaseBuild {
		v.Beside = append(v.Beside, parts.Link{Label: "Order and passes", Href: boltPage(s, m, "order")})
	}
	if v.Map.Size == "" {
		v.Map = pictureOf(s, m, ask, bolt)
	}
	v.Rows = boltRows(s, m)
	return v
}

func boltPage(s *job.State, m *job.BoltMap, page string) string {
	return jobURL(s.ID, "bolts/"+page) + "?item=" + queryEscape(m.Item)
}

// viewBuild is the map while bolts are put on it.
func viewBuild(v *boltsView, s *job.State, m *job.BoltMap, ask boltAsk) {
	mode := cmp.Or(ask.mode, "bolt")
	for _, c := range [][2]string{{"bolt", "Bolt"}, {"hidden", "Hidden"}, {"keep", "Not this one"}, {"edge", "Edge"}} {
		v.Modes = append(v.Modes, chipView{c[1], boltsURL(s, m.Item, "mode", c[0]), mode == c[0]})
	}
	v.TapURL = jobURL(s.ID, "bolts/tap")
	v.Hidden = parts.Pairs("item", m.Item, "mode", mode, "bolt", ask.bolt)
	v.Place = fmt.Sprintf("bolt map · %s on it", plural(len(m.Bolts), "bolt", "bolts"))
	if m.Count > 0 {
		v.Place = fmt.Sprintf("bolt map · %d of %d on it", len(m.Bolts), m.Count)
	}
	v.Places, v.PlacesHint = true, "A line for each: millimetres from the left and from the top, or a place by the clock on a circle; then the length, if you know it."
	if m.MM() == 0 {
		v.Facts = append(v.Facts, parts.Fact{Label: "Scale", Value: "not known yet: measure from one bolt to another", Href: boltPage(s, m, "scale")})
	} else {
		v.Facts = append(v.Facts, parts.Fact{Label: "Scale", Value: fmt.Sprintf("%s known", m.Distance), Href: boltPage(s, m, "scale")})
	}
	v.Facts = append(v.Facts, joinFact(s, m))
	v.Form.Main.URL = jobURL(s.ID, "bolts/order")
	v.Form.Main.Hidden = parts.Pairs("item", m.Item, "passes", strconv.Itoa(job.UsualPasses))
	v.Form.Main.Sub, v.Form.Main.Sent = "work out the order", "Working it out…"
	switch {
	case len(m.Bolts) == 0:
		v.Form.Main = parts.ActionInfo{}
		v.Onward = parts.Link{Label: "Tap the first bolt", Sub: "on the picture, or write its place", Href: "#map"}
	case m.Count > 0 && len(m.Bolts) < m.Count:
		v.Form.Main.Label, v.Form.Main.Main = fmt.Sprintf("%d still to tap", m.Count-len(m.Bolts)), true
		v.Onward, v.Form.Main = parts.Link{Label: v.Form.Main.Label, Sub: "on the picture, or write their places", Href: "#map"}, parts.ActionInfo{}
	default:
		v.Form.Main.Label = fmt.Sprintf("That is all %d", len(m.Bolts))
	}
	v.Beside = append(v.Beside, parts.Link{Label: "Count, picture", Href: boltPage(s, m, "start")}, parts.Link{Label: "Part and seal", Href: boltPage(s, m, "part")})
}

// joinFact says what the order is computed for.
func joinFact(s *job.State, m *job.BoltMap) parts.Fact {
	text := strings.Join(nonEmpty(m.Cover, sealWord(m.Seal)), ", ")
	return parts.Fact{Label: "Part", Value: cmp.Or(text, "not said: a thick casting on a flat gasket is assumed"), Href: boltPage(s, m, "part")}
}

func sealWord(seal string) string {
	switch seal {
	case "":
		return ""
	case "none":
		return "no seal"
	}
	return "on " + seal
}

// viewUndo is a bolt to crack or to take out.
func viewUndo(v *boltsView, s *job.State, m *job.BoltMap, b *job.Bolt) {
	turn, word := job.Cracked, "cracked"
	v.Place = fmt.Sprintf("crack them all first · %s", progressText(m))
	unit := "a quarter turn, and leave it in"
	if m.Phase == job.PhaseOut {
		turn, word = job.TakenOut, "out"
		v.Place, unit = "take them out · "+progressText(m), fmt.Sprintf("out, into place %d of the card", b.N)
	}
	v.Name = fmt.Sprintf("%s · bolt %d", m.Name, b.N)
	f := m.Fastener(b)
	v.Number = &parts.NumberInfo{Value: strconv.Itoa(b.N), Unit: unit, Conv: strings.Join(nonEmpty(f.Head, f.Thread), ", ")}
	v.Facts = append(v.Facts, boltFacts(m, b)...)
	v.Form.Main.Label = fmt.Sprintf("Bolt %d %s", b.N, word)
	v.Form.Main.Sub = nextText(m, b)
	v.Form.Main.Hidden = append(v.Form.Main.Hidden, parts.Pairs("bolt", b.ID, "turn", string(turn))...)
	if turn == job.TakenOut {
		viewLengths(v, m, b)
	} else if left := m.Left(); len(left) > 1 {
		v.Acts = append(v.Acts, turnAct(s, m, left, job.Cracked, fmt.Sprintf("All %d cracked", len(left))))
	}
	v.Acts = append(v.Acts, turnAct(s, m, []*job.Bolt{b}, job.Stuck, fmt.Sprintf("Bolt %d stays in", b.N)))
	v.Beside = append(v.Beside, parts.Link{Label: "Bolt card", Href: jobURL(s.ID, "paper/boltcard") + "?item=" + queryEscape(m.Item)},
		parts.Link{Label: "Change the map", Href: boltPage(s, m, "list")})
}

// viewLengths offers the lengths that are known, so that a bolt's own is one
// tap; the one expected goes with the main action.
func viewLengths(v *boltsView, m *job.BoltMap, b *job.Bolt) {
	v.Form.Other = true
	for _, l := range m.Lengths() {
		v.Form.Lengths = append(v.Form.Lengths, parts.Option{Value: l.String(), Label: l.String()})
	}
	if !b.Length.IsZero() {
		v.Form.Main.Label += ", " + b.Length.String()
		v.Form.Main.Hidden = append(v.Form.Main.Hidden, parts.Pair{Name: "expected", Value: b.Length.String()})
	}
}

func turnAct(s *job.State, m *job.BoltMap, bolts []*job.Bolt, turn job.Turn, label string) parts.ActionInfo {
	a := parts.ActionInfo{URL: jobURL(s.ID, "bolts/turn"), Label: label, Hidden: parts.Pairs("item", m.Item, "turn", string(turn), "pass", strconv.Itoa(m.Pass))}
	for _, b := range bolts {
		a.Hidden = append(a.Hidden, parts.Pair{Name: "bolt", Value: b.ID})
	}
	return a
}

// progressText is how far the phase is: "3 of 9".
func progressText(m *job.BoltMap) string {
	all := len(m.Sequence())
	return fmt.Sprintf("%d of %d", all-len(m.Left()), all)
}

// nextText names the bolt after this one, and how far off it lies.
func nextText(m *job.BoltMap, b *job.Bolt) string {
	left := slices.DeleteFunc(slices.Clone(m.Left()), func(o *job.Bolt) bool { return o == b })
	if len(left) == 0 {
		return "the last one"
	}
	where := ""
	if len(m.Bolts) > 3 && far(m, b, left[0]) {
		where = ", across"
	}
	return fmt.Sprintf("next: %d%s", left[0].N, where)
}

// far tells whether two bolts lie more than half of the whole apart.
func far(m *job.BoltMap, x, y *job.Bolt) bool {
	most := 0.0
	for _, a := range m.Bolts {
		for _, b := range m.Bolts {
			most = max(most, math.Hypot(a.At.X-b.At.X, a.At.Y-b.At.Y))
		}
	}
	return math.Hypot(x.At.X-y.At.X, x.At.Y-y.At.Y) > most/2
}

func boltFacts(m *job.BoltMap, b *job.Bolt) []parts.Fact {
	var facts []parts.Fact
	say := func(label, value string) {
		if value != "" {
			facts = append(facts, parts.Fact{Label: label, Value: value})
		}
	}
	if b.Hidden {
		say("Where", "out of sight: feel for it")
	}
	say("Tray", b.Tray)
	say("Mind", b.Note)
	if len(m.Keep) > 0 && (m.Phase == job.PhaseCrack || m.Phase == job.PhaseOut) {
		say("Leave", fmt.Sprintf("number %s: looks alike, must not be undone", job.BoltNumbers(m.Keep)))
	}
	return facts
}

// viewRunIn is a bolt back into its hole by hand: by the length in hand, the
// map says where it goes.
func viewRunIn(v *boltsView, s *job.State, m *job.BoltMap, ask boltAsk) {
	left := m.Left()
	b := left[0]
	hand := cmp.Or(ask.hand, b.Length.String())
	takes := func(o *job.Bolt) bool { return o.Length.String() == hand || o.Length.IsZero() }
	if chosen := m.Bolt(ask.bolt); chosen != nil {
		b = chosen
	} else if i := slices.IndexFunc(left, takes); i >= 0 {
		b = left[i]
	}
	v.Place = "run them in by hand · " + progressText(m)
	v.Name = fmt.Sprintf("%s · hole %d", m.Name, b.N)
	lengths := m.Lengths()
	if len(lengths) > 1 {
		v.HandWord = "Bolt in your hand"
		for _, l := range lengths {
			n := 0
			for _, o := range left {
				if o.Length.String() == l.String() {
					n++
				}
			}
			v.Hand = append(v.Hand, chipView{fmt.Sprintf("%s (%d)", l, n), boltsURL(s, m.Item, "hand", l.String()), l.String() == hand})
		}
	}
	f := m.Fastener(b)
	v.Number = &parts.NumberInfo{Value: strconv.Itoa(b.N), Unit: "hole for the " + cmp.Or(b.Length.String(), "bolt of place "+strconv.Itoa(b.N)), Conv: strings.Join(nonEmpty(f.Thread, "by hand, until it touches"), ", ")}
	v.Facts = append(v.Facts, boltFacts(m, b)...)
	v.Form.Main.Label = fmt.Sprintf("Bolt %d is in", b.N)
	v.Form.Main.Sub = nextText(m, b)
	if hand != "" {
		v.Form.Main.Label = fmt.Sprintf("%s in hole %d", hand, b.N)
	}
	v.Form.Main.Hidden = append(v.Form.Main.Hidden, parts.Pairs("bolt", b.ID, "turn", string(job.RunIn), "expected", hand)...)
	if !takes(b) {
		v.Warning = fmt.Sprintf("Not that one: hole %d takes %s, in your hand is %s.", b.N, b.Length, hand)
		v.Form.Main = parts.ActionInfo{}
		v.Onward = parts.Link{Label: "Take the " + b.Length.String(), Sub: fmt.Sprintf("for hole %d", b.N), Href: boltsURL(s, m.Item, "bolt", b.ID, "hand", b.Length.String())}
		v.Beside = append(v.Beside, parts.Link{Label: "Right all the same", Href: boltPage(s, m, "swap") + "&bolt=" + queryEscape(b.ID) + "&hand=" + queryEscape(hand)})
	} else if same := sameHand(left, hand); len(same) > 1 && ask.bolt == "" && len(lengths) <= 1 {
		v.Acts = append(v.Acts, turnAct(s, m, same, job.RunIn, fmt.Sprintf("All %d are in", len(same))))
	}
	v.Map = pictureOf(s, m, boltAsk{hand: hand, bolt: ask.bolt}, b)
	v.Beside = append(v.Beside, parts.Link{Label: "Wrench", Href: jobURL(s.ID, "wrench") + "?item=" + queryEscape(m.Item)})
}

func sameHand(bolts []*job.Bolt, hand string) []*job.Bolt {
	return slices.DeleteFunc(slices.Clone(bolts), func(b *job.Bolt) bool { return b.Length.String() != hand && !b.Length.IsZero() })
}

// viewTighten is a bolt to tighten: what to set is the big number.
func viewTighten(v *boltsView, s *job.State, m *job.BoltMap, b *job.Bolt) {
	passes := m.Passes()
	v.Place = fmt.Sprintf("pass %d of %d, %s · %s", m.Pass, len(passes), shareWord(passes, m.Pass), progressText(m))
	v.Name = fmt.Sprintf("%s · bolt %d", m.Name, b.N)
	t, set := m.Torque(b), s.Setting(m, b, m.Pass)
	v.Beside = append(v.Beside, parts.Link{Label: "Wrench", Href: jobURL(s.ID, "wrench") + "?item=" + queryEscape(m.Item)},
		parts.Link{Label: "Adapter", Href: boltPage(s, m, "adapter")}, parts.Link{Label: "Torque", Href: boltPage(s, m, "torque")})
	v.Form.Main.Label = fmt.Sprintf("Bolt %d clicked", b.N)
	v.Form.Main.Sub = nextText(m, b)
	v.Form.Main.Hidden = append(v.Form.Main.Hidden, parts.Pairs("bolt", b.ID, "turn", string(job.Clicked), "pass", strconv.Itoa(m.Pass))...)
	lead := func(label, sub, href string) {
		v.Form.Main, v.Onward = parts.ActionInfo{}, parts.Link{Label: label, Sub: sub, Href: href}
	}
	n := parts.NumberInfo{Source: sourceOf(t.Source), Note: torqueNote(t)}
	switch {
	case !t.Known():
		n = parts.NumberInfo{Source: parts.Unknown, Unit: "Torque", Note: "of bolt " + strconv.Itoa(b.N)}
		v.Warning = t.Refused
		lead("Write the torque down", "from the maker's document", boltPage(s, m, "torque"))
	case set.Wrench == nil:
		n.Value, n.Unit = splitValue(t.Value.String())
		n.Conv = "in the end"
		lead("Choose the wrench", "what to set depends on it", jobURL(s.ID, "wrench")+"?item="+queryEscape(m.Item))
	case !set.Fits:
		n.Value, n.Unit = splitValue(set.SetText())
		n.Conv = "to be set"
		v.Warning = set.Why
		lead("Choose another wrench", set.Wrench.Short()+" does not do", jobURL(s.ID, "wrench")+"?item="+queryEscape(m.Item))
	default:
		n.Value, n.Unit = splitValue(set.SetText())
		n.Conv = "set on the wrench"
		if set.Band {
			n.Value = strings.TrimSuffix(set.SetText(), " "+n.Unit) + " to " + strings.TrimSuffix(set.SetToText(), " "+n.Unit)
		}
		v.Facts = append(v.Facts, settingFacts(m, set)...)
		if last := s.Setting(m, b, len(passes)); !last.Fits {
			v.Facts = append(v.Facts, parts.Fact{Label: "Ahead", Value: fmt.Sprintf("pass %d: %s Take another wrench too.", len(passes), last.Why)})
		}
	}
	v.Number = &n
	v.Facts = append(v.Facts, boltFacts(m, b)...)
	if m.Pass > 1 || len(passes) == 1 {
		v.Beside = append(v.Beside, parts.Link{Label: "Marks, photo", Href: boltPage(s, m, "marks")})
	}
	if m.Critical == "" {
		v.Beside = append(v.Beside, parts.Link{Label: "Done without the map", Href: boltPage(s, m, "without")})
	}
}

func torqueNote(t job.BoltTorque) string {
	return strings.Join(nonEmpty("final "+t.String(), t.Where), " · ")
}

func settingFacts(m *job.BoltMap, set job.Setting) []parts.Fact {
	var facts []parts.Fact
	at := set.TargetText() + " at the bolt"
	if set.Raised {
		at += ", the least this wrench sets"
	}
	if m.Adapter.Name != "" || set.Raised {
		facts = append(facts, parts.Fact{Label: "Gets", Value: at})
	}
	facts = append(facts, parts.Fact{Label: "With", Value: set.With(m.Adapter)})
	if set.Then != "" {
		facts = append(facts, parts.Fact{Label: "Then", Value: strings.TrimPrefix(set.Then, "then ")})
	}
	if set.Why != "" {
		facts = append(facts, parts.Fact{Label: "Mind", Value: set.Why})
	}
	return facts
}

// shareWord says in words how far a pass goes.
func shareWord(passes []job.BoltPass, pass int) string {
	p := passes[pass-1]
	switch {
	case p.Share >= 1 && pass > 1 && passes[pass-2].Share >= 1:
		return "full, once around"
	case p.Share >= 1:
		return "full"
	case math.Abs(p.Share-0.5) < 0.01:
		return "half way"
	}
	return fmt.Sprintf("to %.0f %%", p.Share*100)
}

// viewRecheck is a bolt to look over again, in another order.
func viewRecheck(v *boltsView, s *job.State, m *job.BoltMap, b *job.Bolt) {
	v.Place = "re-check, in another order · " + progressText(m)
	v.Name = fmt.Sprintf("%s · bolt %d", m.Name, b.N)
	set, t := s.Setting(m, b, len(m.Passes())), m.Torque(b)
	v.Number = &parts.NumberInfo{Value: strconv.Itoa(b.N), Unit: "must click without turning", Conv: set.SetText() + " on the wrench", Source: sourceOf(t.Source), Note: torqueNote(t)}
	if t.Then != "" {
		v.Number.Unit, v.Number.Conv = "mark in line", "turned by angle: a wrench cannot check it"
	}
	v.Facts = append(v.Facts, boltFacts(m, b)...)
	v.Form.Main.Label, v.Form.Main.Sub = fmt.Sprintf("Bolt %d holds", b.N), nextText(m, b)
	v.Form.Main.Hidden = append(v.Form.Main.Hidden, parts.Pairs("bolt", b.ID, "turn", string(job.Checked))...)
	v.Beside = append(v.Beside, parts.Link{Label: "Marks, photo", Href: boltPage(s, m, "marks")},
		parts.Link{Label: "Trouble", Href: jobURL(s.ID, "trouble") + "?id=" + queryEscape(m.Step.ID)})
}

// viewBoltsEnd is the map when every bolt had its turn: the step's own form
// finishes it.
func (h *Host) viewBoltsEnd(v *boltsView, s *job.State, m *job.BoltMap) {
	if m.Step == nil {
		v.Place, v.Onward = "bolt map · all tight", onward(s)
		v.Facts = append(v.Facts, parts.Fact{Label: "Done", Value: plural(len(m.Bolts), "bolt", "bolts") + " out and back"})
		v.Beside = append(v.Beside, parts.Link{Label: "Marks, photo", Href: boltPage(s, m, "marks")})
		return
	}
	step := h.viewStep(s, m.Step)
	v.Finish = &step
	n := 0
	for _, b := range m.Bolts {
		if !b.Stuck {
			n++
		}
	}
	word := "out"
	switch {
	case m.Step.Closes:
		word = "tight, by the map"
		v.Beside = append(v.Beside, parts.Link{Label: "Marks, photo", Href: boltPage(s, m, "marks")})
	case m.LoosenOnly():
		word = "cracked, left in"
	default:
		v.Beside = append(v.Beside, parts.Link{Label: "Bolt card", Href: jobURL(s.ID, "paper/boltcard") + "?item=" + queryEscape(m.Item)})
	}
	v.Place = "bolt map · every bolt had its turn"
	v.Number = &parts.NumberInfo{Value: strconv.Itoa(n), Unit: word, Conv: lengthsText(m)}
}

// lengthsText says how many of which length: "5 × 25 mm, 2 × 35 mm".
func lengthsText(m *job.BoltMap) string {
	var out []string
	for _, l := range m.Lengths() {
		n := 0
		for _, b := range m.Bolts {
			if b.Length.String() == l.String() {
				n++
			}
		}
		out = append(out, fmt.Sprintf("%d × %s", n, l))
	}
	return strings.Join(out, ", ")
}

// boltRows is every bolt as a line, for reading and for those who cannot see
// the picture.
func boltRows(s *job.State, m *job.BoltMap) parts.TableInfo {
	t := parts.TableInfo{Caption: "Every bolt", Head: []parts.Column{{Label: "Bolt"}, {Label: "Length", Num: true}, {Label: "Thread"}, {Label: "Place", Num: true}, {Label: "Torque"}, {Label: "Stands"}}}
	mm := m.MM()
	for _, b := range m.Bolts {
		where := "no scale"
		if mm > 0 {
			where = fmt.Sprintf("%.1f, %.1f mm", b.At.X*mm, b.At.Y*mm)
		}
		torque := m.Torque(b)
		cell := parts.Cell{Text: torque.String(), Source: sourceOf(torque.Source)}
		if !torque.Known() {
			cell = parts.Cell{Source: parts.Unknown}
		}
		t.Rows = append(t.Rows, []parts.Cell{
			{Text: "Bolt " + strconv.Itoa(b.N), Href: boltPage(s, m, "bolt") + "&bolt=" + queryEscape(b.ID)},
			{Text: cmp.Or(b.Length.String(), "not known")}, {Text: m.Fastener(b).Thread}, {Text: where}, cell, {Text: boltState(m, b)},
		})
	}
	for _, b := range m.Keep {
		t.Rows = append(t.Rows, []parts.Cell{{Text: "Number " + strconv.Itoa(b.N), Href: boltPage(s, m, "bolt") + "&bolt=" + queryEscape(b.ID)}, {}, {}, {}, {}, {Text: "must not be undone" + prefixed(": ", b.Note)}})
	}
	return t
}

// boltState is where a bolt stands, in words.
func boltState(m *job.BoltMap, b *job.Bolt) string {
	state := "in, tight"
	switch {
	case b.Checked:
		state = "tight, checked"
	case b.Pass > 0:
		state = fmt.Sprintf("pass %d done", b.Pass)
	case b.RunIn:
		state = "in, by hand"
	case b.Stuck:
		state = "stays in"
	case b.Out:
		state = "out, place " + strconv.Itoa(b.N)
	case b.Cracked:
		state = "cracked"
	case m.Phase == job.PhaseBuild:
		state = ""
	}
	if b.Hidden {
		state = strings.TrimPrefix(state+", out of sight", ", ")
	}
	return state
}
