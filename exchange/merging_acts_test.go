package exchange_test

import (
	"fmt"

	"pgregory.net/rapid"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// mergingMap is an invented van: with it raised, tray and cover come off the oil
// cooler, the cover by a map of its bolts.
const mergingMap = `format: lastbolt access map 1
id: tern
name: Invented van
invented: true
items:
  - id: raised
    name: Raised
    kind: condition
    repeats: true
    immobile: true
    ways:
      - {id: stands, minutes: {off: 6, on: 4}, tools: [trolley jack], fasteners: none}
  - id: tray
    name: Undertray
    ways:
      - id: "off"
        needs: [raised]
        minutes: {off: 6, on: 8}
        fasteners:
          - {id: screws, name: screws, count: 6}
        single_use: [{name: Tray clip, count: 2}]
        opens: [{kind: guard, name: Undertray}]
  - id: cover
    name: Cooler cover
    ways:
      - id: "off"
        needs: [tray]
        minutes: {off: 9, on: 12}
        fasteners:
          - {id: bolts, name: Cover bolts, count: 4, thread: M6, torque: {value: 10 N·m, source: maker's document, where: sheet 3 (invented)}}
        fluids: [{name: engine oil, amount: 0.3 L}]
        opens: [{kind: oil, name: Cover}]
  - id: cooler
    name: Oil cooler
    ways:
      - {id: "off", needs: [cover], minutes: {off: 20, on: 20}}
    work:
      - action: reseal
        needs: [cover]
        minutes: 10
        parts: [{name: Cooler seal}]
        tests: [{name: "Oil pressure, hot idle", unit: bar, low: 1, source: maker's document, where: sheet 4 (invented)}]
`

// drawAction is something a person might do at a device, sensible or not; what
// is refused records nothing.
func (w *shop) drawAction(n *node, s *job.State) (job.Action, string) {
	step := w.drawStep(s)
	switch rapid.IntRange(0, 25).Draw(w.rt, "act") {
	default: // most often: the step in hand, with the counts one would expect
		if s.Next == nil {
			return job.WriteNote("", "nothing to do"), "writes a note"
		}
		return w.finish(s.Next, rapid.IntRange(0, 4).Draw(w.rt, "miscounts") == 4), "does " + s.Next.ID
	case 6, 7:
		return w.finish(step, true), "does " + step.ID
	case 8:
		return job.Begin(step.ID), "begins " + step.ID
	case 9:
		return job.UndoLast(""), "takes the last back"
	case 10:
		return job.RedoLast(), "brings it back"
	case 11, 12:
		return w.bolts(s)
	case 13:
		value := rapid.SampledFrom([]string{"8 N·m", "10 N·m", "12 N·m"}).Draw(w.rt, "torque")
		return job.SetBoltTorque(job.BoltTorqueSet{Item: "cover", Torque: access.Torque{
			Value: quantity.MustParse[quantity.Torque](value), Source: access.Maker, Where: "sheet 5 (invented)"}}), "writes the torque " + value
	case 14:
		w.photos++
		name, err := n.st.Keep(w.ctx, fmt.Appendf(nil, "photo %d", w.photos), "image/jpeg")
		w.must(err)
		return job.AddPhoto(job.PhotoTaken{Step: step.ID, File: name, Media: "image/jpeg"}), "takes a photo of " + step.ID
	case 15:
		return w.settleDispute(s)
	case 16:
		return job.TakeOff(job.TakenOff{Name: "Bracket", Fasteners: []access.Fastener{{Name: "bolts", Count: 2}}}), "takes a bracket off"
	case 17:
		return job.MeetInTheWay(step.ID, job.TakenOff{Name: "Hose", NotYet: rapid.Bool().Draw(w.rt, "not yet")}), "meets a hose at " + step.ID
	case 18:
		return job.UsePlan(w.plan, w.m, 2, nil), "plans anew"
	case 19, 20:
		return w.back(s, step)
	case 21:
		return w.list(s, step)
	case 22:
		return w.ending(n, s)
	case 23:
		return unknownKind, "records what this program does not know"
	}
}

// drawStep is any step of the job; one that no plan knows where there is none.
func (w *shop) drawStep(s *job.State) *job.Step {
	if len(s.Steps) == 0 {
		return &job.Step{ID: "down/tray", Opens: true}
	}
	return s.Steps[rapid.IntRange(0, len(s.Steps)-1).Draw(w.rt, "step")]
}

func (w *shop) finish(st *job.Step, any bool) job.Action {
	d := job.StepDone{Step: st.ID, Counts: map[string]int{}}
	for _, g := range st.Groups {
		d.Counts[g.ID] = g.Want
		if st.Closes && g.OutKnown {
			d.Counts[g.ID] = g.Out
		}
		if any {
			d.Counts[g.ID] = rapid.IntRange(0, 6).Draw(w.rt, "count")
		}
	}
	if any {
		d.Tray = rapid.SampledFrom([]string{"", "1", "2"}).Draw(w.rt, "tray")
	}
	if any && rapid.Bool().Draw(w.rt, "aside") {
		return job.SetAside(d)
	}
	return job.DoStep(d)
}

// bolts gives a bolt of the cover its turn, or changes it on the map.
func (w *shop) bolts(s *job.State) (job.Action, string) {
	m := s.BoltMap("cover")
	at := job.Point{X: float64(rapid.IntRange(0, 20).Draw(w.rt, "x")) / 20, Y: 0.8}
	if m == nil || len(m.Bolts) == 0 || rapid.IntRange(0, 5).Draw(w.rt, "new bolt") == 0 {
		return job.SetBolt(job.BoltSet{Item: "cover", At: &at}), "puts a bolt on the map"
	}
	bolt := rapid.SampledFrom(m.Bolts).Draw(w.rt, "bolt")
	if rapid.IntRange(0, 4).Draw(w.rt, "on the map") == 0 {
		gone := rapid.Bool().Draw(w.rt, "gone")
		length := quantity.MustParse[quantity.Length](rapid.SampledFrom([]string{"25 mm", "35 mm"}).Draw(w.rt, "length"))
		return job.SetBolt(job.BoltSet{Item: "cover", Bolt: bolt.ID, Length: &length, Gone: &gone}), fmt.Sprintf("changes bolt %d on the map", bolt.N)
	}
	if m.Next != nil && rapid.Bool().Draw(w.rt, "in turn") {
		bolt = m.Next
	}
	turn := map[job.BoltPhase]job.Turn{job.PhaseCrack: job.Cracked, job.PhaseOut: job.TakenOut, job.PhaseRunIn: job.RunIn,
		job.PhaseTighten: job.Clicked, job.PhaseCheck: job.Checked}[m.Phase]
	return job.TurnBolts(job.BoltTurned{Item: "cover", Bolts: []string{bolt.ID}, Turn: turn, Pass: m.Pass}), fmt.Sprintf("bolt %d: %s", bolt.N, turn)
}

func (w *shop) settleDispute(s *job.State) (job.Action, string) {
	if len(s.Conflicts) == 0 {
		return job.WriteNote("", "all agreed"), "writes a note"
	}
	c := rapid.SampledFrom(s.Conflicts).Draw(w.rt, "dispute")
	v := rapid.SampledFrom(c.Values).Draw(w.rt, "value")
	return job.Resolve(c.Key, v.Event, "looked again"), "settles " + c.Key + " as " + v.Value
}

// back is what belongs to the way back and the proof.
func (w *shop) back(s *job.State, step *job.Step) (job.Action, string) {
	switch rapid.IntRange(0, 4).Draw(w.rt, "on the way back") {
	case 0:
		if len(s.Differences) > 0 {
			d := rapid.SampledFrom(s.Differences).Draw(w.rt, "difference")
			return job.ExplainCount(d.Item, d.Group, "one was lost"), "explains a count"
		}
	case 1:
		if len(s.Tests) > 0 {
			t := rapid.SampledFrom(s.Tests).Draw(w.rt, "test")
			return job.RecordTest(t.ID, rapid.SampledFrom([]string{"2", "0.5", "dry", "leaks"}).Draw(w.rt, "reading"), ""), "reads a test"
		}
	case 2:
		return job.StartWait(job.WaitStarted{Step: step.ID, Kind: "soak", Minutes: 10}), "starts a wait"
	case 3:
		if len(s.Waits) > 0 {
			return job.EndWait(rapid.SampledFrom(s.Waits).Draw(w.rt, "wait").Key, "cool"), "ends a wait"
		}
	case 4:
		amount := quantity.MustParse[quantity.Volume](rapid.SampledFrom([]string{"0.2 L", "0.3 L"}).Draw(w.rt, "amount"))
		return job.CatchFluid(job.FluidMoved{Fluid: "engine oil", Amount: amount}), "catches oil"
	}
	return job.CountTools(job.ToolsCounted{Counted: rapid.IntRange(8, 12).Draw(w.rt, "tools"), Missing: []string{"10 mm socket"}}), "counts the tools"
}

// list is what is said beside the steps.
func (w *shop) list(s *job.State, step *job.Step) (job.Action, string) {
	switch rapid.IntRange(0, 6).Draw(w.rt, "beside") {
	case 0:
		return job.HadTrouble(job.TroubleMet{Step: step.ID, What: "broken clip", Needs: []job.Wanted{{Name: "clip"}}}), "has trouble at " + step.ID
	case 1:
		if len(s.List) > 0 {
			return job.Mark(rapid.SampledFrom(s.List).Draw(w.rt, "line").Key, "", job.Bought, ""), "buys something"
		}
	case 2:
		return job.PutOnList(job.Wanted{Name: "seal"}, step.ID, ""), "puts a seal on the list"
	case 3:
		return job.SayNone(step.ID + ":fasteners"), "says none"
	case 4:
		return job.ReadOdometer(fmt.Sprintf("84,%d km", 200+rapid.IntRange(0, 3).Draw(w.rt, "km"))), "reads the odometer"
	case 5:
		return job.LinkInTheWay("tray", "cooler"), "links what was in the way"
	case 6:
		return job.LeaveFound(job.FoundNotDone{What: "worn tyre"}), "leaves a fault"
	}
	return job.WriteNote(step.ID, "rust"), "writes a note"
}

// ending pauses and goes on, hands over, and adds to what was handed over.
func (w *shop) ending(n *node, s *job.State) (job.Action, string) {
	switch {
	case s.IsReleased():
		return job.Amend("Ada", "added on "+n.name), "amends"
	case len(s.Confirm) > 0:
		return job.Reconfirm(s.Confirm[0].ID), "looks at a step again"
	case s.Pause != nil:
		return job.GoOn(s.Pause.From), "goes on"
	case rapid.Bool().Draw(w.rt, "pause"):
		return job.PauseJob(job.Paused{Why: "rain"}), "pauses"
	}
	return func(r *job.Recorder, s *job.State) ([]job.Event, error) {
		// Handed over with things open, as an older program or a person may have.
		if rapid.IntRange(0, 3).Draw(w.rt, "all the same") == 0 {
			return []job.Event{r.Event(s.ID, job.KindReleased, job.Released{Who: "Ben"})}, nil
		}
		return job.ReleaseJob(job.Released{Who: "Ben"})(r, s)
	}, "hands over"
}

// unknownKind is a record of a program to come.
func unknownKind(r *job.Recorder, s *job.State) ([]job.Event, error) {
	return []job.Event{r.Event(s.ID, "smelled", map[string]string{"of": "oil"})}, nil
}
