package job

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/plan/access"
)

// A FollowUp is something to look at again because of what was opened.
type FollowUp struct {
	ID    string
	Title string
	Why   string // what was opened
	// Due is a date; where the distance comes first it is an estimate, since
	// nobody knows how far the vehicle is driven a day. Zero until what it
	// looks at is closed.
	Due       time.Time
	Km        [2]int // after so many kilometres, low and high; 0 for no distance
	Days      int
	Estimated bool
	At        string // the odometer then, "84,280 km", where the reading is known
	Source    access.Source
	Done      *FollowUpDone
	DoneAt    time.Time
	DoneBy    string
}

// DueText says when, in words: "after 50 to 100 km, about 27 Nov".
func (f *FollowUp) DueText() string {
	var text string
	switch {
	case f.Km[1] > f.Km[0]:
		text = fmt.Sprintf("after %d to %d km", f.Km[0], f.Km[1])
	case f.Km[0] > 0:
		text = fmt.Sprintf("after %d km", f.Km[0])
	case f.Days == 1:
		text = "the next day, cold"
	default:
		text = fmt.Sprintf("after %d days", f.Days)
	}
	if f.Due.IsZero() {
		return text
	}
	date := f.Due.Format("2 Jan 2006")
	if f.Estimated {
		return text + ", about " + date + " (the date is an estimate)"
	}
	return text + ", " + date
}

// KmADay is how far a vehicle is taken to be driven a day where a date has to
// stand for a distance. It is an assumption, said so wherever a date is shown.
const KmADay = 40

// A look is one follow-up of one kind of joint. All are common practice of the
// trade, without a source.
type look struct {
	id, title string
	km        [2]int
	days      int
	named     bool // the title ends with the item's name
}

var looks = map[string][]look{
	"coolant":        {{"level", "Coolant level, engine cold, after the first warm run", [2]int{}, 1, false}, {"leak", "Look for coolant at", [2]int{500, 500}, 0, true}},
	"oil":            {{"level", "Oil level and a look at", [2]int{100, 100}, 0, true}},
	"fuel":           {{"leak", "Look and smell for fuel at", [2]int{}, 1, true}},
	"brake fluid":    {{"level", "Brake fluid level and a look at", [2]int{100, 100}, 0, true}},
	"power steering": {{"level", "Power steering level and a look at", [2]int{100, 100}, 0, true}},
	"gearbox oil":    {{"leak", "Look for gearbox oil at", [2]int{500, 500}, 0, true}},
	"air intake":     {{"clamps", "Clamps seated at", [2]int{500, 500}, 0, true}},
	"exhaust":        {{"blow", "Listen for blowing at", [2]int{500, 500}, 0, true}},
	"belt":           {{"belt", "Look at the belt and its tension:", [2]int{500, 500}, 0, true}},
	"guard":          {{"fixings", "Every fixing still in:", [2]int{500, 500}, 0, true}},
	"wheel":          {{"torque", "Tighten the wheel again to the maker's value:", [2]int{50, 100}, 0, true}},
	"steering":       {{"play", "Feel for play, and have the alignment checked:", [2]int{100, 100}, 0, true}},
	"suspension":     {{"play", "Look and listen at", [2]int{100, 100}, 0, true}},
	"brake":          {{"look", "Look at the brake:", [2]int{200, 200}, 0, true}},
}

// followUps makes the follow-ups of everything that was opened, one for each
// kind of look. They are due from when the last of it was closed, or from the
// release; while any of it is open they have no date. A follow-up that was done
// before something was opened again is open again.
func followUps(s *State, cycles []*cycle, closed map[string]FollowUpDone, by map[string]Event) []FollowUp {
	var out []FollowUp
	groups := map[string]*lookGroup{}
	var order []string
	for _, c := range cycles {
		if c.down.way == nil {
			continue
		}
		for _, j := range s.jointsOf(c) {
			for _, l := range slices.Concat(looks[j.Kind], sealLooks(s, c.item, j)) {
				id := slug(j.Kind) + "/" + l.id
				if groups[id] == nil {
					groups[id] = &lookGroup{look: l}
					order = append(order, id)
				}
				groups[id].add(c, cmp.Or(j.Name, c.down.Name))
			}
		}
	}
	for _, id := range order {
		f := groups[id].followUp(id, s)
		if id == "wheel/torque" {
			f.Why += s.retorqueFigures(cycles)
		}
		if d, ok := closed[id]; ok && by[id].ID > groups[id].event {
			f.Done, f.DoneAt, f.DoneBy = &d, by[id].At, by[id].By
		}
		out = append(out, f)
	}
	slices.SortStableFunc(out, func(x, y FollowUp) int { return x.Due.Compare(y.Due) })
	return out
}

// A lookGroup is everything that one kind of look has to go over.
type lookGroup struct {
	look
	places, items []string
	open          bool
	closed        time.Time // the last of it
	event         string    // that closed it
}

func (g *lookGroup) add(c *cycle, place string) {
	if !slices.Contains(g.places, place) {
		g.places = append(g.places, place)
	}
	if !slices.Contains(g.items, c.down.Name) {
		g.items = append(g.items, c.down.Name)
	}
	if c.up == nil {
		g.open = true
		return
	}
	if c.up.Finished.After(g.closed) {
		g.closed = c.up.Finished
	}
	g.event = max(g.event, c.up.Records[0].Event)
}

func (g *lookGroup) followUp(id string, s *State) FollowUp {
	f := FollowUp{ID: id, Title: g.title, Why: "Opened: " + strings.Join(g.items, ", "), Km: g.km, Days: g.days, Source: access.CommonPractice}
	if g.named {
		f.Title += " " + strings.Join(g.places, ", ")
	}
	if g.open {
		return f
	}
	from := g.closed
	if s.Release != nil && s.Release.At.After(from) {
		from = s.Release.At
	}
	days := g.days
	if g.km[1] > 0 {
		if n := (g.km[1] + KmADay - 1) / KmADay; days == 0 || n < days {
			days, f.Estimated = n, true
		}
	}
	f.Due = from.AddDate(0, 0, days)
	if km, ok := kilometres(s.Odometer); ok && g.km[0] > 0 {
		f.At = grouped(km+g.km[0]) + " km"
	}
	return f
}

// kilometres reads an odometer: digits with groups of three, and km or mi
// behind them (1 mi is 1.609344 km, NIST SP 811). What could be read in two
// ways is not read.
func kilometres(text string) (int, bool) {
	text = strings.ToLower(strings.TrimSpace(text))
	number := strings.TrimRight(text, "kmiles. ")
	unit := strings.Trim(text[len(number):], " .")
	digits := strings.Join(strings.FieldsFunc(number, func(r rune) bool { return strings.ContainsRune(", .'\u2019\u00a0\u202f", r) }), "")
	if groups := strings.FieldsFunc(number, func(r rune) bool { return r < '0' || r > '9' }); len(groups) > 1 {
		for _, g := range groups[1:] {
			if len(g) != 3 {
				return 0, false
			}
		}
	}
	n, err := strconv.Atoi(digits)
	if err != nil || n < 0 || n > 10_000_000 {
		return 0, false
	}
	switch unit {
	case "km", "kms":
		return n, true
	case "mi", "miles", "mile":
		return int(math.Round(float64(n) * 1.609344)), true
	}
	return 0, false
}

// grouped writes a number with a comma every three digits.
func grouped(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}
