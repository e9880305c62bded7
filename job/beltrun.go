package job

import (
	"math"
	"slices"
	"strings"
	"time"

	"lastbolt/calc/belt"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// The kinds of event of a belt run, each with the type of its data.
const (
	KindBeltRun     Kind = "belt-run"     // BeltRunSet
	KindBeltPulley  Kind = "belt-pulley"  // BeltPulleySet
	KindBeltRouting Kind = "belt-routing" // BeltRoutingSet
	KindBeltSeated  Kind = "belt-seated"  // BeltSeated
)

// BeltRunSet begins the record of how the belt of an item runs, or changes what
// is given; blank fields stay as they were.
type BeltRunSet struct {
	Item string `json:"item"`
	// Picture is a photo of the drive by its hash; blank where the pulleys are
	// typed.
	Picture string  `json:"picture,omitempty"`
	Media   string  `json:"media,omitempty"`
	Aspect  float64 `json:"aspect,omitempty"` // height over width of the picture
	// From and To are two places on the picture whose distance is known.
	From     *Point                            `json:"from,omitempty"`
	To       *Point                            `json:"to,omitempty"`
	Distance quantity.Written[quantity.Length] `json:"distance,omitzero"`
	Length   quantity.Written[quantity.Length] `json:"length,omitzero"` // as marked on the belt
	Profile  string                            `json:"profile,omitempty"`
	Ribs     int                               `json:"ribs,omitempty"`
	// Turns is how the crank turns seen from the front: clockwise or
	// counter-clockwise.
	Turns  string `json:"turns,omitempty"`
	OneWay *bool  `json:"one_way,omitempty"` // the belt has an arrow: it runs one way only
	Note   string `json:"note,omitempty"`
}

// BeltPulleySet puts a pulley on the record, or changes what is given of one.
// Pulley is its id: the id of the event that put it there; blank for a new one.
// A place is At on the picture, or X and Y from any fixed point, x to the right
// and y up seen from the front.
type BeltPulleySet struct {
	Item     string                             `json:"item"`
	Pulley   string                             `json:"pulley,omitempty"`
	Name     string                             `json:"name,omitempty"`
	At       *Point                             `json:"at,omitempty"`
	Rim      *Point                             `json:"rim,omitempty"` // any place on its rim
	X        *quantity.Written[quantity.Length] `json:"x,omitempty"`
	Y        *quantity.Written[quantity.Length] `json:"y,omitempty"`
	Diameter *quantity.Written[quantity.Length] `json:"diameter,omitempty"` // over the rim
	Surface  belt.Surface                       `json:"surface,omitempty"`
	Turns    string                             `json:"turns,omitempty"` // same, opposite or any
	Side     belt.Side                          `json:"side,omitempty"`  // seen on the rim: what touches it
	Crank    *bool                              `json:"crank,omitempty"`
	Moves    *bool                              `json:"moves,omitempty"` // carries the tensioner
	Last     *bool                              `json:"last,omitempty"`  // the belt goes on it last
	Gone     *bool                              `json:"removed,omitempty"`
}

// A BeltTouch is one pulley of a run and the side of the belt on it.
type BeltTouch struct {
	Pulley string    `json:"pulley"`
	Side   belt.Side `json:"side"`
}

// BeltRoutingSet says how the belt runs, from the crank in the direction it
// travels or against it. Source is own measurement for what was seen before the
// belt came off, computed for what was found, or a maker's document. Empty Run
// takes the routing back.
type BeltRoutingSet struct {
	Item    string        `json:"item"`
	Run     []BeltTouch   `json:"run"`
	Source  access.Source `json:"source"`
	Where   string        `json:"where,omitempty"`
	Working string        `json:"working,omitempty"`
}

// BeltSeated says that the belt sits right on a pulley: every rib in its
// groove, or the back in the middle of the rim.
type BeltSeated struct {
	Item   string `json:"item"`
	Pulley string `json:"pulley"`
}

// A BeltRun is how the belt of one item runs, as far as it is recorded. It is
// read only, as all of a State.
type BeltRun struct {
	Item, Name string
	Picture    string
	Aspect     float64
	From, To   *Point
	Distance   quantity.Written[quantity.Length]
	Length     quantity.Written[quantity.Length]
	Profile    string
	Ribs       int
	Turns      string
	OneWay     bool
	Note       string
	Pulleys    []*BeltPulley
	Routing    *BeltRoutingSet
	RoutingAt  time.Time
	RoutingBy  string
	// Step is the step that puts the belt back on, or takes it off while that is
	// to come; nil for none.
	Step     *Step
	offSince time.Time
	seated   []seatedAt
}

type seatedAt struct {
	pulley string
	at     time.Time
}

// A BeltPulley is one pulley of a run.
type BeltPulley struct {
	ID       string
	Name     string
	At, Rim  *Point
	X, Y     *quantity.Written[quantity.Length]
	Diameter quantity.Written[quantity.Length]
	Surface  belt.Surface
	Turns    string
	Side     belt.Side
	Crank    bool
	Moves    bool
	Last     bool
}

// BeltRun finds the belt run of an item, nil if there is none.
func (s *State) BeltRun(item string) *BeltRun {
	for _, r := range s.BeltRuns {
		if r.Item == item {
			return r
		}
	}
	return nil
}

// Pulley finds a pulley by its id, nil if there is none.
func (r *BeltRun) Pulley(id string) *BeltPulley {
	for _, p := range r.Pulleys {
		if p.ID == id {
			return p
		}
	}
	return nil
}

// MM is how many millimetres one width of the picture is; 0 while it is not
// known.
func (r *BeltRun) MM() float64 {
	if r.From == nil || r.To == nil || r.Distance.IsZero() {
		return 0
	}
	d := math.Hypot(r.To.X-r.From.X, r.To.Y-r.From.Y)
	if d == 0 {
		return 0
	}
	return r.Distance.Value.In(quantity.Millimetre) / d
}

// Drive is the pulleys as the belt engine takes them; an error says what is
// still missing.
func (r *BeltRun) Drive() (belt.Drive, error) {
	d := belt.Drive{Crank: -1, Belt: belt.Belt{Ribs: r.Ribs, Length: r.Length.Value}}
	if r.Turns == belt.CounterClockwise.String() {
		d.Turns = belt.CounterClockwise
	}
	profile, err := belt.ProfileNamed(r.profile())
	if err != nil {
		return d, err
	}
	d.Belt.Profile = profile
	if len(r.Pulleys) < 2 {
		return d, refuse(CodeMissing, "A belt runs over two pulleys at least: %d so far.", len(r.Pulleys))
	}
	for i, p := range r.Pulleys {
		pulley, err := r.pulley(p)
		if err != nil {
			return d, err
		}
		if p.Crank {
			d.Crank = i
		}
		if p.Moves { // how far is not recorded, so the belt's length tells less
			d.Tensioner = &belt.Tensioner{Pulley: i}
		}
		d.Pulleys = append(d.Pulleys, pulley)
	}
	if d.Crank < 0 {
		return d, refuse(CodeMissing, "Say which pulley is on the crank: it drives the others.")
	}
	return d, d.Check()
}

func (r *BeltRun) profile() string {
	if r.Profile == "" {
		return "PK" // what accessory drives of road vehicles run: common practice
	}
	return r.Profile
}

// pulley is one pulley in millimetres.
func (r *BeltRun) pulley(p *BeltPulley) (belt.Pulley, error) {
	out := belt.Pulley{Name: p.Name, Diameter: p.Diameter.Value, Surface: p.Surface, Measure: belt.Outside, Known: p.Side, Idle: p.Surface != belt.Grooved && p.Surface != ""}
	switch p.Turns {
	case string(belt.WithIt):
		out.Turns = belt.WithIt
	case string(belt.Opposite):
		out.Turns = belt.Opposite
	}
	if p.Surface == belt.Grooved || p.Surface == "" {
		out.Drives = p.Name
	}
	mm := r.MM()
	switch {
	case p.X != nil && p.Y != nil:
		out.Centre = belt.Point{X: p.X.Value, Y: p.Y.Value}
	case p.At == nil:
		return out, refuse(CodeMissing, "It is not said where %s is.", p.Name)
	case mm == 0:
		return out, refuse(CodeMissing, "The scale of the picture is not known: tap two places whose distance you can measure, such as a rim's two edges, and write the distance.")
	default: // a picture's y runs down, the engine's up
		out.Centre = belt.Point{X: quantity.Millimetres(p.At.X * mm), Y: quantity.Millimetres(-p.At.Y * mm)}
	}
	if out.Diameter == 0 && p.Rim != nil && p.At != nil && mm > 0 {
		out.Diameter = quantity.Millimetres(2 * mm * math.Hypot(p.Rim.X-p.At.X, p.Rim.Y-p.At.Y))
	}
	if out.Diameter == 0 {
		return out, refuse(CodeMissing, "The size of %s is not known: tap its rim, or write its diameter.", p.Name)
	}
	return out, nil
}

// Run is the routing as the belt engine takes it, nil while it is not recorded
// or speaks of pulleys that are gone.
func (r *BeltRun) Run() belt.Routing {
	if r.Routing == nil {
		return nil
	}
	var out belt.Routing
	for _, t := range r.Routing.Run {
		i := slices.IndexFunc(r.Pulleys, func(p *BeltPulley) bool { return p.ID == t.Pulley })
		if i < 0 {
			return nil
		}
		out = append(out, belt.Touch{Pulley: i, Side: t.Side})
	}
	return out
}

// Solve works the recorded routing out.
func (r *BeltRun) Solve() (*belt.Solution, error) {
	d, err := r.Drive()
	if err != nil {
		return nil, err
	}
	run := r.Run()
	if len(run) < 2 {
		return nil, refuse(CodeMissing, "How the belt runs is not recorded yet.")
	}
	return belt.Solve(d, run)
}

// Touched are the pulleys the belt runs over, in order; all of them while the
// routing is not recorded.
func (r *BeltRun) Touched() []*BeltPulley {
	if r.Routing == nil || len(r.Routing.Run) == 0 {
		return r.Pulleys
	}
	var out []*BeltPulley
	for _, t := range r.Routing.Run {
		if p := r.Pulley(t.Pulley); p != nil {
			out = append(out, p)
		}
	}
	return out
}

// PutOnOrder is Touched with the pulley that the belt goes on last at the end:
// the one said, else the smallest smooth one. Why says which and why.
func (r *BeltRun) PutOnOrder() (order []*BeltPulley, why string) {
	order = slices.Clone(r.Touched())
	last := slices.IndexFunc(order, func(p *BeltPulley) bool { return p.Last })
	why = "chosen"
	if last < 0 {
		least := math.Inf(1)
		for i, p := range order {
			smooth := p.Surface == belt.Plain || p.Surface == belt.Either
			d, err := r.pulley(p)
			if !smooth || p.Moves || err != nil {
				continue
			}
			if size := float64(d.Diameter); size < least {
				last, least = i, size
			}
		}
		why = "small and smooth, so the belt slips over its edge: common practice, no source. Choose another where this one is hard to reach."
	}
	if last < 0 {
		return order, ""
	}
	p := order[last]
	order = append(slices.Delete(order, last, last+1), p)
	return order, why
}

// Seated reports whether the belt was seen to sit right on a pulley since it
// last came off.
func (r *BeltRun) Seated(pulley string) bool {
	if r.Step != nil && r.Step.Opens {
		return false
	}
	return slices.ContainsFunc(r.seated, func(s seatedAt) bool { return s.pulley == pulley && s.at.After(r.offSince) })
}

// Unseated are the pulleys still to be looked at before the belt counts as on.
func (r *BeltRun) Unseated() []*BeltPulley {
	order, _ := r.PutOnOrder()
	return slices.DeleteFunc(order, func(p *BeltPulley) bool { return r.Seated(p.ID) })
}

// IsBelt tells whether a step moves a belt: by its name, or because a run was
// recorded for it.
func (s *State) IsBelt(st *Step) bool {
	if st.Condition || !(st.Opens || st.Closes) {
		return false
	}
	name := strings.ToLower(st.Name)
	return s.BeltRun(st.Item) != nil || strings.HasSuffix(name, "belt") && !strings.HasSuffix(name, "seat belt")
}
