package job_test

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
)

// A device is a book with a clock and a log of its own.
type device struct {
	*job.Book
	log *memoryLog
	now time.Time
}

// newDevice is a device whose clock is wrong by so much. Its ids begin anew, as
// after a start of the program.
func newDevice(by string, seed byte, wrong time.Duration) *device {
	d := &device{log: &memoryLog{summaries: map[string]job.Summary{}}, now: morning.Add(wrong)}
	d.start(by, seed)
	return d
}

func (d *device) start(by string, seed byte) {
	clock := func() time.Time { d.now = d.now.Add(time.Second); return d.now }
	ids := job.NewIDs(clock, rand.NewChaCha8([32]byte{seed}))
	d.Book = job.NewBook(d.log, &job.Recorder{Now: clock, NewID: ids.New, By: by})
}

func (d *device) do(t *testing.T, id string, actions ...job.Action) *job.State {
	t.Helper()
	var s *job.State
	for _, a := range actions {
		var err error
		if s, err = d.Do(t.Context(), id, a); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

// hear takes in everything the other device has.
func (d *device) hear(t *testing.T, other *device) {
	t.Helper()
	if _, err := d.Record(t.Context(), other.log.events...); err != nil {
		t.Fatal(err)
	}
}

func TestARecordSortsBehindWhatItsDeviceHadSeenHoweverWrongTheClocks(t *testing.T) {
	const day = 24 * time.Hour
	for name, wrong := range map[string]struct{ first, second time.Duration }{
		"both right": {0, 0}, "the second late": {0, -3 * day}, "the first ahead": {5 * day, 0}, "far apart": {400 * day, -400 * day},
	} {
		t.Run(name, func(t *testing.T) {
			a, b := newDevice("phone", 1, wrong.first), newDevice("tablet", 2, wrong.second)
			s, err := a.Start(context.Background(), job.Started{Vehicle: "Tern van 1.4"})
			if err != nil {
				t.Fatal(err)
			}
			a.do(t, s.ID, job.UsePlan(smallPlan(), smallMap(), 1, nil), doStep("down/raised"))
			b.hear(t, a)
			b.do(t, s.ID, doStep("down/tray"), job.UndoLast(""), doStep("down/tray"))
			a.hear(t, b)
			s = a.do(t, s.ID, doStep("down/pipe"))
			if len(s.Problems) > 0 || openItems(s) != "pipe tray raised " || s.Next.ID != "work/cooler/reseal" {
				t.Errorf("open %q, next %v, problems %v", openItems(s), s.Next.ID, s.Problems)
			}
			var order []string
			for _, e := range s.History {
				order = append(order, string(e.Kind)+" "+e.By)
			}
			want := []string{"started phone", "planned phone", "done phone", "done tablet", "undo tablet", "done tablet", "done phone"}
			if !slices.Equal(order, want) {
				t.Errorf("the record reads %q, want %q", order, want)
			}
		})
	}
}

func TestAClockSetBackBeforeTheProgramStartsAgainLeavesTheRecordInOrder(t *testing.T) {
	d := newDevice("phone", 1, 0)
	s, err := d.Start(t.Context(), job.Started{Vehicle: "Tern van 1.4"})
	if err != nil {
		t.Fatal(err)
	}
	d.do(t, s.ID, job.UsePlan(smallPlan(), smallMap(), 1, nil), doStep("down/raised"))
	d.now = d.now.AddDate(-1, 0, 0)
	d.start("phone", 2)
	s = d.do(t, s.ID, doStep("down/tray"), job.UndoLast(""))
	ids := map[string]bool{}
	for i, e := range d.log.events {
		if i > 0 && e.ID <= d.log.events[i-1].ID || ids[e.ID] || len(e.ID) != 36 || e.ID[14] != '7' {
			t.Errorf("the id %s of record %d does not follow %s", e.ID, i, d.log.events[i-1].ID)
		}
		ids[e.ID] = true
	}
	if openItems(s) != "raised " || len(s.Problems) > 0 {
		t.Errorf("open %q, problems %v", openItems(s), s.Problems)
	}
	// Another job is not carried along: there the clock counts as it is.
	other, err := d.Start(t.Context(), job.Started{Vehicle: "another"})
	if err != nil || other.ID >= s.ID {
		t.Errorf("a job begun a year back has the id %s, not before %s (%v)", other.ID, s.ID, err)
	}
}

func TestIDsThatCannotBeFollowedAreLeftAlone(t *testing.T) {
	for _, id := range []string{"ffffffff-ffff-7fff-bfff-ffffffffffff", "zzz", "~"} {
		d := newDevice("phone", 1, 0)
		if _, err := d.Record(t.Context(), job.Event{ID: id, Job: "j", Kind: job.KindStarted, At: morning}); err != nil {
			t.Fatal(err)
		}
		s, err := d.Do(t.Context(), "j", job.WriteNote("", "wet"))
		if err != nil || len(s.Notes) != 1 || len(s.Notes[0].Event) != 36 {
			t.Errorf("behind %s: %v, %+v", id, err, s.Notes)
		}
	}
}

func TestTwoTorquesForOneBoltAreBothKeptAndShownOnBothDevices(t *testing.T) {
	torque := func(value, where string) job.Action {
		return job.SetBoltTorque(job.BoltTorqueSet{Item: "cover", Torque: access.Torque{Value: nm(value), Source: access.Maker, Where: where}})
	}
	here := coverBench(t, "", access.Maker, false)
	here.mapped(1)
	here.rec.By = "Ada"
	there := *here
	there.events, there.rec = slices.Clone(here.events), &job.Recorder{Now: here.clock, NewID: here.rec.NewID, By: "Ben"}
	here.do(torque("8 N·m", "sheet 3 (invented)"), torque("9 N·m", "sheet 4 (invented)"))
	there.do(torque("12 N·m", "sheet 5 (invented)"))

	both := [][]job.Event{slices.Concat(here.events, there.events), slices.Concat(there.events, here.events)}
	for i, events := range both {
		s, err := job.Fold(events)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Conflicts) != 1 || s.Conflicts[0].Resolved != "" {
			t.Fatalf("device %d: conflicts %+v, want one", i, s.Conflicts)
		}
		v := s.Conflicts[0].Values
		if len(v) != 2 || v[0].Value != "9 N·m" || v[0].By != "Ada" || v[1].Value != "12 N·m" || v[1].By != "Ben" {
			t.Errorf("device %d: values %+v", i, v)
		}
		if !slices.ContainsFunc(s.OpenItems(here.now), func(o job.OpenItem) bool { return o.Kind == "dispute" && o.Blocks }) {
			t.Errorf("device %d: nothing keeps the vehicle from being handed over", i)
		}
	}
	here.events = both[0]
	c := here.state().Conflicts[0]
	s := here.do(job.Resolve(c.Key, c.Values[0].Event, "sheet 5 is of another engine"))
	m := s.BoltMap("cover")
	if got := m.Torque(m.Bolts[0]).String(); got != "9 N·m" || s.Conflicts[0].Resolved == "" {
		t.Errorf("after it was settled: %s, %+v", got, s.Conflicts[0])
	}
	s = here.do(torque("12 N·m", "sheet 5 (invented)")) // Ada comes round to Ben's
	if m := s.BoltMap("cover"); m.Torque(m.Bolts[0]).String() != "12 N·m" || len(s.Conflicts) > 0 {
		t.Errorf("after both say the same: %s, %+v", m.Torque(m.Bolts[0]), s.Conflicts)
	}
}

func TestOnePersonOnTwoDevicesIsAskedWhichTorqueHolds(t *testing.T) {
	for name, test := range map[string]struct {
		here, there []string // torques written, one after another
		devices     [2]string
		want        []string // the values in dispute
	}{
		"different":                 {[]string{"9 N·m"}, []string{"12 N·m"}, [2]string{"phone k7mq", "phone bb4d"}, []string{"9 N·m Ada, phone k7mq", "12 N·m Ada, phone bb4d"}},
		"on the computer":           {[]string{"9 N·m"}, []string{"12 N·m"}, [2]string{"phone k7mq", ""}, []string{"9 N·m Ada, phone k7mq", "12 N·m Ada"}},
		"corrected on one":          {[]string{"8 N·m", "9 N·m"}, []string{"12 N·m"}, [2]string{"phone k7mq", "phone bb4d"}, []string{"9 N·m Ada, phone k7mq", "12 N·m Ada, phone bb4d"}},
		"the same":                  {[]string{"9 N·m"}, []string{"9 N·m"}, [2]string{"phone k7mq", "phone bb4d"}, nil},
		"the same, written finer":   {[]string{"9 N·m"}, []string{"9.0 N·m"}, [2]string{"phone k7mq", "phone bb4d"}, nil},
		"the same after correction": {[]string{"9 N·m"}, []string{"12 N·m", "9 N·m"}, [2]string{"phone k7mq", "phone bb4d"}, nil},
		"corrected on one device":   {[]string{"9 N·m"}, []string{"12 N·m"}, [2]string{"phone k7mq", "phone k7mq"}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			here := coverBench(t, "", access.Maker, false)
			here.mapped(1)
			there := *here
			there.events = slices.Clone(here.events)
			here.rec = &job.Recorder{Now: here.clock, NewID: here.rec.NewID, By: "Ada", Device: test.devices[0]}
			there.rec = &job.Recorder{Now: here.clock, NewID: here.rec.NewID, By: "Ada", Device: test.devices[1]}
			for b, values := range map[*bench][]string{here: test.here, &there: test.there} {
				for _, v := range values {
					b.do(job.SetBoltTorque(job.BoltTorqueSet{Item: "cover", Device: "somebody else's", Torque: access.Torque{Value: nm(v), Source: access.Maker, Where: "sheet 3 (invented)"}}))
				}
			}
			for _, events := range [][]job.Event{slices.Concat(here.events, there.events), slices.Concat(there.events, here.events)} {
				s, err := job.Fold(events)
				if err != nil {
					t.Fatal(err)
				}
				var got []string
				for _, c := range s.Conflicts {
					for _, v := range c.Values {
						got = append(got, v.Value+" "+v.Who())
					}
				}
				slices.Sort(got)
				slices.Sort(test.want)
				if !slices.Equal(got, test.want) {
					t.Errorf("in dispute are %q, want %q", got, test.want)
				}
			}
		})
	}
}
