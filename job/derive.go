package job

import (
	"cmp"
	"fmt"
	"slices"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// derive works out everything that depends on the whole log.
func (b *builder) derive() {
	for _, st := range b.steps {
		st.NoGroups = st.NoGroups || b.s.None[st.ID+":fasteners"]
		b.settle(st)
	}
	b.carryCounts()
	b.attach()
	b.rings()
	for _, fluid := range sortedKeys(b.out) {
		if b.out[fluid] {
			b.s.Drained = append(b.s.Drained, fluid)
		}
	}
	b.differences()
	b.statuses()
	s := b.s
	s.Steps = b.steps
	s.NoReturn = b.noReturn()
	s.Begun = nil
	for _, st := range s.Steps {
		if st.Unfinished() {
			s.Begun = append(s.Begun, st)
		}
	}
	b.boltMaps()
	b.beltRuns()
	b.fluidBooks()
	b.seals()
	s.Confirm = slices.DeleteFunc(s.Confirm, func(st *Step) bool { return !st.IsDone() })
	if s.Title == "" {
		s.Title = b.title()
	}
	s.Tests = testsOf(s, b.cycles, b.read)
	sealTests(s)
	s.Progress = progress(s.Steps)
	s.Stage = stage(s)
	s.FollowUps = followUps(s, b.cycles, b.closed, b.closedM)
}

func (b *builder) title() string {
	targets := b.s.Targets
	if len(targets) == 0 {
		return cmp.Or(b.s.Complaint, "Job without a name")
	}
	if t := targets[0]; t.Name == b.s.Complaint && t.Name != "" {
		return t.Name // without a map the complaint is all there is to do
	}
	title := targetText(targets[0])
	switch more := len(targets) - 1; {
	case more == 1:
		title += ", " + targetText(targets[1])
	case more > 1:
		title += fmt.Sprintf(" and %d more", more)
	}
	return title
}

func targetText(t Target) string {
	return cmp.Or(t.Name, t.Item) + ": " + string(cmp.Or(t.Action, access.AccessOnly))
}

// settle works out what a step's records say: of each thing, the value that
// holds, and a conflict where they differ.
func (b *builder) settle(st *Step) {
	if len(st.Records) == 0 {
		return
	}
	first := st.Records[0]
	st.Held, st.Renewed, st.Tightened, st.Minutes = first.Done.Held, first.Done.Renewed, first.Done.Tightened, first.Done.Minutes
	st.Note = cmp.Or(first.Done.Note, st.Note)
	b.groupsOf(st)
	for i := range st.Groups {
		g := &st.Groups[i]
		rec, ok := b.hold(st, "count:"+g.ID, st.Name+", "+g.Name, func(r Record) (string, bool) {
			n, ok := r.count(g.ID)
			return countText(n, st, *g), ok
		})
		if n, _ := rec.count(g.ID); ok && st.Closes {
			g.Back, g.BackKnown = n, true
		} else if ok {
			g.Out, g.OutKnown = n, true
		}
		for _, r := range st.Records {
			g.Size = cmp.Or(g.Size, r.Done.Sizes[g.ID])
		}
	}
	if rec, ok := b.hold(st, "tray", st.Name+", tray", func(r Record) (string, bool) { return r.Done.Tray, r.Done.Tray != "" }); ok {
		st.Tray = rec.Done.Tray
	}
	if rec, ok := b.hold(st, "way", st.Name, func(r Record) (string, bool) { return r.how(st), st.Opens }); ok {
		st.AsideWay = rec.Aside || st.AsideWay && rec.Done.Way == ""
	}
}

func (r Record) how(st *Step) string {
	if r.Aside || st.AsideWay && r.Done.Way == "" {
		return "set aside"
	}
	return "taken off"
}

// count is what a record says of a group.
func (r Record) count(group string) (int, bool) {
	if n, ok := r.Done.Counts[group]; ok {
		return n, n >= 0 && n <= maxCount
	}
	for _, f := range r.Done.Fasteners {
		if newGroup(f).ID == group {
			return f.Count, f.Count > 0 && f.Count <= maxCount
		}
	}
	return 0, false
}

// groupsOf adds groups that only the records know.
func (b *builder) groupsOf(st *Step) {
	add := func(g Group) {
		if !slices.ContainsFunc(st.Groups, func(o Group) bool { return o.ID == g.ID }) {
			st.Groups = append(st.Groups, g)
		}
	}
	for _, r := range st.Records {
		for _, f := range r.Done.Fasteners {
			g := newGroup(f)
			g.Want = 0
			add(g)
		}
		for _, id := range sortedKeys(r.Done.Counts) {
			add(Group{ID: id, Name: id})
		}
	}
}

// hold picks the record whose value holds: the one chosen, else the first that
// gives one. Where records differ it lists a conflict.
func (b *builder) hold(st *Step, thing, name string, value func(Record) (string, bool)) (Record, bool) {
	var holds Record
	found, differ := false, false
	c := Conflict{Key: st.ID + ":" + thing, Step: st.ID, Thing: name}
	chosen := b.chosen[c.Key]
	for _, r := range st.Records {
		v, ok := value(r)
		if !ok {
			continue
		}
		if len(c.Values) > 0 && c.Values[0].Value != v {
			differ = true
		}
		c.Values = append(c.Values, ConflictValue{Event: r.Event, Value: v, By: r.By, At: r.At})
		if !found || r.Event == chosen.Event {
			holds, found = r, true
		}
		if r.Event == chosen.Event {
			c.Resolved, c.Why = r.Event, chosen.Why
		}
	}
	if differ {
		b.s.Conflicts = append(b.s.Conflicts, c)
	}
	return holds, found
}

// carryCounts tells each closing step what came out, and pairs it with the
// step that opened.
func (b *builder) carryCounts() {
	for _, c := range b.cycles {
		up := c.up
		if up == nil {
			up = b.closingStep(c.item)
		}
		if up == nil {
			continue
		}
		up.Partner, c.down.Partner = c.down.ID, up.ID
		up.Tray = cmp.Or(up.Tray, c.down.Tray)
		up.NoGroups = c.down.NoGroups
		back := up.Groups
		up.Groups = nil
		for _, g := range c.down.Groups {
			if i := slices.IndexFunc(back, func(o Group) bool { return o.ID == g.ID }); i >= 0 {
				g.Back, g.BackKnown = back[i].Back, back[i].BackKnown
			}
			up.Groups = append(up.Groups, g)
		}
		for _, g := range back { // counted back, never counted out
			if g.BackKnown && !slices.ContainsFunc(up.Groups, func(o Group) bool { return o.ID == g.ID }) {
				up.Groups = append(up.Groups, g)
			}
		}
	}
}

// closingStep is the first step still to be done that closes an item.
func (b *builder) closingStep(item string) *Step {
	for _, st := range b.steps {
		if st.Closes && st.Item == item && !st.IsDone() {
			return st
		}
	}
	return nil
}

// attach gives each step its photos, clips, notes, troubles and reasons.
func (b *builder) attach() {
	for _, p := range b.s.Photos {
		if st := b.byID[p.Step]; st != nil {
			st.Photos = append(st.Photos, p)
		}
	}
	for _, c := range b.s.Clips {
		if st := b.byID[c.Step]; st != nil {
			st.Clips = append(st.Clips, c)
		}
	}
	for _, n := range b.s.Notes {
		if st := b.byID[n.Step]; st != nil {
			st.Notes = append(st.Notes, n)
		}
	}
	for _, t := range b.s.Troubles {
		if st := b.byID[t.Step]; st != nil {
			st.Troubles = append(st.Troubles, t)
		}
	}
	for _, l := range b.s.Links {
		for _, st := range b.steps {
			if st.Item == l.Item && st.Opens {
				st.InWayOf = append(slices.Clone(st.InWayOf), b.name(l.Of))
			}
		}
	}
}

func (b *builder) rings() {
	for _, c := range slices.Backward(b.cycles) {
		if c.up != nil {
			continue
		}
		r := Ring{Item: c.item, Name: c.down.Name, Way: c.down.Way, Aside: c.down.AsideWay, Tray: c.down.Tray,
			Since: c.down.Finished, Down: c.down.ID, Up: c.down.Partner, Groups: c.down.Groups, Critical: c.down.Critical}
		if it := b.s.Items[c.item]; it != nil {
			r.Condition, r.Immobile = it.Kind == access.Condition, it.Immobile
		}
		if c.down.way != nil {
			r.Opens = c.down.way.Opens
		}
		r.Loosened = c.down.Loosens()
		if b.endsItself(c.item, c.down.Way) {
			b.s.Standing = append(b.s.Standing, r)
			continue
		}
		b.s.Open = append(b.s.Open, r)
	}
}

// differences compares what came out with what went back, for all that is
// closed again.
func (b *builder) differences() {
	for _, c := range b.cycles {
		if c.up == nil {
			continue
		}
		for _, g := range c.up.Groups {
			d := Difference{Item: c.item, Name: c.down.Name, Group: g.ID, GroupName: g.Name, Step: c.up.ID, Out: -1, Back: -1}
			if g.OutKnown {
				d.Out = g.Out
			}
			if g.BackKnown {
				d.Back = g.Back
			}
			if d.Out == d.Back && d.Out >= 0 {
				continue
			}
			if x, ok := b.explain[c.item+"\x00"+g.ID]; ok && x.Out == d.Out && x.Back == d.Back {
				d.Explained = cmp.Or(x.Why, "explained")
			}
			b.s.Differences = append(b.s.Differences, d)
		}
	}
}

func (b *builder) statuses() {
	s := b.s
	open := map[string]bool{}
	for _, r := range s.Open {
		open[r.Item] = true
	}
	for _, st := range b.steps {
		switch {
		case slices.ContainsFunc(s.Conflicts, func(c Conflict) bool { return c.Step == st.ID && c.Resolved == "" }):
			st.Status = Dispute
		case st.IsDone() && st.Opens && st.AsideWay:
			st.Status = Aside
		case st.IsDone():
			st.Status = Done
		case st.Closes && st.Phase == opening.Up && open[st.Item]:
			st.Status = Owed
			open[st.Item] = false // only the next step that closes it
		case st.Fluid != "" && b.out[st.Fluid]:
			st.Status = Owed
		default:
			st.Status = ToCome
		}
	}
	if s.Release != nil {
		return
	}
	s.Next = b.next()
	if s.Next != nil {
		s.Next.Status = Now
	}
}

// next is the step in hand, or else the first that can be done.
func (b *builder) next() *Step {
	var begun *Step
	for _, st := range b.steps {
		if st.Unfinished() && (begun == nil || st.Begun.After(begun.Begun)) {
			begun = st
		}
	}
	if begun != nil {
		for _, st := range b.steps { // met in its way since, and still on
			if st.Unplanned && st.Opens && !st.IsDone() && slices.Contains(b.s.Links, WayLink{st.Item, begun.Item}) {
				return st
			}
		}
		return begun
	}
	for _, st := range b.steps {
		if !st.IsDone() && (!st.Closes || b.ring(st.Item) != nil) && (st.Fluid == "" || b.out[st.Fluid]) {
			return st
		}
	}
	return nil
}

// noReturn is where the first step stands that leaves the vehicle where it is.
func (b *builder) noReturn() int {
	for i, st := range b.steps {
		if it := b.s.Items[st.Item]; st.Opens && st.Phase == opening.Down && it != nil && it.Immobile && !it.Repeats {
			return i
		}
	}
	return -1
}

func progress(steps []*Step) Progress {
	var p Progress
	for _, st := range steps {
		p.Total++
		p.TotalPlanMinutes += st.Expected
		done := 0
		if st.IsDone() {
			done = 1
			if st.Minutes > 0 {
				p.PlannedMinutes += st.Expected
				p.MeasuredMinutes += st.Minutes
			}
		} else {
			p.RemainingMinutes += st.Expected
			if q := st.Planned; q != nil { // as the plan counts its total
				p.RemainingMinutes += q.Trouble + q.SetUp + q.Idle
			}
		}
		p.Done += done
		switch st.Phase {
		case opening.Down:
			p.DownTotal++
			p.DownDone += done
		case opening.Up:
			p.BackTotal++
			p.BackDone += done
		}
	}
	return p
}

func stage(s *State) Stage {
	var began, work, undone bool
	for _, st := range s.Steps {
		began = began || st.IsDone() || st.Unfinished()
		undone = undone || !st.IsDone() && st.Opens && st.Phase == opening.Down
		if st.Phase == opening.Bottom {
			work = work || st.IsDone()
		}
	}
	switch {
	case s.Release != nil:
		return StageReleased
	case !began && s.Plan == nil && !s.NoMap:
		return StagePlan
	case !began && s.Plan == nil:
		return StageApart // recorded as it goes: the next thing is to take something off
	case !began:
		return StageReady
	case s.Next != nil && s.Next.Phase == opening.Bottom:
		return StageWork
	case undone:
		return StageApart
	case len(s.Open)+len(s.Drained) > 0:
		return StageBack
	case len(s.OpenTests()) > 0:
		return StageProve
	default:
		return StageRelease
	}
}

func lastDone(steps []*Step, n int) []*Step {
	var done []*Step
	for _, st := range steps {
		if st.IsDone() {
			done = append(done, st)
		}
	}
	slices.SortStableFunc(done, func(x, y *Step) int { return y.Finished.Compare(x.Finished) })
	return done[:min(n, len(done))]
}
