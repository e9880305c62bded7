// Package opening plans a job on an access map: the cheapest order of taking
// apart and of putting back, with proof, and with its reasons.
//
// Start with [Make]. [Explain] adds what other ways would have cost and what
// comes free along the way, [Remake] plans on from the middle of a job, and
// [Check] is an independent checker that obeys nothing but the map. The
// package does no I/O and has no clock: a search stops when the caller's
// context ends or its step budget is spent, and then returns its best plan
// with its bound.
//
// # What is planned
//
// A plan is one valley: everything that has to come off comes off, then all the
// work is done, then everything goes back; nothing goes back before the last
// of the work. For each item it takes one way, off or aside, for the whole
// plan. In the end everything is back, every condition is ended, and every fluid
// that came out is filled, also what was open when the plan began.
//
// Anything on the map may be opened, and a condition that repeats switched as
// often as wanted, whether something needs it or not. A proof is about all of
// these plans. The search looks only at those that never open or switch for
// nothing: whatever a needless step brings about can be had without it in its
// time, so leaving it out makes no plan longer. Not needless is an item that a
// need in the plan names, also beside others that would do; what a condition
// that held at the start needs to be brought about again; an item worked on;
// and a switch between two of which something wants the condition as it then
// is, or can begin sooner for it.
//
// # What is least
//
// The expected minutes from the first step to the moment the vehicle can be
// released, by one pair of hands:
//
//   - hand minutes, by the three-point mean of their spans, of every step down,
//     work, step up, switch and filling. A fluid is filled once, at the longest of
//     the minutes that the ways which let it out give for it.
//   - trouble: odds times minutes, once for each way used (each time it is
//     brought about, for a condition that repeats).
//   - set-up: a change of position when a step's hands are elsewhere than those
//     of the last step that had a place, by the map's table (over a third
//     position where that is cheaper); a change of tool when a step's main tool,
//     the first of its list, is not the one in hand. The first position and the
//     first tool count as changes. A step without a place or tool leaves both
//     as they are.
//   - idle minutes, when a wait (cool, drain, cure) is not over that the next
//     step has to see out. Changing over falls into the idle time: to what that
//     step asks for, and where it asks for no place or no tool, to what a later
//     one does. Waits after taking off, or after bringing a condition about,
//     hold up whatever needs the item, and its way back; on the way back only a
//     condition that a step must have outright. Waits after putting back hold up
//     what the map lists, or else every filling and the release; waits after the
//     work hold up putting that item back, or if it is fitted filling and
//     release. Ending a condition that repeats starts no wait.
//
// Between plans of equal minutes the one with fewer stretches of two-person
// steps is taken. A way's needs are also what must still be out of the way when
// it is put back, unless the map says otherwise; alternatives among them need
// only one to be out.
package opening

import (
	"lastbolt/plan/access"
)

// A Target is one thing to be done on the vehicle.
type Target struct {
	Item   string        `json:"item"`
	Action access.Action `json:"action"`
}

// A Request is what to plan.
type Request struct {
	Map     *access.Map `json:"-"`
	Targets []Target    `json:"targets"`
	// Already lists items that are out of the way now, with the way used
	// ("item" or "item/way"; without a way, the first), and conditions that
	// hold now. All of them are put back and ended in the end.
	Already []string `json:"already,omitempty"`
	// KeepClosed lists items that must not be opened, and joint kinds
	// ("refrigerant") that no way of the plan may open.
	KeepClosed []string `json:"keep_closed,omitempty"`
	// Tools are the tools owned, by name. OnlyOwned forbids ways that need a
	// tool not owned; otherwise those ways are allowed and Plan.Missing names
	// the tools.
	Tools     []string `json:"tools,omitempty"`
	OnlyOwned bool     `json:"only_owned,omitempty"`
	// Steps is the budget of search nodes; 0 is the default that keeps a phone
	// answering (documented at DefaultSteps).
	Steps int `json:"steps,omitempty"`
}

// Phase is which side of the valley a step is on.
type Phase string

// The phases of a plan, in order.
const (
	Down   Phase = "down"   // taking apart
	Bottom Phase = "bottom" // the work itself
	Up     Phase = "up"     // putting back
)

// A Step is one thing to do. Its id is stable for the same map and choice:
// "down/undertray", "work/cooler/reseal", "up/undertray"; a condition that is
// switched several times gets "#2", "#3" … behind it.
type Step struct {
	ID     string        `json:"id"`
	Phase  Phase         `json:"phase"`
	Item   string        `json:"item"`
	Name   string        `json:"name"`
	Way    string        `json:"way,omitempty"`
	Aside  bool          `json:"aside,omitempty"`
	Action access.Action `json:"action,omitempty"`
	// Fluid names what a filling puts in; Item is empty then.
	Fluid string `json:"fluid,omitempty"`
	// Back says that the step puts an item back, ends a condition or fills.
	Back bool `json:"back,omitempty"`
	// Hand is the expected minutes of hand work, Trouble the expected minutes
	// of what tends to go wrong, SetUp the minutes of changing position, tool
	// or vehicle condition before the step, Idle the minutes spent only
	// waiting before it can begin. Span is the hand minutes low/likely/high.
	Hand    float64 `json:"hand"`
	Trouble float64 `json:"trouble,omitempty"`
	// TroubleVar is the variance of the trouble minutes, in square minutes.
	TroubleVar float64     `json:"trouble_var,omitempty"`
	SetUp      float64     `json:"set_up,omitempty"`
	Idle       float64     `json:"idle,omitempty"`
	Span       access.Span `json:"span"`
	// Start and End are minutes from the beginning of the plan.
	Start  float64 `json:"start"`
	End    float64 `json:"end"`
	Hands  string  `json:"hands,omitempty"`
	Tool   string  `json:"tool,omitempty"`
	People int     `json:"people,omitempty"`
	// AheadHands and AheadTool are the position gone to and the tool taken for
	// a later step, in the time that this one would only wait. SetUp counts
	// them.
	AheadHands string `json:"ahead_hands,omitempty"`
	AheadTool  string `json:"ahead_tool,omitempty"`
	// Wait is what runs by itself once the step is done.
	Wait *access.Wait `json:"wait,omitempty"`
	// Why is the shortest chain of reasons from this step to a target, items'
	// names first to last.
	Why []string `json:"why,omitempty"`
	// Before names the steps (by id) that must be done before this one.
	Before []string `json:"before,omitempty"`
}

// A Plan is the answer to a Request.
type Plan struct {
	MapID   string   `json:"map"`
	Targets []Target `json:"targets"`
	Steps   []Step   `json:"steps"` // down, bottom, up, in order
	// Minutes is the expected total; Bound is a proven lower bound on the
	// expected minutes of any plan for the request; Proven says that they meet
	// (within Tolerance).
	// Tail is what of it is spent waiting after the last step.
	Minutes  float64 `json:"minutes"`
	Tail     float64 `json:"tail,omitempty"`
	Bound    float64 `json:"bound"`
	Proven   bool    `json:"proven"`
	Searched int     `json:"searched"` // nodes
	// NoReturn is the index in Steps of the first step after which the vehicle
	// cannot be driven, -1 if it always can.
	NoReturn int `json:"no_return"`
	// Missing are tools the plan needs that are not owned.
	Missing []string `json:"missing,omitempty"`
	// Free is what comes open along the way: items that need nothing more, or
	// little more, with their marginal minutes and their minutes alone.
	Free []Extra `json:"free,omitempty"`
	// Rejected is each way not chosen of an item in the plan (or of an
	// alternative need), with what it would have cost more.
	Rejected []Rejected `json:"rejected,omitempty"`
}

// Gap is how far the plan may be from the best, as a share of Minutes.
func (p *Plan) Gap() float64 {
	if p.Minutes == 0 {
		return 0
	}
	return (p.Minutes - p.Bound) / p.Minutes
}

// An Extra is something else worth doing while this is open.
type Extra struct {
	Item     string        `json:"item"`
	Name     string        `json:"name"`
	Action   access.Action `json:"action"`
	Marginal float64       `json:"marginal"` // minutes added to this plan
	Alone    float64       `json:"alone"`    // minutes as a job of its own
}

// A Rejected is a way that the plan does not use.
type Rejected struct {
	Item   string  `json:"item"`
	Way    string  `json:"way"`
	Name   string  `json:"name"`
	More   float64 `json:"more"`              // minutes more than the plan; meaningless if Never
	AtMost bool    `json:"at_most,omitempty"` // More is the best found, not proven
	Never  string  `json:"never,omitempty"`   // why it cannot be used at all
}

// An Impossible is the error of a request that has no plan: the smallest set
// of reasons found, each a sentence.
type Impossible struct {
	Target  Target
	Reasons []string
}
