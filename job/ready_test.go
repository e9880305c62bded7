package job_test

import (
	"slices"
	"strings"
	"testing"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

func line(t *testing.T, r job.Readiness, list, name string) job.ReadyLine {
	t.Helper()
	for _, l := range r.Lists {
		for _, line := range l.Lines {
			if l.ID == list && line.Name == name {
				return line
			}
		}
	}
	t.Fatalf("the list %s has no %q: %+v", list, name, r.Lists)
	return job.ReadyLine{}
}

func TestReadyIsWhatThePlanNeedsLessTheShelf(t *testing.T) {
	s := plannedBench(t).state()
	shelf := garage.Shelf{
		Tools:    []string{"10 MM  spanner"},
		Supplies: []garage.Supply{{Name: "brake cleaner", Amount: "250 ml"}, {Name: "Pipe seal", Amount: "2"}, {Name: "coolant"}},
	}
	r := job.Ready(s, shelf)
	for _, row := range []struct {
		list, name, need string
		status           job.ReadyStatus
		short            string
	}{
		{"tools", "jack", "", job.Missing, ""},
		{"tools", "10 mm socket", "", job.AtHand, ""}, // the spanner does as well
		{"pieces", "Pipe seal", "2", job.AtHand, ""},
		{"parts", "Cooler seal", "", job.Missing, ""},
		{"consumables", "Brake cleaner", "300 mL", job.Missing, "50 mL"}, // 100 ml + 0.2 L
		{"fluids", "coolant", "", job.NotKnownYet, ""},
		{"containers", "container for coolant", "", job.Missing, ""},
		{"spares", "Tray clip", "", job.Missing, ""},
	} {
		got := line(t, r, row.list, row.name)
		if got.Need != row.need || got.Status != row.status || got.Short != row.short {
			t.Errorf("%s, %s: need %q, %s, short %q; want %q, %s, %q", row.list, row.name, got.Need, got.Status, got.Short, row.need, row.status, row.short)
		}
	}
	if r.NoReturn == nil || r.NoReturn.ID != "down/pipe" || !r.Tight {
		t.Errorf("no return %+v, tight %t", r.NoReturn, r.Tight)
	}
	if r.Missing != 4 || r.Unknown != 1 { // jack, cooler seal, cleaner, container; a spare is not missed
		t.Errorf("%d missing, %d not known; want 4 and 1", r.Missing, r.Unknown)
	}
}

func TestABlankIsNotANone(t *testing.T) {
	b := plannedBench(t)
	r := job.Ready(b.state(), garage.Shelf{})
	for _, l := range r.Lists {
		if l.ID == "pieces" && (l.None || strings.Join(l.NotKnown, ",") != "Raised") {
			t.Errorf("pieces: none %t, not known %v; want Raised not known, and the tray's none not", l.None, l.NotKnown)
		}
		if l.ID == "tools" && strings.Join(l.NotKnown, ",") != "Charge pipe,Oil cooler (reseal)" {
			t.Errorf("tools not known of %v", l.NotKnown)
		}
	}
	s := b.do(job.SayNone("tools"))
	for _, l := range job.Ready(s, garage.Shelf{}).Lists {
		if l.ID == "tools" && len(l.NotKnown) > 0 {
			t.Errorf("after an explicit none the tools of %v are still not known", l.NotKnown)
		}
	}
}

func TestWhatIsMarkedIsAtHand(t *testing.T) {
	b := plannedBench(t)
	s := b.do(job.Mark("tools:jack", "jack", job.Borrowed, ""), job.Mark("parts:cooler seal", "Cooler seal", job.Ordered, ""))
	r := job.Ready(s, garage.Shelf{})
	if got := line(t, r, "tools", "jack").Status; got != job.AtHand {
		t.Errorf("the borrowed jack is %q", got)
	}
	if got := line(t, r, "parts", "Cooler seal").Status; got != job.OnOrder {
		t.Errorf("the seal is %q", got)
	}
}

func TestTheListToShareNamesWhatIsMissing(t *testing.T) {
	b := plannedBench(t)
	s := b.do(job.PutOnList(job.Wanted{Name: "Tray clip", Amount: "2"}, "", "broken"), job.Mark("tools:jack", "jack", job.Have, ""))
	r := job.Ready(s, garage.Shelf{})
	text := r.BuyList()
	for _, want := range []string{"- 10 mm socket (or 10 mm spanner)\n", "- 2 Pipe seal\n", "- Tray clip (needed about 30 times in 100: broken clip)\n", "Found necessary along the way:\n- 2 Tray clip\n"} {
		if !strings.Contains(text, want) {
			t.Errorf("the list lacks %q:\n%s", want, text)
		}
	}
	if strings.Contains(text, "jack") {
		t.Errorf("the list still wants the jack:\n%s", text)
	}
}

func TestWhatWasFoundNecessaryIsHeldAgainstTheShelf(t *testing.T) {
	b := plannedBench(t)
	s := b.do(job.PutOnList(job.Wanted{Name: "Tray clip", Amount: "2"}, "", "broken"),
		job.PutOnList(job.Wanted{Name: "Push clip", Size: "8 mm", Amount: "3"}, "", "broken"),
		job.PutOnList(job.Wanted{Name: "thread chaser"}, "", "worn thread"),
		job.PutOnList(job.Wanted{Name: "Grease", Amount: "20 g"}, "", "dry"),
		job.PutOnList(job.Wanted{Name: "Boot"}, "", "split"))
	r := job.Ready(s, garage.Shelf{Tools: []string{"Thread chaser"}, Supplies: []garage.Supply{
		{Name: "tray clip", Amount: "5"}, {Name: "Push clip 8 mm", Amount: "1"}, {Name: "Grease"},
	}})
	want := []job.ReadyLine{
		{Name: "Tray clip", Need: "2", Status: job.AtHand, OnHand: "5"},
		{Name: "Push clip 8 mm", Need: "3", Status: job.Missing, OnHand: "1", Short: "2"},
		{Name: "thread chaser", Status: job.AtHand},
		{Name: "Grease", Need: "20 g", Status: job.NotKnownYet},
		{Name: "Boot", Status: job.Missing},
	}
	if len(r.Along) != len(want) {
		t.Fatalf("there are %d lines: %+v", len(r.Along), r.Along)
	}
	for i, w := range want {
		g := r.Along[i]
		if g.Name != w.Name || g.Need != w.Need || g.Status != w.Status || g.OnHand != w.OnHand || g.Short != w.Short {
			t.Errorf("line %d: %+v, want %+v", i, g, w)
		}
	}
	_, found, _ := strings.Cut(r.BuyList(), "Found necessary along the way:\n")
	if found != "- 2 more Push clip 8 mm\n- 20 g Grease\n- Boot\n" {
		t.Errorf("to get along the way:\n%s", found)
	}
}

func TestWhatIsDoneIsNoLongerNeeded(t *testing.T) {
	r := job.Ready(together(t).state(), garage.Shelf{})
	for _, l := range r.Lists {
		if len(l.Lines) > 0 {
			t.Errorf("%s still wants %+v", l.ID, l.Lines)
		}
	}
	r = job.Ready(apart(t).state(), garage.Shelf{})
	line(t, r, "pieces", "Pipe seal")
	for _, l := range r.Lists {
		if l.ID == "containers" && len(l.Lines) > 0 {
			t.Errorf("what has run out is to be caught again: %+v", l.Lines)
		}
		if l.ID == "fluids" && len(l.Lines) != 1 {
			t.Errorf("what has run out is not to be filled: %+v", l.Lines)
		}
	}
}

func TestAPieceIsNotAskedForTwice(t *testing.T) {
	m := smallMap()
	m.Items[2].Ways[0].Fasteners.Items[0].Replace = true
	m.Items[2].Ways[0].SingleUse.Items = append(m.Items[2].Ways[0].SingleUse.Items, access.Piece{Name: "Pipe bolt M6", Count: 4})
	m.Items[3].Ways[0].SingleUse = list(access.Piece{Name: "Cooler seal"})
	plan := smallPlan()
	off := opening.Step{ID: "down/cooler", Phase: opening.Down, Item: "cooler", Name: "Oil cooler", Way: "off"}
	on := opening.Step{ID: "up/cooler", Phase: opening.Up, Item: "cooler", Name: "Oil cooler", Way: "off", Back: true}
	plan.Steps = slices.Insert(slices.Insert(plan.Steps, 4, on), 3, off)
	b := newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	r := job.Ready(b.do(job.UsePlan(plan, m, 1, nil)), garage.Shelf{})
	var got []string
	for _, l := range r.Lists {
		for _, line := range l.Lines {
			if l.ID == "parts" || l.ID == "pieces" {
				got = append(got, strings.TrimSpace(line.Need+" "+line.Name))
			}
		}
	}
	if want := []string{"Cooler seal", "2 Pipe seal", "4 Pipe bolt M6"}; !slices.Equal(got, want) {
		t.Errorf("asked for %q, want %q", got, want)
	}
}
