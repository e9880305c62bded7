package job

import (
	"cmp"
	"slices"
	"time"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

func (b *builder) started(e Event, d Started) {
	s := b.s
	if !s.Started.IsZero() {
		b.problem(e.ID, "the job was started twice; the first start counts, and this one fills what it left blank")
	} else {
		s.Started = e.At
	}
	for _, f := range []struct {
		to   *string
		from string
	}{
		{&s.Title, d.Title}, {&s.Vehicle, d.Vehicle}, {&s.VehicleID, d.VehicleID}, {&s.VIN, d.VIN},
		{&s.Odometer, d.Odometer}, {&s.Complaint, d.Complaint}, {&s.MapID, d.MapID},
	} {
		*f.to = cmp.Or(*f.to, f.from)
	}
}

func (b *builder) renamed(_ Event, d Renamed) {
	s := b.s
	s.Title = cmp.Or(d.Title, s.Title)
	s.Vehicle = cmp.Or(d.Vehicle, s.Vehicle)
	s.VehicleID = cmp.Or(d.VehicleID, s.VehicleID)
	s.VIN = cmp.Or(d.VIN, s.VIN)
	s.Complaint = cmp.Or(d.Complaint, s.Complaint)
}

func (b *builder) odometer(_ Event, d OdometerRead) { b.s.Odometer = cmp.Or(d.Odometer, b.s.Odometer) }

func (b *builder) targets(_ Event, d TargetsSet) {
	b.s.Targets = d.Targets
	if d.Without != "" {
		b.s.NoMap = true
	}
	b.workSteps()
}

func (b *builder) none(_ Event, d NoneNeeded) {
	b.s.None[d.What] = true
}

func (b *builder) got(e Event, d Got) {
	if d.Key == "" {
		b.problem(e.ID, "it does not say what was got")
		return
	}
	b.s.Got[d.Key] = d
	for i := range b.s.List {
		if l := &b.s.List[i]; l.Key == d.Key {
			l.How, l.Note = d.How, cmp.Or(d.Note, l.Note)
			if d.How == NotHad {
				l.How = ""
			}
		}
	}
}

func (b *builder) listed(e Event, d Listed) {
	b.list(e, e.ID, d.Wanted, d.Step, d.Why)
}

func (b *builder) list(e Event, key string, w Wanted, step, why string) {
	b.s.List = append(b.s.List, ListItem{Key: key, Wanted: w, Step: step, Why: why, At: e.At, By: e.By})
}

func (b *builder) begun(e Event, d Begun) {
	st := b.step(e, d.Step)
	if st != nil && !st.IsDone() && st.Begun.IsZero() {
		st.Begun = e.At
	}
}

func (b *builder) done(e Event, d StepDone)  { b.finish(e, d, false) }
func (b *builder) aside(e Event, d StepDone) { b.finish(e, d, true) }

// finish keeps the record of a finished step and opens or closes its ring.
// What the record says of counts and trays is worked out once all are known.
func (b *builder) finish(e Event, d StepDone, aside bool) {
	st := b.step(e, d.Step)
	if st == nil {
		return
	}
	for g, n := range d.Counts {
		if n < 0 || n > maxCount {
			b.problem(e.ID, "a count of %d of %q cannot be right, and is not counted", n, g)
		}
	}
	st.Records = append(st.Records, Record{Event: e.ID, At: e.At, By: e.By, Done: d, Aside: aside})
	if st.IsDone() {
		return // the same again, or a dispute: settled when all is known
	}
	st.Finished, st.By = e.At, e.By
	switch {
	case st.Opens:
		b.open(st)
	case st.Closes:
		b.close(e, st)
	case st.Fluid != "":
		b.out[st.Fluid] = false
	}
	b.autoWait(e, st)
}

func (b *builder) open(st *Step) {
	if b.ring(st.Item) != nil {
		return
	}
	c := &cycle{item: st.Item, down: st}
	b.cycles = append(b.cycles, c)
	b.oweBack(c)
	if st.way != nil {
		for _, f := range st.way.Fluids.Items {
			b.out[f.Name] = true
			b.oweFilling(f.Name)
		}
	}
}

func (b *builder) close(e Event, st *Step) {
	c := b.ring(st.Item)
	if c == nil {
		b.problem(e.ID, "%s was put back, and nothing here says that it was off", st.Name)
		return
	}
	c.up = st
}

// ring is the open cycle of an item, nil if it is not open.
func (b *builder) ring(item string) *cycle {
	for _, c := range slices.Backward(b.cycles) {
		if c.item == item && c.up == nil {
			return c
		}
	}
	return nil
}

func (b *builder) autoWait(e Event, st *Step) {
	if st.Planned == nil || st.Planned.Wait == nil {
		return
	}
	w := st.Planned.Wait
	wait := Wait{
		Key: "wait:" + st.ID, Step: st.ID, Name: st.Name, Kind: w.Kind, Since: e.At, Source: w.Source,
		Until: e.At.Add(minutes(w.Minutes.Likely)), Latest: e.At.Add(minutes(w.Minutes.High)), Back: st.Closes,
	}
	if st.Closes && st.way != nil {
		wait.WaitFor = st.way.Back.WaitFor
	}
	b.s.Waits = append(b.s.Waits, wait)
}

// minutes is a span of time; what cannot be one (negative, not a number, over
// a year) counts as none or a year.
func minutes(m float64) time.Duration {
	if !(m > 0) {
		return 0
	}
	return time.Duration(min(m, 365*24*60) * float64(time.Minute))
}

func (b *builder) inTheWay(_ Event, d WayLink) { b.link(d.Item, d.Of) }

func (b *builder) link(item, of string) {
	l := WayLink{item, of}
	if item != "" && of != "" && item != of && !slices.Contains(b.s.Links, l) {
		b.s.Links = append(b.s.Links, l)
	}
}

func (b *builder) trouble(e Event, d TroubleMet) {
	b.s.Troubles = append(b.s.Troubles, Trouble{d, e.ID, e.At, e.By})
	for i, n := range d.Needs {
		b.list(e, listKey(e.ID, i), n, d.Step, d.What)
	}
}

func (b *builder) note(e Event, d NoteMade) {
	b.s.Notes = append(b.s.Notes, Note{Event: e.ID, Step: d.Step, Text: d.Text, By: e.By, At: e.At})
}

func (b *builder) photo(e Event, d PhotoTaken) {
	b.s.Photos = append(b.s.Photos, Photo{d, e.ID, e.At, e.By})
}

func (b *builder) explained(_ Event, d CountExplained) { b.explain[d.Item+"\x00"+d.Group] = d }

func (b *builder) resolved(_ Event, d Resolved) { b.chosen[d.Conflict] = d }

func (b *builder) toolsCounted(e Event, d ToolsCounted) { b.s.Tools = &ToolCount{d, e.At, e.By} }

func (b *builder) waitStarted(e Event, d WaitStarted) {
	w := Wait{Key: e.ID, Step: d.Step, Kind: d.Kind, Since: e.At, Until: e.At.Add(minutes(d.Minutes))}
	w.Latest = w.Until
	if st := b.byID[d.Step]; st != nil {
		w.Name, w.Back = st.Name, st.Closes
	}
	b.s.Waits = append(b.s.Waits, w)
}

func (b *builder) waitEnded(e Event, d WaitEnded) {
	for i := range slices.Backward(b.s.Waits) {
		if w := &b.s.Waits[i]; w.Key == d.Wait && w.Ended.IsZero() {
			w.Ended, w.Note = e.At, d.Note
			return
		}
	}
	b.problem(e.ID, "it ends a wait that is not running")
}

func (b *builder) test(e Event, d TestRead) {
	b.read[d.Test] = append(b.read[d.Test], Reading{d, e.ID, e.At, e.By})
}

func (b *builder) found(e Event, d FoundNotDone) {
	b.s.Found = append(b.s.Found, Found{d, e.ID, e.At, e.By})
}

func (b *builder) paused(e Event, d Paused) {
	b.endPause(e.At)
	b.s.Pauses = append(b.s.Pauses, Pause{Paused: d, From: e.At, By: e.By})
	b.s.Pause = &Pause{Paused: d, From: e.At, By: e.By}
}

func (b *builder) endPause(at time.Time) {
	if b.s.Pause != nil {
		b.s.Pauses[len(b.s.Pauses)-1].To = at
		b.s.Pause = nil
	}
}

func (b *builder) resumed(e Event, d Resumed) {
	if b.s.Pause == nil && !d.Since.IsZero() && d.Since.Before(e.At) {
		b.s.Pauses = append(b.s.Pauses, Pause{From: d.Since, To: e.At, By: e.By})
	}
	b.endPause(e.At)
	b.s.Confirm = lastDone(b.steps, confirmSteps)
}

func (b *builder) reconfirmed(_ Event, d Reconfirmed) {
	b.s.Confirm = slices.DeleteFunc(slices.Clone(b.s.Confirm), func(st *Step) bool { return slices.Contains(d.Steps, st.ID) })
}

func (b *builder) released(e Event, d Released) {
	if b.s.Release != nil {
		b.problem(e.ID, "the job was released twice; the first release stands")
		return
	}
	b.s.Release = &Release{d, e.ID, e.At, e.By}
	b.s.Odometer = cmp.Or(d.Odometer, b.s.Odometer)
}

func (b *builder) amended(e Event, d Amended) {
	b.s.Amendments = append(b.s.Amendments, Amendment{d, e.ID, e.At, e.By})
}

func (b *builder) followUpDone(e Event, d FollowUpDone) {
	b.closed[d.FollowUp], b.closedM[d.FollowUp] = d, e
}

// workSteps gives a job without a plan a step for each target.
func (b *builder) workSteps() {
	if b.s.Plan != nil {
		return
	}
	b.steps = slices.DeleteFunc(b.steps, func(st *Step) bool {
		gone := st.Phase == opening.Bottom && !st.IsDone() && st.Begun.IsZero()
		if gone {
			delete(b.byID, st.ID)
		}
		return gone
	})
	for _, t := range b.s.Targets {
		id := workID(t)
		b.names[t.Key()] = t.Name
		if b.byID[id] == nil {
			b.insert(&Step{ID: id, Phase: opening.Bottom, Item: t.Key(), Name: t.Name, Action: t.Action}, "")
		}
	}
}

func workID(t Target) string {
	a := t.Action
	if a == "" {
		a = access.AccessOnly
	}
	return "work/" + t.Key() + "/" + slug(string(a))
}

// Key names the target: its item or, without a map, its name made short.
func (t Target) Key() string { return cmp.Or(t.Item, slug(t.Name)) }
