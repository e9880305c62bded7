package paper

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// minutesText prints minutes as a person says them: "12 min", "1 h 05 min".
func minutesText(m float64) string {
	if !(m > 0) {
		return "0 min"
	}
	whole := max(int(math.Round(min(m, 1e6))), 1)
	if whole < 60 {
		return fmt.Sprintf("%d min", whole)
	}
	return fmt.Sprintf("%d h %02d min", whole/60, whole%60)
}

// waitText says how long a wait is likely to be, and how long it can be.
func waitText(w *access.Wait) string {
	text := cmp.Or(w.Kind, "wait") + ", about " + minutesText(w.Minutes.Likely)
	if w.Minutes.Low < w.Minutes.High {
		text += fmt.Sprintf(" (%s to %s)", minutesText(w.Minutes.Low), minutesText(w.Minutes.High))
	}
	if w.Source != "" {
		text += ", " + w.Source
	}
	return text
}

func plural(n int, one, many string) string {
	if n == 1 {
		return fmt.Sprintf("%d %s", n, one)
	}
	return fmt.Sprintf("%d %s", n, many)
}

// workOf finds what a step's action takes, nil where the map does not say.
func workOf(s *job.State, st *job.Step) *access.Work {
	it := s.Items[st.Item]
	if it == nil || st.Action == "" {
		return nil
	}
	for i := range it.Work {
		if it.Work[i].Action == st.Action {
			return &it.Work[i]
		}
	}
	return nil
}

// verb says what a step does.
func verb(st *job.Step) string {
	if st.Opens && st.AsideWay && !st.Condition {
		return "Set aside, lines connected"
	}
	return st.Verb()
}

func toolsText(l access.List[access.Tool]) string {
	if l.None() {
		return "none"
	}
	var names []string
	for _, t := range l.Items {
		names = append(names, strings.Join(t.Any, " or "))
	}
	return strings.Join(names, ", ")
}

// threadText is what a piece looks like: thread, length, head, class.
func (o *Options) threadText(f access.Fastener) string {
	var p []string
	if f.Thread != "" {
		p = append(p, f.Thread)
	}
	if !f.Length.IsZero() {
		p = append(p, f.Length.In(o.Units.Length)+" long")
	}
	if f.Head != "" {
		p = append(p, f.Head)
	}
	if f.Class != "" {
		p = append(p, "class "+f.Class)
	}
	return strings.Join(p, ", ")
}

func pieceText(p access.Piece) string {
	text := p.Name
	if p.Count > 1 {
		text = fmt.Sprintf("%d × %s", p.Count, p.Name)
	}
	if p.Size != "" {
		text += ", " + p.Size
	}
	if p.Number != "" {
		text += ", no. " + p.Number
	}
	return text
}

// sourceWords name a source beside its value.
var sourceWords = map[access.Source]string{
	access.Maker: "maker's sheet", access.Published: "published table", access.Measured: "own measurement",
	access.Computed: "computed", access.CommonPractice: "common practice",
}

// numbers gives every step its number: one row of figures through the whole
// job, the same on sheet, labels and record.
func numbers(s *job.State) map[string]int {
	n := make(map[string]int, len(s.Steps))
	for i, st := range s.Steps {
		n[st.ID] = i + 1
	}
	return n
}

// pieces is how many pieces come off with a step, those only cracked left out.
func pieces(st *job.Step) int {
	n := 0
	for _, g := range st.Groups {
		if g.Loosen {
			continue
		}
		if g.OutKnown {
			n += g.Out
		} else {
			n += g.Want
		}
	}
	return n
}

// trays names a tray for every step that takes pieces off: as recorded or,
// before that, the next free letter in the order of the steps. A step that
// puts back has the tray of the one that took off.
func trays(s *job.State) map[string]string {
	tray, used := map[string]string{}, map[string]bool{}
	for _, st := range s.Steps {
		if st.Opens && st.Tray != "" {
			tray[st.ID] = trayName(st.Tray)
			used[tray[st.ID]] = true
		}
	}
	next := 0
	for _, st := range s.Steps {
		if st.Opens && st.Tray == "" && !st.IsDone() && pieces(st) > 0 {
			for used[letter(next)] {
				next++
			}
			tray[st.ID] = letter(next)
			next++
		}
	}
	for _, st := range s.Steps {
		if st.Closes {
			tray[st.ID] = cmp.Or(trayName(st.Tray), tray[opener(s, st)])
		}
	}
	return tray
}

// opener is the id of the step that opens what this one closes, also before
// either is done.
func opener(s *job.State, st *job.Step) string {
	if st.Partner != "" {
		return st.Partner
	}
	id := ""
	for _, o := range s.Steps {
		if o == st {
			break
		}
		if o.Item == st.Item && o.Opens {
			id = o.ID
		}
	}
	return id
}

// trayName is the bare name of a tray recorded as "tray B" or as "B".
func trayName(t string) string {
	if rest, ok := strings.CutPrefix(strings.ToLower(t), "tray "); ok {
		return strings.TrimSpace(t[len(t)-len(rest):])
	}
	return strings.TrimSpace(t)
}

// letter counts A … Z, AA, AB …
func letter(n int) string {
	name := ""
	for ; n >= 0; n = n/26 - 1 {
		name = string(rune('A'+n%26)) + name
	}
	return name
}

var phaseTitles = map[opening.Phase]string{
	opening.Down: "Down: take apart", opening.Bottom: "The bottom: the work itself", opening.Up: "Up: put back",
}
