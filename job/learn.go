package job

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lastbolt/plan/access"
)

// A Precedence is an order seen between two things.
type Precedence struct {
	Before, After string
	Support       int // sequences that hold both, all in this order
}

// CommonOrder is what several sequences agree on, by the intersection rule: a
// comes before b when it does so in every sequence that holds both. What
// follows from two others is left out, so that the answer is the transitive
// reduction where the relation is an order. More sequences only ever take
// constraints away. Sorted by name.
func CommonOrder(sequences [][]string) []Precedence {
	type pair struct{ a, b string }
	support, against := map[pair]int{}, map[pair]bool{}
	for _, seq := range sequences {
		seen := map[string]bool{}
		var first []string
		for _, x := range seq {
			if !seen[x] {
				first = append(first, x)
			}
			seen[x] = true
		}
		for i, a := range first {
			for _, b := range first[i+1:] {
				support[pair{a, b}]++
				against[pair{b, a}] = true
			}
		}
	}
	after := map[string][]string{}
	for p := range support {
		if !against[p] {
			after[p.a] = append(after[p.a], p.b)
		}
	}
	var out []Precedence
	for a, bs := range after {
		for _, b := range bs {
			implied := slices.ContainsFunc(bs, func(mid string) bool { return slices.Contains(after[mid], b) })
			if !implied {
				out = append(out, Precedence{a, b, support[pair{a, b}]})
			}
		}
	}
	slices.SortFunc(out, func(x, y Precedence) int {
		return cmp.Or(cmp.Compare(x.Before, y.Before), cmp.Compare(x.After, y.After))
	})
	return out
}

// SuggestionKind says what a suggestion is about.
type SuggestionKind string

// The kinds of suggestion.
const (
	NotInTheWay SuggestionKind = "not in the way" // the map says need, a job did without
	InTheWayToo SuggestionKind = "in the way"     // recorded in the way, not in the map
	AlwaysFirst SuggestionKind = "always first"   // every job had this order; it may be chance
	OtherTime   SuggestionKind = "other minutes"
)

// A Suggestion is something that finished jobs say about a map. It is shown,
// never applied by itself.
type Suggestion struct {
	Kind    SuggestionKind
	Item    string // the thing in the way, or the thing measured
	Of      string // what it was, or was not, in the way of
	Way     string
	Back    bool // minutes of the way back
	Text    string
	Support int // jobs that say so
	Jobs    []string
	Minutes access.Span // for other minutes: least, median, most
}

// EnoughJobs is how many jobs have to agree before an order or a time is
// suggested: a choice of ours. One job is enough to show that something was
// not in the way, or was.
const EnoughJobs = 3

// Orders compares jobs with the map they were done on.
func Orders(jobs []*State, m *access.Map) []Suggestion {
	l := learner{m: m, items: map[string]*access.Item{}}
	for i := range m.Items {
		l.items[m.Items[i].ID] = &m.Items[i]
	}
	for _, s := range jobs {
		if s.MapID == m.ID || s.MapID == "" {
			l.jobs = append(l.jobs, s)
		}
	}
	return slices.Concat(l.notInTheWay(), l.inTheWay(), l.alwaysFirst(), l.times())
}

type learner struct {
	m     *access.Map
	items map[string]*access.Item
	jobs  []*State
}

func (l *learner) name(item string) string {
	if it := l.items[item]; it != nil {
		return it.Name
	}
	return item
}

// opened lists the steps that opened something, in the order in which they
// were done.
func opened(s *State) []*Step {
	var out []*Step
	for _, st := range s.Steps {
		if st.Opens && len(st.Records) > 0 {
			out = append(out, st)
		}
	}
	slices.SortStableFunc(out, func(x, y *Step) int { return cmp.Compare(x.Records[0].Event, y.Records[0].Event) })
	return out
}

// openAt reports whether an item was off or aside when an event was recorded.
func openAt(s *State, item, event string) bool {
	last, open := "", false
	for _, st := range s.Steps {
		if st.Item != item || len(st.Records) == 0 || !st.Opens && !st.Closes {
			continue
		}
		if e := st.Records[0].Event; e < event && e > last {
			last, open = e, st.Opens
		}
	}
	return open
}

// notInTheWay finds needs of the map that a job did without.
func (l *learner) notInTheWay() []Suggestion {
	found := map[[3]string]*Suggestion{}
	for _, s := range l.jobs {
		for _, st := range opened(s) {
			it := l.items[st.Item]
			if it == nil {
				continue
			}
			w := findWay(it, st.Way)
			if w == nil {
				continue
			}
			for _, n := range plainNeeds(w.Needs) {
				other := l.items[n]
				known := s.Items[n] != nil || slices.Contains(s.Already, n)
				if other == nil || other.Kind == access.Condition || !known || openAt(s, n, st.Records[0].Event) || wasOff(s, n) {
					continue
				}
				key := [3]string{n, st.Item, w.ID}
				if found[key] == nil {
					found[key] = &Suggestion{Kind: NotInTheWay, Item: n, Of: st.Item, Way: w.ID}
				}
				found[key].add(s)
			}
		}
	}
	return l.finish(found, func(g *Suggestion) string {
		return fmt.Sprintf("%s came off with %s still on, in %s. The map says that it has to be off first.", l.name(g.Of), l.name(g.Item), jobsText(g.Support))
	})
}

func wasOff(s *State, item string) bool {
	return slices.ContainsFunc(s.Already, func(a string) bool { return a == item || strings.HasPrefix(a, item+"/") })
}

// plainNeeds are the items asked for outright, not as one of several.
func plainNeeds(needs []access.Need) []string {
	var out []string
	for _, n := range needs {
		if n.Item != "" {
			out = append(out, n.Item)
		}
		out = append(out, plainNeeds(n.All)...)
	}
	return out
}

func (g *Suggestion) add(s *State) {
	if !slices.Contains(g.Jobs, s.ID) {
		g.Jobs = append(g.Jobs, s.ID)
		g.Support++
	}
}

func jobsText(n int) string {
	if n == 1 {
		return "1 job"
	}
	return fmt.Sprintf("%d jobs", n)
}

// finish writes the suggestions out, best supported first.
func (l *learner) finish(found map[[3]string]*Suggestion, text func(*Suggestion) string) []Suggestion {
	var out []Suggestion
	for _, g := range found {
		g.Text = text(g)
		out = append(out, *g)
	}
	slices.SortFunc(out, func(x, y Suggestion) int {
		return cmp.Or(cmp.Compare(y.Support, x.Support), cmp.Compare(x.Item, y.Item), cmp.Compare(x.Of, y.Of), cmp.Compare(x.Way, y.Way))
	})
	return out
}

// inTheWay finds what was recorded as in the way and is not in the map.
func (l *learner) inTheWay() []Suggestion {
	found := map[[3]string]*Suggestion{}
	for _, s := range l.jobs {
		for _, k := range s.Links {
			of := l.items[k.Of]
			if of == nil || l.reaches(k.Of, k.Item, map[string]bool{}) {
				continue
			}
			key := [3]string{k.Item, k.Of}
			if found[key] == nil {
				found[key] = &Suggestion{Kind: InTheWayToo, Item: k.Item, Of: k.Of}
			}
			found[key].add(s)
		}
	}
	return l.finish(found, func(g *Suggestion) string {
		name := l.name(g.Item)
		for _, s := range l.jobs {
			if it := s.Items[g.Item]; it != nil && l.items[g.Item] == nil {
				name = it.Name
			}
		}
		return fmt.Sprintf("%s was in the way of %s, in %s. The map does not say so.", name, l.name(g.Of), jobsText(g.Support))
	})
}

// reaches tells whether getting at an item asks for another, directly or
// through what it needs.
func (l *learner) reaches(from, to string, seen map[string]bool) bool {
	it := l.items[from]
	if it == nil || seen[from] {
		return false
	}
	seen[from] = true
	for _, w := range it.Ways {
		for _, n := range allNeeds(w.Needs) {
			if n == to || l.reaches(n, to, seen) {
				return true
			}
		}
	}
	return false
}

func allNeeds(needs []access.Need) []string {
	var out []string
	for _, n := range needs {
		if n.Item != "" {
			out = append(out, n.Item)
		}
		out = append(out, allNeeds(n.All)...)
		out = append(out, allNeeds(n.Any)...)
	}
	return out
}

// alwaysFirst finds orders that enough jobs agree on and the map does not ask
// for.
func (l *learner) alwaysFirst() []Suggestion {
	var sequences [][]string
	for _, s := range l.jobs {
		var seq []string
		for _, st := range opened(s) {
			if it := l.items[st.Item]; it != nil && it.Kind != access.Condition {
				seq = append(seq, st.Item)
			}
		}
		sequences = append(sequences, seq)
	}
	var out []Suggestion
	for _, p := range CommonOrder(sequences) {
		if p.Support < EnoughJobs || l.reaches(p.After, p.Before, map[string]bool{}) {
			continue
		}
		out = append(out, Suggestion{
			Kind: AlwaysFirst, Item: p.Before, Of: p.After, Support: p.Support,
			Text: fmt.Sprintf("%s came off before %s in all %d jobs that had both. The map does not ask for it; it may be chance.", l.name(p.Before), l.name(p.After), p.Support),
		})
	}
	return out
}

// times finds ways whose measured minutes differ from the map's.
func (l *learner) times() []Suggestion {
	got := map[[3]string][]float64{}
	for _, s := range l.jobs {
		for _, st := range s.Steps {
			if st.Minutes > 0 && (st.Opens || st.Closes) && l.items[st.Item] != nil {
				side := ""
				if st.Closes {
					side = "back"
				}
				key := [3]string{st.Item, st.Way, side}
				got[key] = append(got[key], st.Minutes)
			}
		}
	}
	found := map[[3]string]*Suggestion{}
	for key, ms := range got {
		w := findWay(l.items[key[0]], key[1])
		if len(ms) < EnoughJobs || w == nil {
			continue
		}
		slices.Sort(ms)
		said := w.Minutes.Off
		if key[2] != "" {
			said = w.Minutes.On
		}
		span := access.Span{Low: ms[0], Likely: median(ms), High: ms[len(ms)-1]}
		if span.Likely >= said.Low && span.Likely <= said.High {
			continue
		}
		found[key] = &Suggestion{Kind: OtherTime, Item: key[0], Way: w.ID, Back: key[2] != "", Support: len(ms), Minutes: span}
	}
	return l.finish(found, func(g *Suggestion) string {
		verb := "off"
		if g.Back {
			verb = "back"
		}
		return fmt.Sprintf("%s %s took %.0f minutes (median of %d, from %.0f to %.0f), outside the map's figures.", l.name(g.Item), verb, g.Minutes.Likely, g.Support, g.Minutes.Low, g.Minutes.High)
	})
}

// median of a sorted, non-empty list.
func median(v []float64) float64 {
	n := len(v)
	return (v[n/2] + v[(n-1)/2]) / 2
}
