package job

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// ToMap makes an access map of what a job recorded: the things taken off, with
// their pieces as counted, the minutes as measured, and as needs what was
// recorded to be in the way. The order in which things came off is not taken
// for a need: it may have been chance. Torques are not known unless the record
// has them. Where nothing was measured the minutes are a blank guess of one to
// ten, and marked as a guess. The complaint is no item; where things were in its
// way it becomes the place that was to be reached.
func ToMap(s *State) *access.Map {
	t := mapper{s: s, ids: map[string]string{}, used: map[string]bool{}}
	m := &access.Map{
		Format: access.Format, ID: slug(s.Title), Name: cmp.Or(s.Title, "Recorded job"),
		About: "Recorded while taking apart: " + cmp.Or(s.Vehicle, "vehicle not named") + ".", Invented: s.Invented,
	}
	var order []string
	for _, st := range s.Steps {
		if st.Opens && st.IsDone() && s.Items[st.Item] != nil && !slices.Contains(order, st.Item) {
			order = append(order, st.Item)
		}
	}
	for _, target := range s.Targets {
		if t.isComplaint(target) && !slices.ContainsFunc(s.Links, func(l WayLink) bool { return l.Of == target.Key() }) {
			m.About += " The job: " + target.Name
			continue
		}
		if !slices.Contains(order, target.Key()) {
			order = append(order, target.Key())
		}
	}
	for _, id := range order {
		t.id(id)
	}
	for _, id := range order {
		m.Items = append(m.Items, t.item(id, order))
	}
	return m
}

// A mapper turns the job's items into a map's, with ids that read well.
type mapper struct {
	s    *State
	ids  map[string]string // of the job: of the map
	used map[string]bool
}

func (t *mapper) name(item string) string {
	if it := t.s.Items[item]; it != nil {
		return it.Name
	}
	for _, target := range t.s.Targets {
		if target.Key() != item {
			continue
		}
		if t.isComplaint(target) {
			return workPlace
		}
		return cmp.Or(target.Name, item)
	}
	return item
}

func (t *mapper) id(item string) string {
	if id := t.ids[item]; id != "" {
		return id
	}
	base := slug(t.name(item))
	id := base
	for n := 2; t.used[id]; n++ {
		id = base + "-" + strconv.Itoa(n)
	}
	t.ids[item], t.used[id] = id, true
	return id
}

func (t *mapper) item(item string, order []string) access.Item {
	out := access.Item{ID: t.id(item), Name: t.name(item)}
	if it := t.s.Items[item]; it != nil {
		out = *it
		out.ID, out.Work = t.id(item), nil
	}
	var ways []access.Way
	for _, st := range t.s.Steps {
		if st.Opens && st.Item == item && st.IsDone() && st.way != nil {
			w := t.way(st, order)
			if !slices.ContainsFunc(ways, func(o access.Way) bool { return o.ID == w.ID }) {
				ways = append(ways, w)
			}
		}
	}
	if len(ways) == 0 { // worked on, and never off
		ways = []access.Way{{ID: "off", Needs: t.needs(item, order), Minutes: access.BothWays{Off: blankSpan, On: blankSpan}, Guess: true}}
	}
	out.Ways = ways
	for _, target := range t.s.Targets {
		if target.Key() == item {
			if t.isComplaint(target) {
				out.Notes = "The job: " + target.Name
			}
			out.Work = append(out.Work, t.work(target, order))
		}
	}
	return out
}

// isComplaint reports a target that is not a thing: what is wrong or wanted, as
// it was written when the job was started without a map.
func (t *mapper) isComplaint(target Target) bool {
	return target.Item == "" && target.Name == t.s.Complaint && t.s.Items[target.Key()] == nil
}

// workPlace names what lay behind the things taken off, until somebody gives it
// the name of the part.
const workPlace = "What was worked on"

var blankSpan = access.Span{Low: 1, Likely: 5, High: 10}

// measured is a span around one measurement, and whether there is one.
func measured(st *Step) (access.Span, bool) {
	if st == nil || !(st.Minutes > 0) {
		return blankSpan, false
	}
	m := math.Max(math.Round(st.Minutes*10)/10, 0.1)
	return access.Span{Low: m, Likely: m, High: m}, true
}

func (t *mapper) way(st *Step, order []string) access.Way {
	w := *st.way
	w.Needs, w.Still, w.Hands, w.Back = t.needs(st.Item, order), nil, "", access.Back{}
	w.Opens = t.s.joints(st)
	off, okOff := measured(st)
	on, okOn := measured(t.s.StepByID(st.Partner))
	w.Minutes, w.Guess = access.BothWays{Off: off, On: on}, !okOff || !okOn
	w.Fasteners = access.List[access.Fastener]{Given: st.NoGroups}
	for _, g := range st.Groups {
		f := g.Fastener
		f.ID, f.Name = g.ID, cmp.Or(f.Name, g.Name)
		if g.OutKnown {
			f.Count = g.Out
		}
		if g.Size != "" {
			f.Notes = "Found: " + g.Size
		}
		f.At = t.s.places(st.Item, f)
		if f.Count > 0 {
			w.Fasteners.Items = append(w.Fasteners.Items, f)
			w.Fasteners.Given = true
		}
	}
	for _, tr := range st.Troubles {
		// How often it happens is not known from one job: a note, not odds.
		w.Notes = strings.TrimSpace(w.Notes + " Trouble met: " + tr.What + ".")
	}
	return w
}

// needs are the things recorded as in the way of one.
func (t *mapper) needs(of string, order []string) []access.Need {
	var out []access.Need
	for _, l := range t.s.Links {
		if l.Of == of && slices.Contains(order, l.Item) {
			out = append(out, access.Need{Item: t.id(l.Item)})
		}
	}
	return out
}

func (t *mapper) work(target Target, order []string) access.Work {
	w := access.Work{Action: cmp.Or(target.Action, access.AccessOnly), Minutes: blankSpan, Guess: true, Needs: t.needs(target.Key(), order)}
	for _, st := range t.s.Steps {
		if st.Phase == opening.Bottom && st.Item == target.Key() && st.IsDone() {
			if span, ok := measured(st); ok {
				w.Minutes, w.Guess = span, false
			}
		}
	}
	if it := t.s.Items[target.Key()]; it != nil {
		for _, known := range it.Work {
			if known.Action == w.Action {
				w.Parts, w.Tests, w.Consumables, w.Tools = known.Parts, known.Tests, known.Consumables, known.Tools
			}
		}
	}
	return w
}
