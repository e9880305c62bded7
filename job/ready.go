package job

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lastbolt/garage"
	"lastbolt/plan/access"
)

// A Readiness is what the job still needs, list by list, less what is on the
// shelf and what is marked as got.
type Readiness struct {
	Lists    []ReadyList
	Missing  int         // lines not at hand
	Unknown  int         // lines of which it is not known whether there is enough
	NoReturn *Step       // after it the vehicle cannot be driven; nil if it always can
	Along    []ReadyLine // what was found necessary along the way; not counted in Missing
	// Tight reports that a line is missing for a step past the point of no
	// return, once there would be no vehicle to fetch it with.
	Tight bool
}

// A ReadyList is one list: tools, parts, single-use pieces, consumables,
// fluids, containers, spares. None says that the map or the mechanic says
// "none" explicitly; NotKnown names the items whose list is blank.
type ReadyList struct {
	ID       string // "tools", "wrenches", "parts", "pieces", "consumables", "fluids", "containers", "spares"
	Title    string
	Lines    []ReadyLine
	None     bool
	NotKnown []string
}

// ReadyStatus says whether something is at hand.
type ReadyStatus string

// What a line of the ready list can be.
const (
	AtHand      ReadyStatus = "have"
	Missing     ReadyStatus = "missing"
	OnOrder     ReadyStatus = "ordered"
	NotKnownYet ReadyStatus = "not known" // there is some, whether enough is not known
)

// A ReadyLine is one thing needed. Key is what [Mark] takes.
type ReadyLine struct {
	Key    string
	Name   string
	Need   string   // "2", "4.5 L"; empty for one, or for an amount not known
	Short  string   // what is lacking, where there is some: "1.5 L"
	OnHand string   // the shelf's amount
	Or     []string // other tools that do
	For    []string // names of the items
	Status ReadyStatus
	Odds   float64 // spares: how often it is needed, 0 to 1
	Note   string
	past   bool // needed past the point of no return
}

// SpareOdds is the chance from which a spare is listed: one in twenty, a
// choice of ours.
const SpareOdds = 0.05

var readyTitles = [][2]string{
	{"tools", "Tools"}, {"wrenches", "Torque wrench"}, {"parts", "Parts"}, {"pieces", "Single-use pieces"}, {"consumables", "Consumables"},
	{"fluids", "Fluids to put in"}, {"containers", "Containers to catch"}, {"spares", "Spares for likely trouble"},
}

// Ready works out what is needed for the steps still to be done.
func Ready(s *State, shelf garage.Shelf) Readiness {
	l := lister{s: s, shelf: shelf, lines: map[string]*ReadyLine{}, sums: map[string]*sum{}, blank: map[string][]string{}, none: map[string]bool{}}
	for i, st := range s.Steps {
		l.past = s.NoReturn >= 0 && i > s.NoReturn
		l.step(st)
	}
	r := l.ready()
	r.Along = alongTheWay(s, shelf)
	return r
}

// lister gathers lines while it walks through the steps.
type lister struct {
	s     *State
	shelf garage.Shelf
	order []string
	lines map[string]*ReadyLine
	sums  map[string]*sum
	blank map[string][]string
	none  map[string]bool // lists of which some item said "none"
	past  bool
	seen  []string
}

func (l *lister) add(list, name, item string) *ReadyLine {
	key := list + ":" + garage.PlainName(name)
	line := l.lines[key]
	if line == nil {
		line = &ReadyLine{Key: key, Name: name}
		l.lines[key], l.sums[key] = line, &sum{}
		l.order = append(l.order, key)
	}
	if !slices.Contains(line.For, item) {
		line.For = append(line.For, item)
	}
	line.past = line.past || l.past
	return line
}

// given notes whether a list of an item is blank or says none.
func (l *lister) given(list, item string, given, none bool) {
	if none {
		l.none[list] = true
	}
	if !given && !slices.Contains(l.blank[list], item) {
		l.blank[list] = append(l.blank[list], item)
	}
}

func (l *lister) step(st *Step) {
	switch {
	case st.IsDone():
		l.refill(st)
	case st.Action != "":
		if it := l.s.Items[st.Item]; it != nil {
			for i := range it.Work {
				if it.Work[i].Action == st.Action {
					l.work(st, &it.Work[i])
				}
			}
		}
	case st.way == nil:
	case st.Opens:
		l.down(st)
	case st.Closes:
		l.back(st)
	}
}

// once reports the first call for a way on one side of the valley, so that a
// condition switched several times is not counted several times.
func (l *lister) once(st *Step, side string) bool {
	key := side + "/" + st.Item + "/" + st.way.ID
	if slices.Contains(l.seen, key) {
		return false
	}
	l.seen = append(l.seen, key)
	return true
}

func (l *lister) down(st *Step) {
	if !l.once(st, "down") {
		return
	}
	w := st.way
	l.tools(st, w.Tools)
	l.consumables(st, w.Consumables, "off")
	l.given("fluids", st.Name, w.Fluids.Given, w.Fluids.None())
	for _, f := range w.Fluids.Items {
		line := l.add("containers", "container for "+f.Name, st.Name)
		if f.Amount.IsZero() {
			l.sums[line.Key].unknown = true
		} else {
			l.sums[line.Key].volume += f.Amount.Value
		}
		if f.Reuse {
			line.Note = "clean: it goes back in"
		}
		l.fill(st, f)
	}
	for _, t := range w.Trouble {
		if t.Odds < SpareOdds {
			continue
		}
		for _, n := range t.Needs {
			line := l.piece("spares", st, n)
			line.Odds, line.Note = max(line.Odds, t.Odds), t.What
		}
		for _, tool := range t.Tools {
			line := l.add("spares", tool, st.Name)
			line.Odds, line.Note = max(line.Odds, t.Odds), t.What
		}
	}
}

// fill adds what has to go in for a fluid let out.
func (l *lister) fill(st *Step, f access.Fluid) {
	if f.Reuse {
		return
	}
	line := l.add("fluids", f.Name, st.Name)
	if f.Amount.IsZero() {
		l.sums[line.Key].unknown = true
	} else {
		l.sums[line.Key].volume += f.Amount.Value
	}
}

// refill adds the fluids that a finished step let out and that are not filled
// yet.
func (l *lister) refill(st *Step) {
	if !st.Opens || st.way == nil {
		return
	}
	for _, f := range st.way.Fluids.Items {
		if slices.Contains(l.s.Drained, f.Name) {
			l.fill(st, f)
		}
	}
}

func (l *lister) back(st *Step) {
	if !l.once(st, "back") {
		return
	}
	w := st.way
	l.tools(st, w.Tools)
	l.consumables(st, w.Consumables, "back")
	l.given("pieces", st.Name, w.SingleUse.Given, w.SingleUse.None())
	for _, p := range w.SingleUse.Items {
		if !l.fittedByWork(st, p) {
			l.piece("pieces", st, p)
		}
	}
	l.seals(st)
	for _, f := range w.Fasteners.Items {
		if f.Replace && !covered(f, w.SingleUse.Items) {
			name := cmp.Or(f.Name, f.ID)
			if f.Thread != "" {
				name += " " + f.Thread
			}
			l.piece("pieces", st, access.Piece{Name: name, Count: f.Count})
		}
	}
}

// fittedByWork reports that the work on the same item brings the piece: a seal
// that is renewed whenever the thing comes off, and is what the job is about.
func (l *lister) fittedByWork(up *Step, p access.Piece) bool {
	for _, st := range l.s.Steps {
		it := l.s.Items[st.Item]
		if st.Action == "" || st.Item != up.Item || it == nil {
			continue
		}
		for _, w := range it.Work {
			if w.Action == st.Action && slices.ContainsFunc(w.Parts.Items, func(o access.Piece) bool {
				return garage.PlainName(o.Name) == garage.PlainName(p.Name)
			}) {
				return true
			}
		}
	}
	return false
}

// covered reports that a fastener to be renewed is among the single-use pieces
// already, by a word in common ("Link nuts", "Link nut M10").
func covered(f access.Fastener, pieces []access.Piece) bool {
	for _, word := range strings.Fields(strings.ToLower(f.Name)) {
		word = strings.TrimSuffix(word, "s")
		for _, p := range pieces {
			for _, w := range strings.Fields(strings.ToLower(p.Name)) {
				if len(word) > 2 && strings.TrimSuffix(w, "s") == word {
					return true
				}
			}
		}
	}
	return false
}

func (l *lister) work(st *Step, w *access.Work) {
	l.tools(st, w.Tools)
	l.consumables(st, w.Consumables, "")
	l.given("parts", st.Name, w.Parts.Given, w.Parts.None())
	for _, p := range w.Parts.Items {
		l.piece("parts", st, p)
	}
}

// whose names what a list is for: taking an item off and the work on it have
// lists of their own.
func whose(st *Step) string {
	if st.Action == "" {
		return st.Name
	}
	return fmt.Sprintf("%s (%s)", st.Name, st.Action)
}

func (l *lister) tools(st *Step, list access.List[access.Tool]) {
	l.given("tools", whose(st), list.Given, list.None())
	for _, t := range list.Items {
		if len(t.Any) == 0 {
			continue
		}
		line := l.add("tools", t.Any[0], st.Name)
		for _, o := range t.Any[1:] {
			if !slices.Contains(line.Or, o) {
				line.Or = append(line.Or, o)
			}
		}
	}
}

func (l *lister) consumables(st *Step, list access.List[access.Consumable], side string) {
	l.given("consumables", whose(st), list.Given, list.None())
	for _, c := range list.Items {
		if side == "" || cmp.Or(c.For, "back") == side {
			line := l.add("consumables", c.Name, st.Name)
			l.sums[line.Key].add(c.Amount)
		}
	}
}

func (l *lister) piece(list string, st *Step, p access.Piece) *ReadyLine {
	name := p.Name
	if p.Size != "" {
		name += ", " + p.Size
	}
	line := l.add(list, name, st.Name)
	l.sums[line.Key].count += max(p.Count, 1)
	if p.Number != "" {
		line.Note = "number " + p.Number
	}
	return line
}

func (l *lister) ready() Readiness {
	var r Readiness
	if n := l.s.NoReturn; n >= 0 && n < len(l.s.Steps) {
		r.NoReturn = l.s.Steps[n]
	}
	for _, t := range readyTitles {
		list := ReadyList{ID: t[0], Title: t[1], NotKnown: l.blank[t[0]]}
		for _, key := range l.order {
			if strings.HasPrefix(key, t[0]+":") {
				line := l.lines[key]
				l.judge(t[0], line)
				list.Lines = append(list.Lines, *line)
			}
		}
		if t[0] == "wrenches" {
			list = wrenchList(l.s, l.shelf)
			for i := range list.Lines {
				l.marked(&list.Lines[i])
			}
		}
		slices.SortStableFunc(list.Lines, func(x, y ReadyLine) int { return cmp.Compare(y.Odds, x.Odds) })
		list.None = len(list.Lines) == 0 && t[0] != "wrenches" && (l.s.None[t[0]] || l.none[t[0]] && len(list.NotKnown) == 0)
		if l.s.None[t[0]] {
			list.NotKnown = nil
		}
		for _, line := range list.Lines {
			switch {
			case line.Status == NotKnownYet:
				r.Unknown++
			case line.Status != AtHand && t[0] != "spares":
				r.Missing++
				r.Tight = r.Tight || line.past
			}
		}
		r.Lists = append(r.Lists, list)
	}
	return r
}

// judge compares a line with the shelf and with what is marked as got.
func (l *lister) judge(list string, line *ReadyLine) {
	need := l.sums[line.Key]
	line.Need = need.String()
	if list == "containers" && line.Need != "" {
		line.Need += " or more"
	}
	if l.marked(line) {
		return
	}
	line.Status = Missing
	for _, name := range append([]string{line.Name}, line.Or...) {
		if (list == "tools" || list == "spares" || list == "containers") && l.shelf.HasTool(name) {
			line.Status = AtHand
			return
		}
	}
	if list == "tools" || list == "containers" {
		return
	}
	if have, ok := l.shelf.Supply(line.Name); ok {
		line.OnHand = have.Amount
		line.Status, line.Short = need.against(have.Amount)
	}
}

// marked gives a line the status that the mechanic gave it, if any.
func (l *lister) marked(line *ReadyLine) bool {
	got, ok := l.s.Got[line.Key]
	if !ok {
		return false
	}
	switch got.How {
	case Ordered:
		line.Status = OnOrder
	case NotHad:
		line.Status = Missing
	default:
		line.Status = AtHand
	}
	return true
}

// BuyList is what is not at hand as plain text to share, a line a thing.
func (r *Readiness) BuyList() string {
	var out strings.Builder
	for _, list := range r.Lists {
		first := true
		for _, line := range list.Lines {
			if line.Status == AtHand || line.Status == OnOrder {
				continue
			}
			if first {
				fmt.Fprintf(&out, "%s:\n", list.Title)
				first = false
			}
			out.WriteString("- " + strings.Join(strings.Fields(line.text()), " ") + "\n")
		}
	}
	open := false
	for _, line := range r.Along {
		if line.Status == AtHand || line.Status == OnOrder {
			continue
		}
		if !open {
			out.WriteString("Found necessary along the way:\n")
			open = true
		}
		line.Note = ""
		out.WriteString("- " + strings.Join(strings.Fields(line.text()), " ") + "\n")
	}
	return out.String()
}

func (l *ReadyLine) text() string {
	t := l.Need + " " + l.Name
	if l.Short != "" {
		t = l.Short + " more " + l.Name
	}
	if len(l.Or) > 0 {
		t += " (or " + strings.Join(l.Or, ", ") + ")"
	}
	if l.Odds > 0 {
		t += fmt.Sprintf(" (needed about %d times in 100: %s)", int(l.Odds*100+0.5), l.Note)
	} else if l.Note != "" {
		t += " (" + l.Note + ")"
	}
	return t
}
