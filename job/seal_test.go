package job_test

import (
	"slices"
	"strings"
	"testing"

	"lastbolt/calc"
	"lastbolt/calc/seal"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

const pipeCoolant = "joint/pipe/coolant"

func TestWordsOfTheMapAndOfTheSealEngineAgree(t *testing.T) {
	var kinds, materials []string
	for _, k := range seal.Kinds() {
		kinds = append(kinds, string(k))
	}
	for _, m := range seal.Materials() {
		materials = append(materials, string(m))
	}
	if got, want := strings.Join(access.SealKinds, ", "), strings.Join(kinds, ", "); got != want {
		t.Errorf("kinds of seal on a map: %s; of the engine: %s", got, want)
	}
	if got, want := strings.Join(access.SealMaterials, ", "), strings.Join(materials, ", "); got != want {
		t.Errorf("materials on a map: %s; of the engine: %s", got, want)
	}
}

func TestEveryOpenedJointHasASealOfItsOwn(t *testing.T) {
	s := plannedBench(t).state()
	var ids []string
	for _, j := range s.Seals {
		ids = append(ids, j.ID)
		if j.Named() || j.Unfit() {
			t.Errorf("%s is named %q although nobody said so", j.ID, j.Text())
		}
	}
	// The guard of the tray seals nothing.
	if got := strings.Join(ids, " "); got != "joint/pipe/coolant joint/pipe/air-intake" {
		t.Errorf("seals of %s", got)
	}
	for _, id := range ids {
		if s = together(t).state(); s.TestByID(id) == nil {
			t.Errorf("the joint %s has a seal and no leak test", id)
		}
	}
}

func TestWrongMaterialKeepsAJointFromBeingClosed(t *testing.T) {
	b := apart(t)
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Size: "214", Material: seal.NBR}))
	j := b.state().Seal(pipeCoolant)
	if level, why := j.Judge(); level != calc.Bad || !strings.Contains(why[0].Say, "110 °C") {
		t.Fatalf("NBR in hot coolant is judged %s: %+v", level, why)
	}
	e := b.refused(job.CodeNotYet, doStep("up/pipe"))
	if !strings.Contains(e.Text, "EPDM") {
		t.Errorf("%q does not say what to take", e.Text)
	}
	t.Run("until another is taken", func(t *testing.T) {
		b := apart(t)
		b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Material: seal.NBR}))
		b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Material: seal.EPDM}))
		how, ok := b.state().Seal(pipeCoolant).How()
		if !ok || how.Manner != seal.Wet || !strings.Contains(strings.Join(how.Never, " "), "mineral grease") {
			t.Errorf("it goes in %+v", how)
		}
		b.do(doStep("up/pipe"))
	})
	t.Run("or it is said why", func(t *testing.T) {
		b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Anyway: "to get it to the shop, two miles"}))
		s := b.do(doStep("up/pipe"))
		test := s.TestByID(pipeCoolant)
		if test == nil || !test.Danger || !strings.Contains(test.How, "two miles") {
			t.Errorf("the leak test of a joint closed against advice is %+v", test)
		}
		if !slices.ContainsFunc(s.FollowUps, func(f job.FollowUp) bool {
			return strings.Contains(f.Title, "renew the seal fitted against advice") && f.Days == 1
		}) {
			t.Errorf("nobody is told to renew it: %+v", s.FollowUps)
		}
	})
}

func TestWhyItIsFittedHoldsOnlyForThatSeal(t *testing.T) {
	b := apart(t)
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Material: seal.NBR}))
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Anyway: "for the way home"}))
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Material: seal.ACM}))
	if j := b.state().Seal(pipeCoolant); j.Anyway != "" || !j.Unfit() {
		t.Errorf("another wrong material is excused by %q", j.Anyway)
	}
	b.refused(job.CodeWrong, job.SetSeal(job.SealSet{Joint: "joint/pipe/air-intake", Anyway: "no reason"}))
}

func TestSealantWithoutAWaitIsOpenUntilOneIsStarted(t *testing.T) {
	open := func(s *job.State) bool {
		return slices.ContainsFunc(s.OpenItems(morning), func(o job.OpenItem) bool {
			return o.Kind == "wait" && o.Step == "up/pipe" && strings.Contains(o.Text, "no wait was started")
		})
	}
	b := apart(t)
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.Silicone}))
	if s := b.state(); open(s) || len(s.Uncured()) != 0 {
		t.Error("sealant is said to cure on a joint that is still apart")
	}
	if s := b.do(doStep("up/pipe")); !open(s) || len(s.Uncured()) != 1 {
		t.Errorf("the joint is closed, no wait runs, and nothing says so: %+v", s.OpenItems(morning))
	}
	s := b.do(job.StartWait(job.WaitStarted{Step: "up/pipe", Kind: "cure", Minutes: 60}))
	if open(s) || len(s.Uncured()) != 0 {
		t.Error("the wait was started and is still asked for")
	}
	ring := apart(t)
	ring.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Material: seal.EPDM}))
	if s := ring.do(doStep("up/pipe")); len(s.Uncured()) != 0 {
		t.Error("a ring is said to cure")
	}
}

func TestMeasuredRingIsPutInItsGroove(t *testing.T) {
	b := apart(t)
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Size: "214", Material: seal.EPDM, Seat: seal.Piston,
		Groove: *length("25.6 mm"), Mate: *length("31.35 mm"), Width: *length("4.95 mm")}))
	if level, why := b.state().Seal(pipeCoolant).Judge(); level != calc.Good {
		t.Errorf("a ring that fits is judged %s: %+v", level, why)
	}
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Size: "120"})) // 2.62 mm thick in a groove 2.88 mm deep
	if level, why := b.state().Seal(pipeCoolant).Judge(); level != calc.Bad || !strings.Contains(why[0].Say, "nothing squeezes it") {
		t.Errorf("a ring too thin is judged %s: %+v", level, why)
	}
	b.refused(job.CodeNotYet, doStep("up/pipe"))
}

func TestReadyListOrdersTheSealThatTheMapDoesNot(t *testing.T) {
	b := plannedBench(t)
	lines := func() string {
		var all []string
		for _, l := range job.Ready(b.state(), garage.Shelf{}).Lists {
			if l.ID == "pieces" || l.ID == "consumables" {
				for _, line := range l.Lines {
					all = append(all, line.Name)
				}
			}
		}
		return strings.Join(all, "; ")
	}
	if got := lines(); !strings.Contains(got, "Pipe seal") {
		t.Fatalf("the ready list has %s", got)
	}
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Size: "214", Material: seal.EPDM}))
	if got := lines(); strings.Contains(got, "O-ring") {
		t.Errorf("a seal that the map lists is ordered twice: %s", got)
	}
	m := smallMap()
	m.Items[2].Ways[0].SingleUse = list[access.Piece]()
	m.Items[2].Ways[0].Opens[0].Seal = access.Seal{Kind: "o-ring", Size: "20x2.65", Material: "EPDM"}
	m.Items[2].Ways[0].Opens[1].Seal = access.Seal{Kind: "silicone sealant"}
	b = newBench(t, job.Started{Vehicle: "Tern van 1.4"})
	b.do(job.UsePlan(smallPlan(), m, 1, nil))
	if got := lines(); !strings.Contains(got, "O-ring for Charge pipe, 20x2.65, EPDM") || !strings.Contains(got, "Silicone sealant") {
		t.Errorf("the seals that the map names are not on the ready list: %s", got)
	}
	// What is ordered is asked for when it goes on, and only then; sealant is no
	// piece.
	st := b.state()
	for _, step := range st.Steps {
		var names []string
		for _, p := range st.Renewals(step) {
			names = append(names, p.Name)
		}
		want := ""
		if step.Item == "pipe" && step.Closes {
			want = "O-ring for Charge pipe"
		}
		if got := strings.Join(names, "; "); (step.Item == "pipe" || !step.Closes) && got != want {
			t.Errorf("%s asks for new %q, want %q", step.ID, got, want)
		}
	}
	if j := b.state().Seal(pipeCoolant); !j.Mapped || j.Text() != "o-ring 20x2.65, EPDM" {
		t.Errorf("the map's seal is %+v", j)
	}
}

func TestSealsThatCannotBeAreRefused(t *testing.T) {
	b := apart(t)
	for name, d := range map[string]job.SealSet{
		"an unknown material":   {Material: "rubber"},
		"an unknown kind":       {Kind: "string"},
		"an unknown fluid":      {Fluid: "beer"},
		"a size of no meaning":  {Kind: seal.ORing, Size: "large"},
		"a depth below nothing": {Depth: *length("-2 mm")},
		"a doubt of a hand":     {Error: *length("80 mm")},
		"heat of the sun":       {Hot: quantity.MustParse[quantity.Temperature]("5500 °C")},
		"a seat of no kind":     {Seat: "sofa"},
	} {
		d.Joint = pipeCoolant
		t.Run(name, func(t *testing.T) { b.refused(job.CodeWrong, job.SetSeal(d)) })
	}
	b.refused(job.CodeUnknown, job.SetSeal(job.SealSet{Joint: "joint/tray/guard", Kind: seal.ORing}))
}

func TestASealRecordedBeforeAMapChangeIsKept(t *testing.T) {
	b := apart(t)
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Material: seal.EPDM}))
	m := smallMap()
	m.Items[2].Ways[0].Opens = nil
	s := b.do(job.UsePlan(smallPlan(), m, 4, nil))
	if j := s.Seal(pipeCoolant); j == nil || j.Material != seal.EPDM {
		t.Errorf("what was recorded of a seal is gone: %+v", j)
	}
}

func TestAMapOfTheJobNamesTheSealsThatWouldDo(t *testing.T) {
	b := together(t)
	b.do(job.SetSeal(job.SealSet{Joint: pipeCoolant, Kind: seal.ORing, Material: seal.NBR})) // too hot for it
	b.do(job.SetSeal(job.SealSet{Joint: "joint/pipe/air-intake", Kind: seal.ORing, Size: "214", Material: seal.FKM}))
	for _, it := range job.ToMap(b.state()).Items {
		if it.Name != "Charge pipe" {
			continue
		}
		opens := it.Ways[0].Opens
		if opens[1].Seal != (access.Seal{Kind: "o-ring", Size: "214", Material: "FKM"}) || opens[0].Seal != (access.Seal{}) {
			t.Errorf("the map's joints are %+v", opens)
		}
		return
	}
	t.Error("the pipe is not on the map")
}
