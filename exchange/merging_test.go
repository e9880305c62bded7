package exchange_test

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// schedulesAtOnce is how many schedules one call of rapid goes through.
const schedulesAtOnce = 100

// Several devices with wrong clocks work on the same jobs and documents, and
// what they record reaches the others in any order, in parts, twice, late, or
// at first not at all. Once everybody has heard everything, they are alike, and
// nothing that anybody recorded is missing. LASTBOLT_SCHEDULES says how many
// schedules are gone through.
func TestWhateverTheOrderOfArrivalAllDevicesEndAlike(t *testing.T) {
	schedules := 200
	if n, err := strconv.Atoi(os.Getenv("LASTBOLT_SCHEDULES")); err == nil {
		schedules = n
	}
	base := newShop(t)
	var sum tally
	for done := 0; done < schedules; done += schedulesAtOnce {
		rapid.Check(t, func(rt *rapid.T) {
			w := base.open(rt)
			for part := range 3 { // one draw would nearly always be small
				for range rapid.IntRange(part&1, 20).Draw(rt, "moves") {
					w.move()
				}
			}
			w.settle()
			w.alike()
			w.complete()
			w.disputesShown()
			sum.add(w)
		})
	}
	t.Logf("%s", &sum)
	if sum.disputes == 0 || sum.edits == 0 || sum.events < schedules {
		t.Errorf("too little happened for this to show anything: %s", &sum)
	}
}

// A tally is how much happened, over all schedules.
type tally struct{ schedules, events, edits, parcels, disputes, problems int }

func (s *tally) add(w *shop) {
	s.schedules++
	s.events += len(w.recorded)
	s.edits += len(w.edits)
	s.parcels += w.delivered
	for _, st := range w.states(w.nodes[0]) {
		s.disputes += len(st.Conflicts)
		s.problems += len(st.Problems)
	}
}

func (s *tally) String() string {
	return fmt.Sprintf("%d schedules: %d records and %d edits of documents made, %d parcels delivered; at their ends %d disputes and %d notes on records that did not fit",
		s.schedules, s.events, s.edits, s.parcels, s.disputes, s.problems)
}

// states are all jobs of a device, folded.
func (w *shop) states(n *node) []*job.State {
	ids, err := n.st.Jobs(w.ctx)
	w.must(err)
	var out []*job.State
	for _, id := range ids {
		s, err := n.book.Load(w.ctx, id)
		w.must(err)
		out = append(out, s)
	}
	return out
}

// alike compares every device with the first: the records, what they add up to,
// what a page shows of them, the list of jobs, the documents, the photos.
func (w *shop) alike() {
	first := w.nodes[0]
	for _, n := range w.nodes[1:] {
		want, got := w.states(first), w.states(n)
		if len(want) != len(got) {
			w.fail("%s has %d jobs, %s %d", first.name, len(want), n.name, len(got))
		}
		for i := range want {
			if field := differs(want[i], got[i]); field != "" {
				w.fail("%s and %s differ in %s of the job %s", first.name, n.name, field, want[i].ID)
			}
			if a, b := want[i].OpenItems(w.now), got[i].OpenItems(w.now); !reflect.DeepEqual(a, b) {
				w.fail("what is open: %s shows %v, %s shows %v", first.name, a, n.name, b)
			}
		}
		q := job.Query{Closed: true}
		if a, b := w.summaries(first, q), w.summaries(n, q); !reflect.DeepEqual(a, b) {
			w.fail("the list of jobs: %s shows %+v, %s shows %+v", first.name, a, n.name, b)
		}
		w.documentsAlike(first, n)
		a, err := first.st.Names(w.ctx)
		w.must(err)
		b, err := n.st.Names(w.ctx)
		w.must(err)
		if !slices.Equal(a, b) {
			w.fail("%s has the photos %v, %s has %v", first.name, a, n.name, b)
		}
	}
}

// differs names the first field in which two states differ, empty for none.
func differs(a, b *job.State) string {
	if reflect.DeepEqual(a, b) {
		return ""
	}
	x, y := reflect.ValueOf(*a), reflect.ValueOf(*b)
	for i := range x.NumField() {
		if !reflect.DeepEqual(x.Field(i).Interface(), y.Field(i).Interface()) {
			return x.Type().Field(i).Name
		}
	}
	return "what is not shown"
}

func (w *shop) summaries(n *node, q job.Query) []job.Summary {
	list, err := n.book.Summaries(w.ctx, q)
	w.must(err)
	return list
}

// documentsAlike wants the same newest version and the same versions at all;
// their numbers go by the order of arrival.
func (w *shop) documentsAlike(first, n *node) {
	for _, kind := range []string{garage.KindVehicle, garage.KindShelf, garage.KindMap} {
		a, b := w.histories(first, kind), w.histories(n, kind)
		if len(a) != len(b) {
			w.fail("%s has %d of kind %s, %s %d", first.name, len(a), kind, n.name, len(b))
		}
		for id, want := range a {
			got := b[id]
			if len(got) == 0 || want[len(want)-1] != got[len(got)-1] {
				w.fail("the newest %s %q: %s has %v, %s has %v", kind, id, first.name, want, n.name, got)
			}
			if last := w.lastEdit(kind); want[len(want)-1] != last {
				w.fail("the newest %s %q is %s, the last edit was %s", kind, id, want[len(want)-1], last)
			}
			slices.Sort(want)
			slices.Sort(got)
			if !slices.Equal(slices.Compact(want), slices.Compact(got)) {
				w.fail("the versions of %s %q: %s has %v, %s has %v", kind, id, first.name, want, n.name, got)
			}
		}
	}
}

// histories are the versions of every document of a kind, oldest first, each as
// a line that tells it from every other.
func (w *shop) histories(n *node, kind string) map[string][]string {
	list, err := n.st.All(w.ctx, kind)
	w.must(err)
	out := map[string][]string{}
	for _, d := range list {
		for v := 1; v <= d.Version; v++ {
			one, err := n.st.Version(w.ctx, kind, d.ID, v)
			w.must(err)
			out[d.ID] = append(out[d.ID], versionLine(one))
		}
	}
	return out
}

// lastEdit is the edit of a kind with the latest time; of two at one instant, the
// one whose line sorts last.
func (w *shop) lastEdit(kind string) string {
	last := ""
	for _, d := range w.edits {
		if d.Kind == kind {
			last = max(last, versionLine(d))
		}
	}
	return last
}

func versionLine(d garage.Document) string {
	return fmt.Sprintf("%s %s %q", d.At.UTC().Format("2006-01-02 15:04:05.000"), d.By, d.Body)
}

// complete wants everything that was acknowledged, once, and as it was.
func (w *shop) complete() {
	for _, n := range w.nodes {
		ids, err := n.st.Jobs(w.ctx)
		w.must(err)
		have := map[string]job.Event{}
		for _, id := range ids {
			list, err := n.st.Events(w.ctx, id)
			w.must(err)
			for _, e := range list {
				if _, twice := have[e.ID]; twice {
					w.fail("%s has the record %s twice", n.name, e.ID)
				}
				have[e.ID] = e
			}
		}
		for id, e := range w.recorded {
			if !keep.Same(have[id], e) {
				w.fail("%s has lost the record %s (%s), or has it otherwise: %s", n.name, id, e.Kind, have[id].Data)
			}
		}
		if len(have) != len(w.recorded) {
			w.fail("%s has %d records; %d were made", n.name, len(have), len(w.recorded))
		}
		for _, d := range w.edits {
			if !slices.Contains(w.histories(n, d.Kind)[d.ID], versionLine(d)) {
				w.fail("%s has lost the edit %s of %s %q", n.name, versionLine(d), d.Kind, d.ID)
			}
		}
	}
}

// disputesShown looks for disputes with eyes of its own: wherever two records of
// a step count differently, and wherever two people, or one person on two devices,
// want a bolt tight to different torques, both values are shown.
func (w *shop) disputesShown() {
	for _, s := range w.states(w.nodes[0]) {
		for _, st := range s.Steps {
			for _, g := range st.Groups {
				var said []string
				for _, r := range st.Records {
					if n, ok := r.Done.Counts[g.ID]; ok {
						said = append(said, strconv.Itoa(n)+" ")
					}
				}
				w.shown(s, st.ID+":count:"+g.ID, said)
			}
		}
		w.torquesShown(s)
	}
}

func (w *shop) torquesShown(s *job.State) {
	last := map[string]string{}
	for _, h := range s.History {
		if e := w.recorded[h.Event]; e.Kind == job.KindBoltTorque && !h.Undone {
			d := dataOf[job.BoltTorqueSet](e)
			last[e.By+" on "+d.Device] = d.Torque.Value.String()
		}
	}
	if m := s.BoltMap("cover"); m == nil || len(m.Bolts) == 0 {
		return
	}
	var said []string
	for _, v := range last {
		said = append(said, v)
	}
	w.shown(s, "bolt:cover:torque:bolts", said)
}

// shown wants a conflict that has every one of the values, where they are not
// all the same.
func (w *shop) shown(s *job.State, key string, said []string) {
	slices.Sort(said)
	if said = slices.Compact(said); len(said) < 2 {
		return
	}
	i := slices.IndexFunc(s.Conflicts, func(c job.Conflict) bool { return c.Key == key })
	if i < 0 {
		w.fail("nothing shows that %s is recorded as %v", key, said)
	}
	for _, v := range said {
		if !slices.ContainsFunc(s.Conflicts[i].Values, func(c job.ConflictValue) bool { return strings.HasPrefix(c.Value, v) }) {
			w.fail("of the dispute %s the value %s is not shown: %+v", key, v, s.Conflicts[i])
		}
	}
}
