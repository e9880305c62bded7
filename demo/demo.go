// Package demo is an invented vehicle and its jobs, to look at and to try.
//
// Start at [Fill], which puts them into an empty store. The vehicle, its maker
// and every value are made up; the map says so, and every page that shows one
// of its values repeats it.
package demo

import (
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// MapYAML is the access map of the invented vehicle.
//
//go:embed tern.yaml
var MapYAML []byte

// vehicle is how the demo's jobs name it.
const vehicle = "Tern van 1.4"

// A Store is what Fill writes to.
type Store interface {
	job.Log
	garage.Documents
}

// Fill puts the vehicle, its map, a shelf that lacks a few things, and three
// jobs into an empty store: one finished, one half apart, one planned. The
// jobs end shortly before now.
func Fill(ctx context.Context, st Store, now time.Time) error {
	m, err := access.Parse("tern.yaml", MapYAML)
	if err != nil {
		return fmt.Errorf("demo map: %w", err)
	}
	if err := fillGarage(ctx, st, m, now); err != nil {
		return err
	}
	jobs := []func(context.Context, Store, *access.Map, time.Time) error{finished, halfApart, planned}
	for _, fill := range jobs {
		if err := fill(ctx, st, m, now); err != nil {
			return err
		}
	}
	return nil
}

func fillGarage(ctx context.Context, st Store, m *access.Map, now time.Time) error {
	car, err := json.Marshal(garage.Vehicle{ID: "tern-1", Name: vehicle, Maps: []string{m.ID}, Invented: true})
	if err != nil {
		return err
	}
	shelf, err := json.Marshal(Shelf())
	if err != nil {
		return err
	}
	docs := []garage.Document{
		{Kind: garage.KindMap, ID: m.ID, At: now, Note: "demo", Body: MapYAML},
		{Kind: garage.KindVehicle, ID: "tern-1", At: now, Note: "demo", Body: car},
		{Kind: garage.KindShelf, ID: "shelf", At: now, Note: "demo", Body: shelf},
	}
	for _, d := range docs {
		if _, err := st.Put(ctx, d, 0); err != nil {
			return fmt.Errorf("demo %s: %w", d.Kind, err)
		}
	}
	return nil
}

// Shelf is what the demo's mechanic owns; a few things that its jobs need are
// missing on purpose.
func Shelf() garage.Shelf {
	return garage.Shelf{
		Tools: []string{
			"trolley jack", "axle stands", "10 mm socket", "10 mm spanner", "13 mm socket", "15 mm socket", "15 mm ring spanner",
			"17 mm socket", "18 mm socket", "19 mm socket", "16 mm socket", "8 mm socket", "7 mm socket", "breaker bar 19 mm", "breaker bar 1/2 in",
			"T20 bit", "T25 bit", "T30 bit", "clip lever", "flat screwdriver", "hose clip pliers", "8 L catch pan",
			"plastic scraper", "10 mm deep socket", "14 mm plug socket", "piston press",
			"torque wrench 5–25 N·m, ±4 %, hand 270 mm, 1/4 in", "torque wrench 20–120 N·m, ±4 %, hand 440 mm, 1/2 in", "10 mm crowfoot, 35 mm",
		},
		Supplies: []garage.Supply{
			{Name: "Brake cleaner", Amount: "400 ml"}, {Name: "engine oil", Amount: "2 L"}, {Name: "coolant", Amount: "1 L"},
			{Name: "Push clip 8 mm", Amount: "6"}, {Name: "Sump plug washer", Amount: "2"}, {Name: "Ceramic brake grease"},
		},
	}
}

// A hand records a demo job: it is the clock and the mechanic in one.
type hand struct {
	book  *job.Book
	at    time.Time
	state *job.State
	m     *access.Map
}

func start(ctx context.Context, st Store, m *access.Map, at time.Time, seed uint64, d job.Started) (*hand, error) {
	h := &hand{at: at, m: m}
	ids := job.NewIDs(func() time.Time { return h.at }, seeded(seed))
	h.book = job.NewBook(st, &job.Recorder{Now: func() time.Time { return h.at }, NewID: ids.New, By: "demo"})
	var err error
	h.state, err = h.book.Start(ctx, d)
	return h, err
}

// seeded makes the same ids in every demo folder.
func seeded(seed uint64) io.Reader { return rand.NewChaCha8([32]byte{byte(seed)}) }

func (h *hand) do(ctx context.Context, a job.Action) error {
	h.at = h.at.Add(20 * time.Second)
	s, err := h.book.Do(ctx, h.state.ID, a)
	if s != nil {
		h.state = s
	}
	return err
}

func (h *hand) plan(ctx context.Context, targets ...opening.Target) error {
	req := opening.Request{Map: h.m, Targets: targets, KeepClosed: []string{"refrigerant"}, Tools: Shelf().Tools}
	p, err := opening.Make(ctx, req)
	if err != nil {
		return fmt.Errorf("demo plan: %w", err)
	}
	var named []job.Target
	for _, t := range targets {
		named = append(named, job.Target{Item: t.Item, Name: h.m.Item(t.Item).Name, Action: t.Action})
	}
	if err := h.do(ctx, job.SetTargets(named, "")); err != nil {
		return err
	}
	return h.do(ctx, job.UsePlan(p, h.m, 1, nil))
}

// step does the next step: begun, its minutes pass, every piece counted.
func (h *hand) step(ctx context.Context, change func(*job.StepDone)) error {
	next := h.state.Next
	if next == nil {
		return fmt.Errorf("demo job %q has no next step", h.state.Title)
	}
	if err := h.do(ctx, job.Begin(next.ID)); err != nil {
		return err
	}
	h.at = h.at.Add(time.Duration(next.Expected * float64(time.Minute)))
	d := job.StepDone{Step: next.ID, Counts: map[string]int{}}
	pieces := 0
	for _, g := range next.Groups {
		n := g.Want
		if next.Closes && g.OutKnown {
			n = g.Out
		}
		d.Counts[g.ID] = n
		if !g.Loosen {
			pieces += n
		}
	}
	if next.Opens && pieces > 0 {
		d.Tray = string(rune('A' + h.state.Progress.DownDone%26))
	}
	for _, c := range h.state.Cautions(next.ID) {
		if c.HoldText() != "" && !c.Held {
			d.Held = append(d.Held, c.ID)
		}
	}
	if change != nil {
		change(&d)
	}
	return h.do(ctx, job.DoStep(d))
}

// through does steps until the way down, or everything, is behind.
func (h *hand) through(ctx context.Context, until func(*job.State) bool) error {
	for range 200 {
		if h.state.Next == nil || until(h.state) {
			return nil
		}
		if err := h.step(ctx, nil); err != nil {
			return err
		}
	}
	return fmt.Errorf("demo job %q does not end", h.state.Title)
}

// finished is a brake job of three weeks ago, released, with its follow-up.
func finished(ctx context.Context, st Store, m *access.Map, now time.Time) error {
	h, err := start(ctx, st, m, now.AddDate(0, 0, -21), 1, job.Started{
		Title: "Front left pads and drop link", Vehicle: vehicle, VehicleID: "tern-1", Odometer: "83,900 km",
		Complaint: "Knock over kerbs at the front left; pads near their end", MapID: m.ID,
	})
	if err != nil {
		return err
	}
	if err := h.plan(ctx, opening.Target{Item: "pads-left", Action: access.Replace}, opening.Target{Item: "drop-link-left", Action: access.Replace}); err != nil {
		return err
	}
	if err := h.through(ctx, func(*job.State) bool { return false }); err != nil {
		return err
	}
	if err := h.do(ctx, job.HadTrouble(job.TroubleMet{Step: "down/drop-link-left", What: "seized", Note: "Ball stud turned with the nut; held with the bit", Minutes: 8})); err != nil {
		return err
	}
	for _, t := range h.state.OpenTests() {
		if err := h.do(ctx, job.RecordTest(t.ID, passing(t), "")); err != nil {
			return err
		}
	}
	if err := h.do(ctx, job.CountTools(job.ToolsCounted{Counted: 9})); err != nil {
		return err
	}
	if err := h.do(ctx, job.LeaveFound(job.FoundNotDone{What: "Right pads at 4 mm", Severity: "soon", Advice: "Renew the right side too", By: "in 3,000 km"})); err != nil {
		return err
	}
	return h.do(ctx, job.ReleaseJob(job.Released{Who: "demo", Odometer: "83,904 km", Statement: "Front left pads and drop link renewed."}))
}

// passing is an answer that passes a test: the middle of its limits, or the
// first good word.
func passing(t *job.Test) string {
	switch {
	case t.Low != nil && t.High != nil:
		return fmt.Sprintf("%.1f", (*t.Low+*t.High)/2)
	case t.High != nil:
		return fmt.Sprintf("%.1f", *t.High*0.7)
	case t.Low != nil:
		return fmt.Sprintf("%.1f", *t.Low*1.2)
	case t.Unit != "":
		return "1"
	}
	for _, c := range t.Words {
		if c.Pass {
			return c.Text
		}
	}
	return ""
}

// halfApart is the main job, stopped in the middle yesterday: the oil cooler's
// seal and the belt behind the same covers.
func halfApart(ctx context.Context, st Store, m *access.Map, now time.Time) error {
	h, err := start(ctx, st, m, now.Add(-26*time.Hour), 2, job.Started{
		Title: "Oil cooler reseal and belt", Vehicle: vehicle, VehicleID: "tern-1", Odometer: "84,210 km",
		Complaint: "Oil on the front of the engine, belt squeals wet", MapID: m.ID,
	})
	if err != nil {
		return err
	}
	if err := h.plan(ctx, opening.Target{Item: "oil-cooler", Action: access.Reseal}, opening.Target{Item: "belt", Action: access.Replace}); err != nil {
		return err
	}
	if err := h.coolerBolts(ctx); err != nil {
		return err
	}
	steps := 7
	if err := h.through(ctx, func(s *job.State) bool { return s.Progress.Done >= steps }); err != nil {
		return err
	}
	if err := h.do(ctx, job.HadTrouble(job.TroubleMet{Step: "down/liner-right", What: "broken clip", Note: "Two push clips of the liner", Needs: []job.Wanted{{Name: "Push clip 8 mm", Amount: "2"}}})); err != nil {
		return err
	}
	return h.do(ctx, job.LeaveFound(job.FoundNotDone{What: "Track rod boot split, left", Severity: "soon", Advice: "Renew the boot"}))
}

// planned is the next job on the same vehicle, nothing opened yet.
func planned(ctx context.Context, st Store, m *access.Map, now time.Time) error {
	h, err := start(ctx, st, m, now.Add(-3*time.Hour), 3, job.Started{
		Title: "Alternator", Vehicle: vehicle, VehicleID: "tern-1", Odometer: "84,215 km",
		Complaint: "Charging voltage low, whine with the engine speed", MapID: m.ID,
	})
	if err != nil {
		return err
	}
	return h.plan(ctx, opening.Target{Item: "alternator", Action: access.Replace}, opening.Target{Item: "tensioner", Action: access.Inspect})
}
