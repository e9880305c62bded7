package paper

import (
	"fmt"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/quantity"
)

// A jobMaker records events as a phone would, a minute apart.
type jobMaker struct {
	t      *testing.T
	rec    job.Recorder
	clock  time.Time
	events []job.Event
	n      int
}

func newJob(t *testing.T) *jobMaker {
	m := &jobMaker{t: t, clock: time.Date(2026, 3, 7, 9, 30, 0, 0, time.UTC)}
	m.rec = job.Recorder{
		By:    "Nell",
		Now:   func() time.Time { m.clock = m.clock.Add(time.Minute); return m.clock },
		NewID: func() string { m.n++; return fmt.Sprintf("01900000-0000-7000-8000-%012d", m.n) },
	}
	return m
}

func (m *jobMaker) add(kind job.Kind, data any) {
	m.events = append(m.events, m.rec.Event("job-1", kind, data))
}

func (m *jobMaker) state() *job.State {
	m.t.Helper()
	s, err := job.Fold(m.events)
	if err != nil {
		m.t.Fatalf("Fold: %v", err)
	}
	return s
}

func given[T any](items ...T) access.List[T] { return access.List[T]{Given: true, Items: items} }

func nm(text string, source access.Source, where string) access.Torque {
	return access.Torque{Value: quantity.MustParse[quantity.Torque](text), Source: source, Where: where}
}

// smallMap is a made-up corner of a made-up vehicle with one of everything the
// pages have to show.
func smallMap() []access.Item {
	least := 1.5
	return []access.Item{
		{ID: "cold", Name: "Engine cold", Kind: access.Condition, Ways: []access.Way{{
			ID: "wait", Minutes: access.BothWays{Off: access.Span{Low: 1, Likely: 1, High: 2}},
			Tools: access.List[access.Tool]{Given: true}, Fasteners: access.List[access.Fastener]{Given: true},
			Hazards: []string{"hot"}, Notes: "Not before the hose is soft and cool to the touch."}}},
		{ID: "raised", Name: "Front wheels up on stands", Kind: access.Condition, Repeats: true, Immobile: true, Ways: []access.Way{{
			ID: "stands", Tools: given(access.Tool{Any: []string{"trolley jack"}}, access.Tool{Any: []string{"axle stands"}}),
			Fasteners: access.List[access.Fastener]{Given: true}, Hazards: []string{"jack", "alone"}}}},
		{ID: "tray", Name: "Undertray", Ways: []access.Way{{
			ID: "off", Tools: given(access.Tool{Any: []string{"10 mm socket", "10 mm ring spanner"}}, access.Tool{Any: []string{"T30 bit"}}),
			Fasteners: given(
				access.Fastener{ID: "bolts", Name: "Tray bolts", Count: 8, Thread: "M6", Length: quantity.MustParse[quantity.Length]("16 mm"), Head: "10 mm hex", Torque: nm("8 N·m", access.Maker, "sheet 1")},
				access.Fastener{ID: "screws", Name: "Rear screws", Count: 3, Thread: "ST4.8", Head: "T30"}),
			Opens: []access.Joint{{Kind: "guard", Name: "Undertray"}}, Hazards: []string{"jack", "eyes"}}}},
		{ID: "pipe", Name: "Charge pipe", Ways: []access.Way{{
			ID: "off", Tools: given(access.Tool{Any: []string{"7 mm socket"}}),
			Fasteners: given(
				access.Fastener{ID: "clamps", Name: "Hose clamps", Count: 2, Head: "7 mm hex", Torque: nm("4.5 N·m", access.CommonPractice, "")},
				access.Fastener{ID: "bracket", Name: "Bracket bolt", Count: 1, Thread: "M8x1.25", Class: "8.8", Torque: nm("22 N·m", access.Published, "table 3"), Replace: true}),
			SingleUse:   given(access.Piece{Name: "Pipe seal", Size: "52 mm"}),
			Consumables: given(access.Consumable{Name: "Silicone grease", Amount: "2 ml"}),
			Opens:       []access.Joint{{Kind: "air intake", Name: "Charge pipe"}}}}},
		{ID: "hose", Name: "Lower hose", Immobile: true, Ways: []access.Way{{
			ID: "off", Fasteners: given(access.Fastener{ID: "clip", Name: "Spring clip", Count: 1, Loosen: true}),
			Fluids: given(access.Fluid{Name: "coolant", Amount: quantity.MustParse[quantity.Volume]("4.1 L"), From: "lower hose"}),
			Opens:  []access.Joint{{Kind: "coolant", Name: "Lower hose"}}, Hazards: []string{"coolant"},
			Trouble: []access.Trouble{{What: "Clip has lost its spring", Odds: 0.12, Needs: []access.Piece{{Name: "Hose clip 38 mm"}}}}}}},
		{ID: "cooler", Name: "Oil cooler", Critical: "", Ways: []access.Way{{ID: "off",
			Fasteners: given(access.Fastener{ID: "nuts", Name: "Cooler nuts", Count: 4, Thread: "M8", Torque: nm("20 N·m", access.Measured, "")})}},
			Work: []access.Work{{Action: access.Reseal, Minutes: access.Span{Low: 10, Likely: 15, High: 25},
				Tools: given(access.Tool{Any: []string{"plastic scraper"}}), Parts: given(access.Piece{Name: "Cooler gasket", Number: "HP-1140"}),
				Consumables: given(access.Consumable{Name: "Cleaner", Amount: "50 ml"}), Tests: []access.Test{{Name: "Oil pressure, warm idle", Unit: "bar", Low: &least, Source: access.Maker, Where: "sheet 4"}},
				Notes: "Both faces clean and dry before the gasket goes on."}}},
	}
}

func smallPlan() job.Planned {
	wait := &access.Wait{Kind: "cool", Minutes: access.Span{Low: 30, Likely: 45, High: 90}, Source: "common practice"}
	drain := &access.Wait{Kind: "drain", Minutes: access.Span{Low: 5, Likely: 6, High: 9}}
	step := func(phase opening.Phase, item, name, way string, hand float64) opening.Step {
		return opening.Step{ID: string(phase) + "/" + item, Phase: phase, Item: item, Name: name, Way: way, Hand: hand, Hands: "below"}
	}
	steps := []opening.Step{
		step(opening.Down, "cold", "Engine cold", "wait", 1),
		step(opening.Down, "raised", "Front wheels up on stands", "stands", 6),
		step(opening.Down, "tray", "Undertray", "off", 5),
		step(opening.Down, "pipe", "Charge pipe", "off", 7),
		step(opening.Down, "hose", "Lower hose", "off", 4),
		step(opening.Down, "cooler", "Oil cooler", "off", 9),
		{ID: "work/cooler/reseal", Phase: opening.Bottom, Item: "cooler", Name: "Oil cooler", Action: access.Reseal, Hand: 16},
		step(opening.Up, "cooler", "Oil cooler", "off", 11),
		step(opening.Up, "hose", "Lower hose", "off", 5),
		step(opening.Up, "pipe", "Charge pipe", "off", 8),
		step(opening.Up, "tray", "Undertray", "off", 6),
		{ID: "up/fill-coolant", Phase: opening.Up, Name: "coolant", Fluid: "coolant", Back: true, Hand: 8},
		step(opening.Up, "raised", "Front wheels up on stands", "stands", 4),
		step(opening.Up, "cold", "Engine cold", "wait", 0),
	}
	steps[0].Wait, steps[4].Wait = wait, drain
	steps[5].People = 2
	return job.Planned{
		Plan:  opening.Plan{MapID: "corner", Targets: []opening.Target{{Item: "cooler", Action: access.Reseal}}, Steps: steps, Minutes: 131, Bound: 131, Proven: true, NoReturn: 4},
		Items: smallMap(), MapID: "corner", MapName: "Corner of a van", MapVersion: 3, Invented: true,
	}
}

func planned(t *testing.T) *jobMaker {
	m := newJob(t)
	m.add(job.KindStarted, job.Started{Title: "Oil cooler weeps", Vehicle: "Tern van 1.4, 2011", Odometer: "84,200 km", Complaint: "Oil on the undertray after a night"})
	m.add(job.KindPlanned, smallPlan())
	return m
}

// halfApart is a job left at the lower hose.
func halfApart(t *testing.T) *jobMaker {
	m := planned(t)
	m.add(job.KindDone, job.StepDone{Step: "down/cold"})
	m.add(job.KindDone, job.StepDone{Step: "down/raised", Held: []string{"jack"}})
	m.add(job.KindDone, job.StepDone{Step: "down/tray", Counts: map[string]int{"bolts": 7, "screws": 3}, Tray: "A", Minutes: 9, Sizes: map[string]string{"screws": "one is M6"}})
	m.add(job.KindTrouble, job.TroubleMet{Step: "down/tray", Group: "bolts", What: "seized", Note: "front left, came with heat", Minutes: 12, Needs: []job.Wanted{{Name: "Spring nut M6", Amount: "1"}}})
	m.add(job.KindNote, job.NoteMade{Step: "down/pipe", Text: "The bracket bolt is hidden behind the loom."})
	m.add(job.KindBegun, job.Begun{Step: "down/pipe"})
	return m
}

// finished is a job done and released.
func finished(t *testing.T) *jobMaker {
	m := halfApart(t)
	m.add(job.KindDone, job.StepDone{Step: "down/pipe", Counts: map[string]int{"clamps": 2, "bracket": 1}, Tray: "B"})
	m.add(job.KindDone, job.StepDone{Step: "down/hose", Counts: map[string]int{"clip": 1}})
	m.add(job.KindDone, job.StepDone{Step: "down/cooler", Counts: map[string]int{"nuts": 4}, Tray: "C"})
	m.add(job.KindPhoto, job.PhotoTaken{Step: "down/cooler", File: "aa11", Note: "gasket face"})
	m.add(job.KindPhoto, job.PhotoTaken{Step: "down/cooler", File: "bb22"})
	m.add(job.KindPhoto, job.PhotoTaken{File: "cc33", Note: "bay before"})
	m.add(job.KindDone, job.StepDone{Step: "work/cooler/reseal", Minutes: 22})
	m.add(job.KindDone, job.StepDone{Step: "up/cooler", Counts: map[string]int{"nuts": 4}, Tightened: []job.Tightened{{Group: "nuts", Value: "20 N·m", Source: access.Measured, With: "small wrench", Marked: true}}})
	m.add(job.KindDone, job.StepDone{Step: "up/hose", Counts: map[string]int{"clip": 1}})
	m.add(job.KindDone, job.StepDone{Step: "up/pipe", Counts: map[string]int{"clamps": 2, "bracket": 1}, Renewed: map[string]bool{"Pipe seal": true}})
	m.add(job.KindDone, job.StepDone{Step: "up/tray", Counts: map[string]int{"bolts": 6, "screws": 3}})
	m.add(job.KindExplained, job.CountExplained{Item: "tray", Group: "bolts", Out: 7, Back: 6, Why: "one sheared, plate nut ordered"})
	m.add(job.KindDone, job.StepDone{Step: "up/fill-coolant"})
	m.add(job.KindDone, job.StepDone{Step: "up/raised"})
	m.add(job.KindDone, job.StepDone{Step: "up/cold"})
	m.add(job.KindToolsCounted, job.ToolsCounted{Counted: 31, Missing: []string{"T30 bit"}, Declared: map[string]string{"T30 bit": "broken, thrown away"}})
	m.add(job.KindFoundNotDone, job.FoundNotDone{What: "Right drive shaft boot cracked", Severity: "soon", Advice: "Renew it with the next oil change", By: "June"})
	s := m.state()
	for _, test := range s.Tests {
		value := "2.4"
		if len(test.Words) > 0 {
			value = test.Words[0].Text
		}
		m.add(job.KindTest, job.TestRead{Test: test.ID, Name: test.Name, Value: value, Unit: test.Unit, Pass: true})
	}
	m.add(job.KindReleased, job.Released{Who: "Nell Okafor", Odometer: "84,212 km", Statement: "Resealed, run warm, dry.", Open: []string{"Boot of the right drive shaft is cracked: soon."}})
	m.add(job.KindAmended, job.Amended{Who: "Nell Okafor", Text: "Plate nut fitted on 20 March."})
	return m
}

// longJob has a plan of n things to take off and put back.
func longJob(t *testing.T, n int, name func(i int) string) *jobMaker {
	m := newJob(t)
	d := job.Planned{MapID: "long", MapName: "Long"}
	var up []opening.Step
	for i := range n {
		id := fmt.Sprintf("item-%d", i)
		d.Items = append(d.Items, access.Item{ID: id, Name: name(i), Ways: []access.Way{{ID: "off",
			Fasteners: given(access.Fastener{ID: "bolts", Name: "Bolts of " + name(i), Count: i + 1, Thread: "M6"})}}})
		d.Plan.Steps = append(d.Plan.Steps, opening.Step{ID: "down/" + id, Phase: opening.Down, Item: id, Name: name(i), Way: "off", Hand: float64(i%7 + 1)})
		up = append([]opening.Step{{ID: "up/" + id, Phase: opening.Up, Item: id, Name: name(i), Way: "off", Hand: float64(i%5 + 1)}}, up...)
	}
	d.Plan.Steps = append(d.Plan.Steps, opening.Step{ID: "work/item-0/replace", Phase: opening.Bottom, Item: "item-0", Name: name(0), Action: access.Replace, Hand: 20})
	d.Plan.Steps = append(d.Plan.Steps, up...)
	m.add(job.KindStarted, job.Started{Title: name(0), Vehicle: name(1), Complaint: name(2)})
	m.add(job.KindPlanned, d)
	return m
}

// crowded has one item with so many fastener groups, cautions and notes that
// its step is taller than a page.
func crowded(t *testing.T) *job.State {
	m := newJob(t)
	it := access.Item{ID: "panel", Name: "Panel", Immobile: true, Ways: []access.Way{{ID: "off", Notes: "Mind the loom.", Hazards: []string{"jack", "eyes", "fuel"}}}}
	for i := range 45 {
		it.Ways[0].Fasteners.Items = append(it.Ways[0].Fasteners.Items, access.Fastener{
			ID: fmt.Sprint("g", i), Name: fmt.Sprint("Group ", i), Count: i, Thread: "M5", Torque: access.Torque{Then: "then 90 degrees"}})
	}
	step := opening.Step{ID: "down/panel", Phase: opening.Down, Item: "panel", Name: "Panel", Way: "off"}
	up := step
	up.ID, up.Phase = "up/panel", opening.Up
	m.add(job.KindStarted, job.Started{Title: "Crowded"})
	m.add(job.KindPlanned, job.Planned{MapID: "crowded", Plan: opening.Plan{Steps: []opening.Step{step, up}}, Items: []access.Item{it}, Invented: true})
	for range 30 {
		m.add(job.KindNote, job.NoteMade{Step: "down/panel", Text: "Something was seen here that has to be told at some length, since it will be needed again on the way back."})
	}
	m.add(job.KindDone, job.StepDone{Step: "down/panel"})
	m.add(job.KindPaused, job.Paused{Why: "waiting for a gasket", Until: "Friday", Loose: []string{"Left arm", "Right arm", "Subframe bolts, all six, only hand tight"}, MustNotStart: []string{"Engine: no oil in it", "Heater"}})
	return m.state()
}
