package job

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
)

// A kindOf is what the fold does with one kind of event.
type kindOf struct {
	read  func(json.RawMessage) (any, error)
	apply func(*builder, Event, any)
	say   func(*builder, any) string // in a few words, for the history
}

// of makes a kindOf of functions that take the kind's own data type.
func of[T any](apply func(*builder, Event, T), say func(*builder, T) string) kindOf {
	return kindOf{
		read: func(raw json.RawMessage) (any, error) {
			var d T
			if len(raw) == 0 {
				return d, nil
			}
			if err := json.Unmarshal(raw, &d); err != nil {
				return nil, errors.New(strings.TrimPrefix(err.Error(), "json: "))
			}
			return d, nil
		},
		apply: func(b *builder, e Event, d any) { apply(b, e, d.(T)) },
		say:   func(b *builder, d any) string { return say(b, d.(T)) },
	}
}

// event adds one event to the history and, if it stands, to the state.
func (b *builder) event(e Event, undone bool) {
	k, known := table[e.Kind]
	line := Entry{Event: e.ID, Kind: e.Kind, At: e.At, By: e.By, Undone: undone, Text: "Something this program does not know: " + string(e.Kind)}
	var d any
	var err error
	if known {
		line.Text = unreadable
		if d, err = b.decode(e, k); err == nil {
			line.Text, line.Step = k.say(b, d), stepOf(d)
		}
	}
	b.s.History = append(b.s.History, line)
	switch {
	case e.Job != b.s.ID:
		b.problem(e.ID, "it belongs to another job, %q: it is kept, and not counted here", e.Job)
	case undone:
	case !known:
		b.s.Kept = append(b.s.Kept, e)
	case err != nil:
		b.problem(e.ID, "the record %q could not be read, and is kept as it is: %v", e.Kind, err)
	default:
		k.apply(b, e, d)
	}
}

// A decoded is what the data of an event says.
type decoded struct {
	kind Kind
	raw  json.RawMessage
	data any
	err  error
}

// decode reads the data of an event, once for all folds that share what is
// known. No fold changes what it reads there.
func (b *builder) decode(e Event, k kindOf) (any, error) {
	d, ok := b.known[e.ID]
	if !ok || !d.says(e) {
		d = decoded{kind: e.Kind, raw: e.Data}
		d.data, d.err = k.read(e.Data)
		b.known[e.ID] = d
	}
	return d.data, d.err
}

const unreadable = "A record that could not be read"

// sentence says in a few words what an event recorded.
func (b *builder) sentence(e Event) string {
	k := table[e.Kind]
	if k.read == nil {
		return unreadable
	}
	d, err := b.decode(e, k)
	if err != nil {
		return unreadable
	}
	return k.say(b, d)
}

// stepOf is the step that a record speaks of, empty for none.
func stepOf(data any) string {
	switch d := data.(type) {
	case Begun:
		return d.Step
	case StepDone:
		return d.Step
	case TakenOff:
		return d.Step
	case TroubleMet:
		return d.Step
	case NoteMade:
		return d.Step
	case PhotoTaken:
		return d.Step
	case ClipRecorded:
		return d.Step
	case WaitStarted:
		return d.Step
	case Listed:
		return d.Step
	case WorkedOut:
		return d.Step
	}
	return ""
}

// table lists every kind of event that this program knows. It is filled at the
// start because its functions use it themselves, through sentence.
var table map[Kind]kindOf

func init() {
	table = map[Kind]kindOf{
		KindStarted: of((*builder).started, func(_ *builder, d Started) string {
			return "Job started: " + clip(cmp.Or(d.Title, d.Complaint, d.Vehicle))
		}),
		KindRenamed: of((*builder).renamed, func(_ *builder, d Renamed) string {
			return "Renamed: " + clip(cmp.Or(d.Title, d.Vehicle, d.Complaint, d.VIN))
		}),
		KindOdometer: of((*builder).odometer, func(_ *builder, d OdometerRead) string { return "Odometer: " + clip(d.Odometer) }),
		KindTargets: of((*builder).targets, func(_ *builder, d TargetsSet) string {
			var names []string
			for _, t := range d.Targets {
				names = append(names, cmp.Or(t.Name, t.Item))
			}
			return "To do: " + clip(strings.Join(names, ", "))
		}),
		KindPlanned:  of((*builder).planned, plannedText),
		KindWayBack:  of((*builder).wayBack, func(_ *builder, d Planned) string { return "Turned back: " + clip(d.Why) }),
		KindNone:     of((*builder).none, func(_ *builder, d NoneNeeded) string { return "None needed: " + clip(d.What) }),
		KindGot:      of((*builder).got, func(_ *builder, d Got) string { return capital(string(d.How)) + ": " + clip(cmp.Or(d.Name, d.Key)) }),
		KindListed:   of((*builder).listed, func(_ *builder, d Listed) string { return "On the list: " + clip(d.Name) }),
		KindBegun:    of((*builder).begun, func(b *builder, d Begun) string { return "Begun: " + b.stepName(d.Step) }),
		KindDone:     of((*builder).done, func(b *builder, d StepDone) string { return b.doneText(d, "") }),
		KindAside:    of((*builder).aside, func(b *builder, d StepDone) string { return b.doneText(d, "Set aside") }),
		KindTakenOff: of((*builder).takenOff, takenOffText),
		KindInTheWay: of((*builder).inTheWay, func(b *builder, d WayLink) string { return b.name(d.Item) + " was in the way of " + b.name(d.Of) }),
		KindTrouble:  of((*builder).trouble, (*builder).troubleText),
		KindNote:     of((*builder).note, func(_ *builder, d NoteMade) string { return "Note: " + clip(d.Text) }),
		KindPhoto:    of((*builder).photo, func(b *builder, d PhotoTaken) string { return "Photo: " + b.stepName(d.Step) }),
		KindClip:     of((*builder).recorded, (*builder).clipText),
		KindUndo:     of(func(*builder, Event, Undone) {}, func(*builder, Undone) string { return "Undone" }),
		KindExplained: of((*builder).explained, func(b *builder, d CountExplained) string {
			return "Count explained: " + b.name(d.Item) + ", " + clip(d.Why)
		}),
		KindResolved: of((*builder).resolved, func(_ *builder, d Resolved) string { return "Settled: " + clip(cmp.Or(d.Why, d.Conflict)) }),
		KindToolsCounted: of((*builder).toolsCounted, func(_ *builder, d ToolsCounted) string {
			return fmt.Sprintf("Tools counted: %d, %d missing", d.Counted, len(d.Missing))
		}),
		KindWaitStarted: of((*builder).waitStarted, func(_ *builder, d WaitStarted) string {
			return fmt.Sprintf("Wait started: %s, %.0f min", d.Kind, d.Minutes)
		}),
		KindWaitEnded: of((*builder).waitEnded, func(_ *builder, d WaitEnded) string { return "Wait over: " + clip(cmp.Or(d.Note, d.Wait)) }),
		KindTest: of((*builder).test, func(_ *builder, d TestRead) string {
			return clip(cmp.Or(d.Name, d.Test) + ": " + d.Value + " " + d.Unit)
		}),
		KindFoundNotDone: of((*builder).found, func(_ *builder, d FoundNotDone) string { return "Found, not done: " + clip(d.What) }),
		KindPaused:       of((*builder).paused, func(_ *builder, d Paused) string { return "Paused: " + clip(d.Why) }),
		KindResumed:      of((*builder).resumed, func(*builder, Resumed) string { return "Going on" }),
		KindReconfirmed:  of((*builder).reconfirmed, func(_ *builder, d Reconfirmed) string { return fmt.Sprintf("Looked at again: %d steps", len(d.Steps)) }),
		KindReleased:     of((*builder).released, func(_ *builder, d Released) string { return "Released by " + clip(d.Who) }),
		KindAmended:      of((*builder).amended, func(_ *builder, d Amended) string { return "Added by " + clip(d.Who) + ": " + clip(d.Text) }),
		KindSeal:         of((*builder).sealed, (*builder).sealText),
		KindFluid:        of((*builder).fluid, func(_ *builder, d FluidSet) string { return "About the fluid: " + clip(d.Fluid) }),
		KindCaught:       of((*builder).caught, func(_ *builder, d FluidMoved) string { return "Caught: " + d.Amount.String() + " " + clip(d.Fluid) }),
		KindFilled:       of((*builder).filled, func(_ *builder, d FluidMoved) string { return "Filled: " + d.Amount.String() + " " + clip(d.Fluid) }),
		KindLevel: of((*builder).level, func(_ *builder, d FluidLevel) string {
			return "Level of " + clip(d.Fluid) + " after " + d.After + ": " + d.Level
		}),
		KindBeltRun:    of((*builder).beltRun, func(b *builder, d BeltRunSet) string { return "Belt run: " + b.name(d.Item) }),
		KindBeltPulley: of((*builder).beltPulley, func(_ *builder, d BeltPulleySet) string { return "Pulley: " + clip(cmp.Or(d.Name, "changed")) }),
		KindBeltRouting: of((*builder).beltRouting, func(_ *builder, d BeltRoutingSet) string {
			return fmt.Sprintf("Belt routing over %d pulleys, %s", len(d.Run), d.Source)
		}),
		KindBeltSeated: of((*builder).beltSeated, func(b *builder, d BeltSeated) string { return "Belt seated: " + b.pulleyName(d.Item, d.Pulley) }),
		KindWorkedOut:  of((*builder).workedOut, func(_ *builder, d WorkedOut) string { return "Worked out: " + clip(d.Title) }),
		KindBoltMap:    of((*builder).boltMap, func(b *builder, d BoltMapSet) string { return "Bolt map: " + b.name(d.Item) }),
		KindBolt:       of((*builder).bolt, (*builder).boltText),
		KindBoltTorque: of((*builder).boltTorque, func(b *builder, d BoltTorqueSet) string {
			return b.name(d.Item) + ": torque " + d.Torque.Value.String()
		}),
		KindBoltOrder: of((*builder).boltOrder, func(b *builder, d BoltOrdered) string {
			return fmt.Sprintf("%s: order worked out, %d bolts", b.name(d.Item), len(d.Loosen))
		}),
		KindBoltTurned: of((*builder).boltTurned, (*builder).boltTurnedText),
		KindBoltMarks:  of((*builder).boltMarks, func(b *builder, d BoltsMarked) string { return b.name(d.Item) + ": witness marks" }),
		KindWrench: of((*builder).wrench, func(_ *builder, d WrenchChosen) string {
			if d.Away {
				return "Wrench put away: " + clip(d.Tool)
			}
			return "Wrench: " + clip(d.Tool)
		}),
		KindFollowUpDone: of((*builder).followUpDone, func(_ *builder, d FollowUpDone) string { return "Looked again: " + clip(d.Found) }),
	}
}
