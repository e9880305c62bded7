package job

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// entry adds the event's line to the history.
func (b *builder) entry(e Event, undone bool) {
	var at struct {
		Step string `json:"step"`
	}
	_ = json.Unmarshal(e.Data, &at) // many kinds have no step, and need none
	b.s.History = append(b.s.History, Entry{Event: e.ID, Kind: e.Kind, At: e.At, By: e.By, Text: b.sentence(e), Step: at.Step, Undone: undone})
}

// countText is a count in words: "4 out", "3 back".
func countText(n int, st *Step, g Group) string {
	switch {
	case g.Loosen && st.Closes:
		return strconv.Itoa(n) + " tight"
	case g.Loosen:
		return strconv.Itoa(n) + " loosened"
	case st.Closes:
		return strconv.Itoa(n) + " back"
	default:
		return strconv.Itoa(n) + " out"
	}
}

// sentence says in a few words what an event recorded.
func (b *builder) sentence(e Event) string {
	text := "Something this program does not know: " + string(e.Kind)
	if f, ok := sentences[e.Kind]; ok {
		text = f(b, e.Data)
	}
	return text
}

// say makes a sentence of an event's data; what cannot be read stays general.
func say[T any](f func(b *builder, d T) string) func(*builder, json.RawMessage) string {
	return func(b *builder, raw json.RawMessage) string {
		var d T
		if len(raw) > 0 && json.Unmarshal(raw, &d) != nil {
			return "A record that could not be read"
		}
		return f(b, d)
	}
}

func (b *builder) stepName(id string) string {
	if st := b.byID[id]; st != nil {
		return st.Name
	}
	_, item, _ := strings.Cut(id, "/")
	return b.name(cmp.Or(item, id, "the job"))
}

func (b *builder) doneText(d StepDone, verb string) string {
	st := b.byID[d.Step]
	if st == nil {
		return "Done: " + b.stepName(d.Step)
	}
	var counts []string
	for _, id := range sortedKeys(d.Counts) {
		g := Group{ID: id, Name: id}
		if i := slices.IndexFunc(st.Groups, func(o Group) bool { return o.ID == id }); i >= 0 {
			g = st.Groups[i]
		}
		counts = append(counts, countText(d.Counts[id], st, g))
	}
	switch {
	case verb != "":
	case st.Opens:
		verb = "Off"
	case st.Closes:
		verb = "Back"
	default:
		verb = "Done"
	}
	text := verb + ": " + st.Name
	if len(counts) > 0 {
		text += ", " + strings.Join(counts, ", ")
	}
	if d.Tray != "" {
		text += ", tray " + d.Tray
	}
	return text
}

func clip(s string) string {
	r := []rune(strings.Join(strings.Fields(s), " "))
	if len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return string(r)
}

var sentences map[Kind]func(*builder, json.RawMessage) string

func init() {
	sentences = map[Kind]func(*builder, json.RawMessage) string{
		KindStarted: say(func(_ *builder, d Started) string {
			return "Job started: " + clip(cmp.Or(d.Title, d.Complaint, d.Vehicle))
		}),
		KindRenamed: say(func(_ *builder, d Renamed) string {
			return "Renamed: " + clip(cmp.Or(d.Title, d.Vehicle, d.Complaint, d.VIN))
		}),
		KindOdometer: say(func(_ *builder, d OdometerRead) string { return "Odometer: " + clip(d.Odometer) }),
		KindTargets: say(func(_ *builder, d TargetsSet) string {
			var names []string
			for _, t := range d.Targets {
				names = append(names, cmp.Or(t.Name, t.Item))
			}
			return "To do: " + clip(strings.Join(names, ", "))
		}),
		KindPlanned:  say(func(_ *builder, d Planned) string { return fmt.Sprintf("Planned: %d steps", len(d.Plan.Steps)) }),
		KindWayBack:  say(func(_ *builder, d Planned) string { return "Turned back: " + clip(d.Why) }),
		KindNone:     say(func(_ *builder, d NoneNeeded) string { return "None needed: " + clip(d.What) }),
		KindGot:      say(func(_ *builder, d Got) string { return capital(string(d.How)) + ": " + clip(cmp.Or(d.Name, d.Key)) }),
		KindListed:   say(func(_ *builder, d Listed) string { return "On the list: " + clip(d.Name) }),
		KindBegun:    say(func(b *builder, d Begun) string { return "Begun: " + b.stepName(d.Step) }),
		KindDone:     say(func(b *builder, d StepDone) string { return b.doneText(d, "") }),
		KindAside:    say(func(b *builder, d StepDone) string { return b.doneText(d, "Set aside") }),
		KindTakenOff: say(takenOffText),
		KindInTheWay: say(func(b *builder, d WayLink) string { return b.name(d.Item) + " was in the way of " + b.name(d.Of) }),
		KindTrouble:  say(func(b *builder, d TroubleMet) string { return capital(clip(d.What)) + ": " + b.stepName(d.Step) }),
		KindNote:     say(func(_ *builder, d NoteMade) string { return "Note: " + clip(d.Text) }),
		KindPhoto:    say(func(b *builder, d PhotoTaken) string { return "Photo: " + b.stepName(d.Step) }),
		KindUndo:     say(func(*builder, Undone) string { return "Undone" }),
		KindExplained: say(func(b *builder, d CountExplained) string {
			return "Count explained: " + b.name(d.Item) + ", " + clip(d.Why)
		}),
		KindResolved: say(func(_ *builder, d Resolved) string { return "Settled: " + clip(cmp.Or(d.Why, d.Conflict)) }),
		KindToolsCounted: say(func(_ *builder, d ToolsCounted) string {
			return fmt.Sprintf("Tools counted: %d, %d missing", d.Counted, len(d.Missing))
		}),
		KindWaitStarted: say(func(_ *builder, d WaitStarted) string {
			return fmt.Sprintf("Wait started: %s, %.0f min", d.Kind, d.Minutes)
		}),
		KindWaitEnded: say(func(_ *builder, d WaitEnded) string { return "Wait over: " + clip(cmp.Or(d.Note, d.Wait)) }),
		KindTest: say(func(_ *builder, d TestRead) string {
			return clip(cmp.Or(d.Name, d.Test) + ": " + d.Value + " " + d.Unit)
		}),
		KindFoundNotDone: say(func(_ *builder, d FoundNotDone) string { return "Found, not done: " + clip(d.What) }),
		KindPaused:       say(func(_ *builder, d Paused) string { return "Paused: " + clip(d.Why) }),
		KindResumed:      say(func(*builder, Resumed) string { return "Going on" }),
		KindReconfirmed:  say(func(_ *builder, d Reconfirmed) string { return fmt.Sprintf("Looked at again: %d steps", len(d.Steps)) }),
		KindReleased:     say(func(_ *builder, d Released) string { return "Released by " + clip(d.Who) }),
		KindAmended:      say(func(_ *builder, d Amended) string { return "Added by " + clip(d.Who) + ": " + clip(d.Text) }),
		KindFollowUpDone: say(func(_ *builder, d FollowUpDone) string { return "Looked again: " + clip(d.Found) }),
	}
}

func takenOffText(_ *builder, d TakenOff) string {
	verb := "Off"
	switch {
	case d.NotYet:
		verb = "In the way"
	case d.Aside:
		verb = "Set aside"
	}
	text := verb + ": " + clip(cmp.Or(d.Name, d.Item))
	for _, f := range d.Fasteners {
		text += fmt.Sprintf(", %d %s", f.Count, cmp.Or(f.Name, f.ID))
	}
	return text
}

func capital(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}
