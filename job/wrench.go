package job

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"lastbolt/calc/fastener"
	"lastbolt/garage"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// A Setting is what to set on the wrench so that a bolt gets its torque.
type Setting struct {
	Target quantity.Torque // at the bolt
	Raised bool            // the pass was raised to what the wrench can set
	Then   string          // an angle that follows
	Wrench *WrenchChosen   // nil where none is chosen
	Set    quantity.Torque // on the wrench; with an adapter not the target
	Fits   bool            // the wrench can be trusted with it
	Why    string          // why it does not fit, or what to mind
	Band   bool            // the torque is advice: UpTo and SetUpTo are its upper end
	UpTo   quantity.Torque
	SetTo  quantity.Torque
}

// With is the tool as the record keeps it: "torque wrench 5–25 N·m with
// crowfoot 50 mm".
func (s Setting) With(a Adapter) string {
	if s.Wrench == nil {
		return ""
	}
	text := s.Wrench.short()
	if a.Name != "" {
		text += " with " + a.text()
	}
	return text
}

func (a Adapter) text() string {
	text := a.Name
	if !a.Reach.IsZero() {
		text += " " + a.Reach.String()
	}
	if a.Angle != 0 {
		text += fmt.Sprintf(" at %g°", a.Angle)
	}
	return text
}

// String is the adapter as it is shown.
func (a Adapter) String() string { return a.text() }

func (w *WrenchChosen) short() string {
	return garage.TorqueWrench{Name: w.Tool}.Short()
}

// Short is the wrench's name with its range, without the other figures.
func (w *WrenchChosen) Short() string { return w.short() }

// SetText prints a torque in the unit of the wrench's scale, to what a scale
// can be set to.
func (s Setting) SetText() string { return s.print(s.Set) }

// SetToText is SetText for the upper end of a band.
func (s Setting) SetToText() string { return s.print(s.SetTo) }

// TargetText is what the bolt is to get in this pass.
func (s Setting) TargetText() string {
	text := s.print(s.Target)
	if s.Band {
		text = s.print(s.Target) + " to " + s.print(s.UpTo)
	}
	return text
}

func (s Setting) print(t quantity.Torque) string {
	unit := quantity.NewtonMetre
	if s.Wrench != nil && !s.Wrench.Low.IsZero() {
		unit = s.Wrench.Low.Unit()
	}
	return scaleText(t, unit)
}

// scaleText writes a torque as a wrench's scale can be read: to a tenth below
// twenty, to a half below a hundred, whole above.
func scaleText(t quantity.Torque, unit quantity.Unit[quantity.Torque]) string {
	n := t.In(unit)
	digits := 0
	switch {
	case n < 20:
		digits, n = 1, math.Round(n*10)/10
	case n < 100:
		n = math.Round(n*2) / 2
		if n != math.Trunc(n) {
			digits = 1
		}
	default:
		n = math.Round(n)
	}
	return fmt.Sprintf("%.*f %s", digits, n, unit)
}

// Setting works out what to set for a bolt in a pass with the wrenches chosen
// for the job.
func (s *State) Setting(m *BoltMap, b *Bolt, pass int) Setting {
	t := m.Torque(b)
	passes := m.Passes()
	p := BoltPass{Share: 1}
	if pass >= 1 && pass <= len(passes) {
		p = passes[pass-1]
	}
	out := Setting{Target: t.Value.Value * quantity.Torque(p.Share), Then: p.Then}
	if p.Share == 1 && p.Then == "" && t.Then != "" && pass == len(passes) {
		out.Then = t.Then
	}
	if !t.UpTo.IsZero() {
		out.Band, out.UpTo = true, t.UpTo.Value*quantity.Torque(p.Share)
	}
	if t.Value.IsZero() {
		return out
	}
	full := t.Value.Value
	best := -1
	for i := range s.Wrenches {
		w := &s.Wrenches[i]
		try := settingOn(out, w, m.Adapter, full)
		if best < 0 || better(try, out) {
			best, out = i, try
		}
	}
	return out
}

// better prefers a wrench that fits, and of two the one with less room above.
func better(x, y Setting) bool {
	if x.Fits != y.Fits {
		return x.Fits
	}
	if x.Raised != y.Raised {
		return y.Raised
	}
	return x.Wrench.High.Value < y.Wrench.High.Value
}

// mostRaised is how near the full torque a pass before the last may come when
// it is raised to the least a wrench can set.
const mostRaised = 0.8

// settingOn is the setting on one wrench. An early pass below its scale is
// raised to the least it can set, where that is still well below the full
// torque.
func settingOn(base Setting, w *WrenchChosen, a Adapter, full quantity.Torque) Setting {
	out := base
	out.Wrench, out.Raised = w, false
	set := func(t quantity.Torque) (quantity.Torque, error) {
		if a.Name == "" || a.Reach.IsZero() {
			return t, nil
		}
		if w.Hand.IsZero() {
			return t, fmt.Errorf("with an adapter the wrench's length counts: write how far it is from the square drive to the hand")
		}
		return fastener.WrenchSetting(t, w.Hand.Value, a.Reach.Value, quantity.Degrees(a.Angle))
	}
	var err error
	if out.Set, err = set(out.Target); err != nil {
		out.Why = capital(err.Error()) + "."
		return out
	}
	if out.Band {
		out.SetTo, _ = set(out.UpTo)
	}
	least := quantity.Torque(float64(out.Target) * float64(w.Low.Value) / max(float64(out.Set), 1e-9))
	if out.Set < w.Low.Value && out.Target < full && float64(least) <= mostRaised*float64(full) {
		out.Target, out.Set, out.Raised = least, w.Low.Value, true
	}
	line, _ := garage.ReadTorqueWrench(w.Tool)
	v := fastener.WrenchFit(fastener.Wrench{Name: w.Tool, Min: w.Low.Value, Max: w.High.Value, Accuracy: w.Accuracy / 100,
		DaysSinceCheck: daysSinceCheck(line, w.since), Dropped: line.Dropped}, out.Set)
	out.Fits = v.Fitness != fastener.Unfit
	if len(v.Reasons) > 0 {
		out.Why = v.Reasons[0]
	}
	return out
}

// daysSinceCheck counts to when the wrench was chosen. A line that says nothing
// of a check is not held against every bolt: the page that chooses says it once.
func daysSinceCheck(line garage.TorqueWrench, chosen time.Time) int {
	return max(0, line.DaysSinceCheck(chosen))
}

// ChooseWrench takes a torque wrench for the job, or puts it away.
func ChooseWrench(d WrenchChosen) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		d.Tool = strings.Join(strings.Fields(d.Tool), " ")
		i := slices.IndexFunc(s.Wrenches, func(w WrenchChosen) bool { return w.Tool == d.Tool })
		if d.Away {
			if i < 0 {
				return nil, refuse(CodeAlready, "That wrench is not chosen for this job.")
			}
			return one(r, s, KindWrench, WrenchChosen{Tool: d.Tool, Away: true})
		}
		w := garage.TorqueWrench{Name: d.Tool, Low: d.Low, High: d.High, Accuracy: d.Accuracy, Hand: d.Hand}
		if err := w.Check(); err != nil {
			return nil, refuse(CodeWrong, "%s", strings.TrimSuffix(err.Error(), ".")+".")
		}
		if i >= 0 && s.Wrenches[i].same(d) {
			return nil, refuse(CodeAlready, "That wrench is chosen already.")
		}
		return one(r, s, KindWrench, d)
	})
}

// same tells whether a choice says what another said.
func (w WrenchChosen) same(d WrenchChosen) bool {
	w.since, d.since = time.Time{}, time.Time{}
	return w == d
}

// A TorqueNeed is a torque that the way back asks for, and the wrench for it.
type TorqueNeed struct {
	Torque  quantity.Written[quantity.Torque]
	Least   quantity.Torque // of its passes
	For     []string        // "Oil cooler (long cooler bolts)"
	Wrench  string          // that fits: one chosen or, where none is chosen, of the shelf
	Chosen  bool
	Set     string   // on the wrench, where an adapter makes it differ
	Why     string   // why the chosen ones do not fit
	Instead []string // of the shelf, that would
}

// TorqueNeeds lists the torques of the steps still to be put back, smallest
// first, each with the wrench that can set it.
func TorqueNeeds(s *State, shelf garage.Shelf) []TorqueNeed {
	var out []TorqueNeed
	add := func(t access.Torque, least quantity.Torque, what string) {
		if t.Value.IsZero() {
			return
		}
		i := slices.IndexFunc(out, func(n TorqueNeed) bool { return n.Torque.Value == t.Value.Value })
		if i < 0 {
			i = len(out)
			out = append(out, TorqueNeed{Torque: t.Value, Least: least})
		}
		out[i].Least = min(out[i].Least, least)
		if !slices.Contains(out[i].For, what) {
			out[i].For = append(out[i].For, what)
		}
	}
	for _, st := range s.Steps {
		if !st.Closes || st.IsDone() || st.way == nil && len(st.Groups) == 0 {
			continue
		}
		groups := st.Groups
		if len(groups) == 0 {
			for _, f := range st.way.Fasteners.Items {
				groups = append(groups, newGroup(f))
			}
		}
		m := s.BoltMap(st.Item)
		for _, g := range groups {
			t := g.Fastener.Torque
			if m != nil {
				if i := slices.IndexFunc(m.Bolts, func(b *Bolt) bool { return b.Group == g.ID }); i >= 0 {
					t = m.Torque(m.Bolts[i]).Torque
				}
			}
			if RefusedTorque(st.Critical, t) == "" {
				add(t, t.Value.Value, st.Name+" ("+PiecesWord(g.Name, 2)+")")
			}
		}
	}
	slices.SortFunc(out, func(x, y TorqueNeed) int {
		return int(math.Copysign(1, float64(x.Torque.Value-y.Torque.Value)))
	})
	for i := range out {
		out[i].serve(s, shelf)
	}
	return out
}

func (n *TorqueNeed) serve(s *State, shelf garage.Shelf) {
	base := Setting{Target: n.Torque.Value}
	for i := range s.Wrenches {
		w := &s.Wrenches[i]
		try := settingOn(base, w, Adapter{}, n.Torque.Value)
		if try.Fits {
			n.Wrench, n.Chosen = w.short(), true
			return
		}
		if n.Why == "" {
			n.Why = fmt.Sprintf("not with the %s: %s", w.short(), try.Why)
		}
	}
	for _, t := range shelf.TorqueWrenches() {
		w := ChosenFrom(t)
		if settingOn(base, &w, Adapter{}, n.Torque.Value).Fits {
			n.Instead = append(n.Instead, t.Short())
		}
	}
	if len(s.Wrenches) == 0 && len(n.Instead) > 0 {
		n.Wrench = n.Instead[0]
	}
}

// ChosenFrom makes the choice of a wrench from a line of the shelf.
func ChosenFrom(t garage.TorqueWrench) WrenchChosen {
	return WrenchChosen{Tool: t.Name, Low: t.Low, High: t.High, Accuracy: t.Accuracy, Hand: t.Hand}
}

// wrenchList is the part of the ready list that is about torque wrenches: each
// wrench that serves with what it sets, then each torque that none serves.
func wrenchList(s *State, shelf garage.Shelf) ReadyList {
	list := ReadyList{ID: "wrenches", Title: "Torque wrench"}
	byWrench := map[string]int{}
	for _, n := range TorqueNeeds(s, shelf) {
		if n.Wrench != "" {
			i, ok := byWrench[n.Wrench]
			if !ok {
				i = len(list.Lines)
				byWrench[n.Wrench] = i
				list.Lines = append(list.Lines, ReadyLine{Key: "wrenches:" + garage.PlainName(n.Wrench), Name: n.Wrench, Status: AtHand})
			}
			line := &list.Lines[i]
			if line.Note == "" {
				line.Note = "to set " + n.Torque.String()
			} else {
				line.Note += ", " + n.Torque.String()
			}
			line.For = append(line.For, n.For...)
			continue
		}
		line := ReadyLine{Key: "wrenches:" + n.Torque.String(), Name: "torque wrench that sets " + n.Torque.String(), For: n.For, Status: Missing}
		if n.Why != "" {
			line.Name, line.Note = n.Torque.String()+" is out of the wrench's range", n.Why
		}
		if len(n.Instead) > 0 {
			line.Note = strings.TrimPrefix(strings.TrimSuffix(line.Note, ".")+". On the shelf, and would do: "+strings.Join(n.Instead, ", "), ". ")
		}
		list.Lines = append(list.Lines, line)
	}
	for i := range list.Lines {
		if l := &list.Lines[i]; l.Status == AtHand && len(s.Wrenches) == 0 {
			l.Note += "; on the shelf, not chosen yet"
		}
	}
	list.None = len(list.Lines) == 0
	return list
}
