package job

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// An Action turns a state into the events that a tap on it records, or says in
// an [Error] why there is nothing to record. With CodeAlready it may give
// events as well: what differs from what is recorded is kept, not refused.
// Actions are made by the functions of this package ([Begin], [DoStep],
// [TakeOff] …) and run by [Book.Do].
type Action func(r *Recorder, s *State) ([]Event, error)

func one(r *Recorder, s *State, k Kind, data any) ([]Event, error) {
	return []Event{r.Event(s.ID, k, data)}, nil
}

// open wraps an action that makes no sense once the vehicle is handed over.
func open(a Action) Action {
	return func(r *Recorder, s *State) ([]Event, error) {
		if s.IsReleased() {
			return nil, refuse(CodeReleased, "This job was released on %s: what is recorded stays. Add an amendment instead.", s.Release.At.Format("2 Jan 2006"))
		}
		return a(r, s)
	}
}

func (s *State) find(step string) (*Step, error) {
	if st := s.StepByID(step); st != nil {
		return st, nil
	}
	return nil, refuse(CodeUnknown, "There is no step %q in this job any more: go back to the job and take the step from there.", step)
}

// Rename changes title, vehicle, VIN or complaint; blank fields stay.
func Rename(d Renamed) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if d == (Renamed{}) {
			return nil, refuse(CodeMissing, "Nothing was changed.")
		}
		return one(r, s, KindRenamed, d)
	})
}

// odometerProblem is an Error with CodeWrong for a bare number: whether it is
// kilometres or miles cannot be told later. Blank, and words, are no problem.
func odometerProblem(reading string) error {
	reading = strings.TrimSpace(reading)
	if reading == "" || strings.Trim(reading, "0123456789., '\u2019\u00a0\u202f") != "" {
		return nil
	}
	return refuse(CodeWrong, "The odometer reading %q has no unit. Write km or mi behind it, as in %q.", reading, "84,200 km")
}

// ReadOdometer records the distance on the clock.
func ReadOdometer(reading string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		reading = strings.TrimSpace(reading)
		if !strings.ContainsAny(reading, "0123456789") {
			return nil, refuse(CodeWrong, "Write the odometer reading with its unit, as in %q.", "84,200 km")
		}
		if err := odometerProblem(reading); err != nil {
			return nil, err
		}
		return one(r, s, KindOdometer, OdometerRead{reading})
	})
}

// SetTargets says what the job is to achieve. Without is why there is no map,
// empty where the targets are on a map.
func SetTargets(targets []Target, without string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if len(targets) == 0 && without == "" {
			return nil, refuse(CodeMissing, "Say what is to be done: pick one thing at least.")
		}
		for i, t := range targets {
			if strings.TrimSpace(t.Name) == "" && t.Item == "" {
				return nil, refuse(CodeMissing, "The thing to be done number %d has no name.", i+1)
			}
		}
		return one(r, s, KindTargets, TargetsSet{targets, without})
	})
}

// UsePlan puts a plan of [opening.Make] in force. Only the items that the plan
// uses are kept from m.
func UsePlan(plan *opening.Plan, m *access.Map, version int, already []string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if plan == nil || m == nil {
			return nil, refuse(CodeMissing, "There is no plan to use.")
		}
		return one(r, s, KindPlanned, planData(plan, m, version, already))
	})
}

func planData(plan *opening.Plan, m *access.Map, version int, already []string) Planned {
	d := Planned{Plan: *plan, MapID: m.ID, MapName: m.Name, MapVersion: version, Invented: m.Invented, Already: already}
	used := map[string]bool{}
	for _, st := range plan.Steps {
		used[st.Item] = true
	}
	for _, t := range plan.Targets {
		used[t.Item] = true
	}
	for _, a := range already {
		item, _, _ := strings.Cut(a, "/")
		used[item] = true
	}
	for _, it := range m.Items {
		if used[it.ID] {
			d.Items = append(d.Items, it)
		}
	}
	return d
}

// SayNone records an explicit "none" for a list of the ready page, or for
// "<step id>:fasteners".
func SayNone(what string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if s.None[what] {
			return nil, refuse(CodeAlready, "That is recorded already.")
		}
		return one(r, s, KindNone, NoneNeeded{what})
	})
}

// Mark records that something is at hand, ordered, or not there after all. Key
// is that of a ready line or of a line of the shopping list.
func Mark(key, name string, how How, note string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if !slices.Contains([]How{Have, Bought, Borrowed, Ordered, Received, NotHad}, how) {
			return nil, refuse(CodeWrong, "%q is none of have, bought, borrowed, ordered, received, not had.", how)
		}
		if key == "" {
			return nil, refuse(CodeMissing, "Say which thing it is.")
		}
		return one(r, s, KindGot, Got{key, name, how, note})
	})
}

// PutOnList puts something on the shopping list.
func PutOnList(w Wanted, step, why string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if w.Name = strings.TrimSpace(w.Name); w.Name == "" {
			return nil, refuse(CodeMissing, "Write what to get.")
		}
		return one(r, s, KindListed, Listed{w, step, why})
	})
}

// Begin puts the hands on a step; its minutes count from here.
func Begin(step string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		st, err := s.find(step)
		if err != nil {
			return nil, err
		}
		if st.IsDone() {
			return nil, refuse(CodeAlready, "%s is done already, at %s.", st.Name, st.Finished.Format("15:04"))
		}
		if !st.Begun.IsZero() {
			return nil, refuse(CodeAlready, "%s is begun already, at %s.", st.Name, st.Begun.Format("15:04"))
		}
		return one(r, s, KindBegun, Begun{step})
	})
}

// DoStep finishes a step. Every fastener group is to be counted, or named in
// NotCounted, where it then stays open until explained. The minutes are
// measured from the begin, unless given.
func DoStep(d StepDone) Action { return finishStep(KindDone, d) }

// SetAside finishes a step by setting the thing aside with its lines
// connected.
func SetAside(d StepDone) Action { return finishStep(KindAside, d) }

func finishStep(k Kind, d StepDone) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		st, err := s.find(d.Step)
		if err != nil {
			return nil, err
		}
		if err := checkCounts(st, d); err != nil {
			return nil, err
		}
		if st.IsDone() {
			return again(r, s, k, st, d)
		}
		if k == KindAside && !st.Opens {
			return nil, refuse(CodeWrong, "%s is not something to set aside.", st.Name)
		}
		if st.Closes && s.Ring(st.Item) == nil {
			return nil, refuse(CodeNotYet, "%s is not off: there is nothing to put back.", st.Name)
		}
		if err := uncounted(s, st, d); err != nil {
			return nil, err
		}
		if err := s.boltsOpen(st, d); err != nil {
			return nil, err
		}
		if err := s.beltUnseated(st); err != nil {
			return nil, err
		}
		if err := s.sealUnfit(st); err != nil {
			return nil, err
		}
		if d.Minutes == 0 && !st.Begun.IsZero() {
			d.Minutes = handMinutes(s, st.Begun, r.Now())
		}
		return one(r, s, k, d)
	})
}

// again keeps a second record of a finished step where it says something else,
// and tells so.
func again(r *Recorder, s *State, k Kind, st *Step, d StepDone) ([]Event, error) {
	by := ""
	if st.By != "" {
		by = " by " + st.By
	}
	said := refuse(CodeAlready, "%s was recorded already, at %s%s.", st.Name, st.Finished.Format("15:04"), by)
	same := (k == KindAside) == st.Records[0].Aside && (d.Tray == "" || d.Tray == st.Tray)
	for id, n := range d.Counts {
		was, ok := st.Records[0].count(id)
		same = same && ok && was == n
	}
	if same {
		return nil, said
	}
	said.Text += " This one says something else: both are kept, and shown until you say which holds."
	return []Event{r.Event(s.ID, k, d)}, said
}

func checkCounts(st *Step, d StepDone) error {
	for _, id := range sortedKeys(d.Counts) {
		if n := d.Counts[id]; n < 0 || n > maxCount {
			return refuse(CodeWrong, "A count of %d cannot be right for %s: write a number from 0 to %d.", n, id, maxCount)
		}
	}
	for _, f := range d.Fasteners {
		if f.Count < 0 || f.Count > maxCount {
			return refuse(CodeWrong, "A count of %d cannot be right for %s: write a number from 0 to %d.", f.Count, cmp.Or(f.Name, f.ID), maxCount)
		}
	}
	if d.Minutes < 0 || d.Minutes != d.Minutes {
		return refuse(CodeWrong, "The minutes cannot be below zero.")
	}
	return nil
}

// uncounted refuses a step of which a group is passed over in silence.
func uncounted(s *State, st *Step, d StepDone) error {
	if !st.Opens && !st.Closes {
		return nil
	}
	for _, g := range st.Groups {
		_, counted := d.Counts[g.ID]
		if !counted && !slices.Contains(d.NotCounted, g.ID) {
			return refuse(CodeMissing, "Count the %s of %s, or say that they were not counted.", g.Name, st.Name)
		}
	}
	return nil
}

// handMinutes is the time between two instants without the pauses in it.
func handMinutes(s *State, from, to time.Time) float64 {
	total := to.Sub(from)
	for _, p := range s.Pauses {
		end := p.To
		if end.IsZero() || end.After(to) {
			end = to
		}
		start := p.From
		if start.Before(from) {
			start = from
		}
		if end.After(start) {
			total -= end.Sub(start)
		}
	}
	return max(total.Minutes(), 0)
}

// Ahead lists, in the order of the job, the steps that the plan has before this
// one, or that were met in its way, and that are not done. It is for showing: what the hands did is recorded all the same.
func (s *State) Ahead(step string) []*Step {
	st := s.StepByID(step)
	if st == nil {
		return nil
	}
	var out []*Step
	for _, o := range s.Steps {
		planned := st.Planned != nil && slices.Contains(st.Planned.Before, o.ID)
		met := st.Opens && o.Opens && o.Unplanned && slices.Contains(s.Links, WayLink{o.Item, st.Item})
		if (planned || met) && !o.IsDone() {
			out = append(out, o)
		}
	}
	return out
}

// WaitsFor lists the waits that run at an instant and that this step has to
// let pass.
func (s *State) WaitsFor(step string, now time.Time) []Wait {
	st := s.StepByID(step)
	if st == nil {
		return nil
	}
	var out []Wait
	for _, w := range s.Waits {
		if w.Over(now) {
			continue
		}
		before := st.Planned != nil && slices.Contains(st.Planned.Before, w.Step)
		if before || slices.Contains(w.WaitFor, st.Item) {
			out = append(out, w)
		}
	}
	return out
}
