// Package access is the access map: what can be moved on one kind of vehicle,
// what is in the way of what, and what it takes to get each thing off and
// back on.
//
// Start with [Map], then [Parse] to read one from YAML and [Map.Encode] to
// write it. [Check] and [Review] explain what is wrong with a map, and what
// would make it better, in sentences that name the place and the mend. [Draw]
// and [Around] show what is in the way of what as SVG; [FromStarter] begins a
// map from bundled ones; [Schema] is the published JSON Schema. The package
// reads bytes and returns values: it opens no files and plans nothing (package
// opening does).
package access

import (
	"slices"
	"strings"

	"lastbolt/quantity"
)

// Format is the first line of every map file: its kind and version.
const Format = "lastbolt access map 1"

// A Map is what is known about getting at things on one kind of vehicle, or a
// part of one.
type Map struct {
	Format string `yaml:"format" json:"format"`
	ID     string `yaml:"id" json:"id"`
	Name   string `yaml:"name" json:"name"`
	About  string `yaml:"about,omitempty" json:"about,omitempty"`
	// Invented marks a map whose values are made up, as the demo's are. Every
	// screen and page that shows such a value says so.
	Invented  bool       `yaml:"invented,omitempty" json:"invented,omitempty"`
	Positions []Position `yaml:"positions,omitempty" json:"positions,omitempty"`
	SetUp     SetUp      `yaml:"set_up,omitempty" json:"set_up,omitzero"`
	Items     []Item     `yaml:"items" json:"items"`
}

// A Position is where the hands are: from above, from below, in a wheel arch.
type Position struct {
	ID   string `yaml:"id" json:"id"`
	Name string `yaml:"name" json:"name"`
}

// SetUp is what changing costs, in minutes, when the next step needs another
// position or another main tool. Between overrides the flat position figure
// for a pair, in the direction given.
type SetUp struct {
	Position float64    `yaml:"position,omitempty" json:"position,omitempty"`
	Tool     float64    `yaml:"tool,omitempty" json:"tool,omitempty"`
	Between  []Transfer `yaml:"between,omitempty" json:"between,omitempty"`
}

// A Transfer is the cost in minutes of moving from one position to another.
type Transfer struct {
	From    string  `yaml:"from" json:"from"`
	To      string  `yaml:"to" json:"to"`
	Minutes float64 `yaml:"minutes" json:"minutes"`
}

// Kind says what an item is.
type Kind string

// The kinds of item. A condition is a state of the vehicle (raised, battery
// disconnected, engine cold, coolant down): getting it "off" means bringing
// the condition about, putting it "back" means ending it.
const (
	Part      Kind = "part"
	Condition Kind = "condition"
)

// An Item is something that can be moved out of the way, or a condition of the
// vehicle that can be brought about.
type Item struct {
	ID   string `yaml:"id" json:"id"`
	Name string `yaml:"name" json:"name"`
	Kind Kind   `yaml:"kind,omitempty" json:"kind,omitempty"` // empty means part
	// Area groups items for drawings and lists: "front", "belt side".
	Area string `yaml:"area,omitempty" json:"area,omitempty"`
	// Repeats marks a condition that can be switched on and off as often as
	// wanted, at its minutes each time (raising and lowering). Others are
	// brought about once and ended once.
	Repeats bool `yaml:"repeats,omitempty" json:"repeats,omitempty"`
	// Immobile says that the vehicle cannot be driven while this is off.
	Immobile bool `yaml:"immobile,omitempty" json:"immobile,omitempty"`
	// Critical names the safety system whose joints these are (brakes,
	// steering, wheels, suspension, restraint, fuel, timing); empty for none.
	Critical string `yaml:"critical,omitempty" json:"critical,omitempty"`
	Ways     []Way  `yaml:"ways" json:"ways"`
	Work     []Work `yaml:"work,omitempty" json:"work,omitempty"`
	Notes    string `yaml:"notes,omitempty" json:"notes,omitempty"`
}

// WayKind is what a way does with the item.
type WayKind string

// An item is got out of the way by taking it off or by setting it aside with
// its lines still connected.
const (
	Off   WayKind = "off"
	Aside WayKind = "aside"
)

// A Way is one way to get an item out of the way, and back.
type Way struct {
	ID   string  `yaml:"id" json:"id"` // unique within its item
	Name string  `yaml:"name,omitempty" json:"name,omitempty"`
	Kind WayKind `yaml:"kind,omitempty" json:"kind,omitempty"` // empty means off
	// Needs is what must be out of the way (or, for a condition, hold) before
	// this way can begin: all of the list. A condition that repeats must hold
	// at that moment.
	Needs []Need `yaml:"needs,omitempty" json:"needs,omitempty"`
	// Still lists items that must still be fitted while this is done, as the
	// belt that holds the pulley while its bolts are cracked; a condition that
	// repeats must not hold at that moment.
	Still   []string   `yaml:"still,omitempty" json:"still,omitempty"`
	Hands   string     `yaml:"hands,omitempty" json:"hands,omitempty"` // a Position's id; empty: anywhere
	People  int        `yaml:"people,omitempty" json:"people,omitempty"`
	Minutes BothWays   `yaml:"minutes" json:"minutes"`
	Guess   bool       `yaml:"guess,omitempty" json:"guess,omitempty"` // nobody timed it: the minutes are a guess
	Wait    *Wait      `yaml:"wait,omitempty" json:"wait,omitempty"`   // runs by itself after the hands are done
	Tools   List[Tool] `yaml:"tools,omitempty" json:"tools,omitzero"`
	// Fasteners, SingleUse, Consumables and Fluids tell an explicit "none"
	// from a blank, which means not known.
	Fasteners   List[Fastener]   `yaml:"fasteners,omitempty" json:"fasteners,omitzero"`
	SingleUse   List[Piece]      `yaml:"single_use,omitempty" json:"single_use,omitzero"`
	Consumables List[Consumable] `yaml:"consumables,omitempty" json:"consumables,omitzero"`
	Fluids      List[Fluid]      `yaml:"fluids,omitempty" json:"fluids,omitzero"`
	// Opens lists the joints that are open once this is done; tests and
	// follow-ups are made from it.
	Opens   []Joint   `yaml:"opens,omitempty" json:"opens,omitempty"`
	Hazards []string  `yaml:"hazards,omitempty" json:"hazards,omitempty"` // caution triggers: jack, coolant, battery …
	Trouble []Trouble `yaml:"trouble,omitempty" json:"trouble,omitempty"`
	Back    Back      `yaml:"back,omitempty" json:"back,omitzero"`
	Notes   string    `yaml:"notes,omitempty" json:"notes,omitempty"`
}

// A Need is one condition before a way can begin: an item out of the way (by
// any way, or by the way or kind of way named), or all or any of several
// needs. Exactly one of Item, All and Any is set. In YAML a plain word is an
// item.
type Need struct {
	Item string `yaml:"item,omitempty" json:"item,omitempty"`
	// Way narrows Item to one way's id or to a kind of way ("off", "aside").
	Way string `yaml:"way,omitempty" json:"way,omitempty"`
	All []Need `yaml:"all,omitempty" json:"all,omitempty"`
	Any []Need `yaml:"any,omitempty" json:"any,omitempty"`
}

// Span is minutes of work: low, likely and high, low ≤ likely ≤ high, not
// negative. In YAML a list of three, or one figure for all three.
type Span struct {
	Low, Likely, High float64
}

// Mean is the expected minutes by the three-point estimate (low + 4·likely +
// high)/6.
func (s Span) Mean() float64 { return (s.Low + 4*s.Likely + s.High) / 6 }

// BothWays is the minutes of taking off and of putting back.
type BothWays struct {
	Off Span `yaml:"off" json:"off"`
	On  Span `yaml:"on" json:"on"`
}

// A Wait is time that runs without hands: cooling, draining, soaking, curing.
type Wait struct {
	Kind    string `yaml:"kind" json:"kind"` // cool, drain, soak, cure …
	Minutes Span   `yaml:"minutes" json:"minutes"`
	Source  string `yaml:"source,omitempty" json:"source,omitempty"`
}

// A Tool is one tool a way needs; any of the names will do, the first is the
// usual one. In YAML a plain string, or {any: [...]}.
type Tool struct {
	Any []string `yaml:"any" json:"any"`
}

// A Fastener is a group of like fasteners that come out together.
type Fastener struct {
	ID      string                            `yaml:"id" json:"id"`
	Name    string                            `yaml:"name,omitempty" json:"name,omitempty"`
	Count   int                               `yaml:"count" json:"count"`
	Thread  string                            `yaml:"thread,omitempty" json:"thread,omitempty"` // "M6", "M8x1.25"; empty for clips
	Length  quantity.Written[quantity.Length] `yaml:"length,omitempty" json:"length,omitzero"`
	Head    string                            `yaml:"head,omitempty" json:"head,omitempty"`   // "10 mm hex"
	Class   string                            `yaml:"class,omitempty" json:"class,omitempty"` // property class, "8.8"
	Torque  Torque                            `yaml:"torque,omitempty" json:"torque,omitzero"`
	At      []Spot                            `yaml:"at,omitempty" json:"at,omitempty"`                   // where each is, for a bolt map; nil where nobody measured
	Loosen  bool                              `yaml:"loosen_only,omitempty" json:"loosen_only,omitempty"` // cracked, not taken out
	Replace bool                              `yaml:"replace,omitempty" json:"replace,omitempty"`         // single use: new on the way back
	Notes   string                            `yaml:"notes,omitempty" json:"notes,omitempty"`
}

// Tightens tells what is tightened from what only clips in. A group of which
// nothing but its name is written is a clip where the name says so; a bolt of
// which nothing is known still has its torque, which is then not known.
func (f Fastener) Tightens() bool {
	if f.Thread != "" || f.Head != "" || f.Torque != (Torque{}) {
		return true
	}
	head, _, _ := strings.Cut(strings.ToLower(f.Name), ",")
	words := strings.Fields(head)
	return len(words) == 0 || !slices.Contains([]string{"clip", "clips", "rivet", "rivets"}, words[len(words)-1])
}

// Torque is a tightening torque and where it comes from. A zero Value means
// not known; the screen then says so and to look it up.
type Torque struct {
	Value  quantity.Written[quantity.Torque] `yaml:"value,omitempty" json:"value,omitzero"`
	Then   string                            `yaml:"then,omitempty" json:"then,omitempty"` // "then 90 degrees"
	Source Source                            `yaml:"source,omitempty" json:"source,omitempty"`
	Where  string                            `yaml:"where,omitempty" json:"where,omitempty"` // the document and page
}

// Source is where a figure comes from.
type Source string

// The sources a figure can have. A blank source of a given value is treated as
// NotKnown: it may be shown, never as a specification.
const (
	Maker          Source = "maker's document"
	Published      Source = "published table"
	Measured       Source = "own measurement"
	Computed       Source = "computed"
	CommonPractice Source = "common practice"
	NotKnown       Source = "not known"
)

// A Piece is something that is renewed: a seal, a gasket, a clip, the part
// itself.
type Piece struct {
	Name   string `yaml:"name" json:"name"`
	Count  int    `yaml:"count,omitempty" json:"count,omitempty"` // 0 means 1
	Number string `yaml:"number,omitempty" json:"number,omitempty"`
	Size   string `yaml:"size,omitempty" json:"size,omitempty"`
}

// A Consumable is something used up, with its amount as text with a unit:
// "0.4 L", "20 ml", "1 pair".
type Consumable struct {
	Name   string `yaml:"name" json:"name"`
	Amount string `yaml:"amount,omitempty" json:"amount,omitempty"`
	// For names when it is wanted: "back" (the default: on the way back) or
	// "off".
	For string `yaml:"for,omitempty" json:"for,omitempty"`
}

// A Fluid is what runs out when a way is done, and has to go back in.
type Fluid struct {
	Name   string                            `yaml:"name" json:"name"` // coolant, engine oil …
	Amount quantity.Written[quantity.Volume] `yaml:"amount,omitempty" json:"amount,omitzero"`
	From   string                            `yaml:"from,omitempty" json:"from,omitempty"`
	Reuse  bool                              `yaml:"reuse,omitempty" json:"reuse,omitempty"` // caught clean and put back
	// Minutes is the hand work of filling it again and bleeding it; zero is not
	// counted. Where several ways let the same fluid out the longest counts.
	Minutes Span `yaml:"minutes,omitempty" json:"minutes,omitzero"`
}

// A Joint is something that is open once a way is done: a fluid joint, a
// connector, a guard. Kind is one of JointKinds.
type Joint struct {
	Kind string `yaml:"kind" json:"kind"`
	Name string `yaml:"name,omitempty" json:"name,omitempty"`
	Seal Seal   `yaml:"seal,omitempty" json:"seal,omitzero"`
}

// A Seal is what keeps a joint tight; blank fields are not known.
type Seal struct {
	Kind     string `yaml:"kind,omitempty" json:"kind,omitempty"`         // one of SealKinds
	Size     string `yaml:"size,omitempty" json:"size,omitempty"`         // of an O-ring: "214", "20x2.65"
	Material string `yaml:"material,omitempty" json:"material,omitempty"` // one of SealMaterials
}

// SealKinds are the kinds of seal, and SealMaterials what seals are made of, by
// their short signs.
var (
	SealKinds = []string{"o-ring", "moving o-ring", "shaft seal", "moulded rubber gasket", "paper or fibre gasket",
		"coated metal gasket", "crush washer", "silicone sealant", "anaerobic sealant", "hose on its neck"}
	SealMaterials = []string{"NBR", "HNBR", "EPDM", "FKM", "VMQ", "ACM", "FVMQ", "CR", "PTFE"}
)

// JointKinds are the kinds of joint a way can open, in the order lists show
// them. "refrigerant" is the sealed circuit that only licensed people open.
var JointKinds = []string{
	"coolant", "oil", "fuel", "brake fluid", "power steering", "gearbox oil",
	"refrigerant", "air intake", "vacuum", "exhaust", "connector", "earth",
	"belt", "guard", "wheel", "steering", "suspension", "brake", "timing", "airbag",
}

// Trouble is what tends to go wrong, how often (0 to 1), what it costs, and
// what it then needs.
type Trouble struct {
	What    string   `yaml:"what" json:"what"`
	Odds    float64  `yaml:"odds" json:"odds"`
	Minutes float64  `yaml:"minutes,omitempty" json:"minutes,omitempty"`
	Needs   []Piece  `yaml:"needs,omitempty" json:"needs,omitempty"`
	Tools   []string `yaml:"tools,omitempty" json:"tools,omitempty"`
}

// Back is what a way asks for on the way back, where that is not the mirror of
// taking off.
type Back struct {
	// After lists items that must be back on before this one is.
	After []string `yaml:"after,omitempty" json:"after,omitempty"`
	// Still lists items that must still be off (conditions that repeat: must
	// hold) while this is put back. Nil means the mirror of Needs.
	Still []string `yaml:"still,omitempty" json:"still,omitzero"`
	// Ground asks for ride height: every repeating condition ended.
	Ground bool `yaml:"ride_height,omitempty" json:"ride_height,omitempty"`
	// BeforeFilling asks that this is back before any fluid goes in.
	BeforeFilling bool   `yaml:"before_filling,omitempty" json:"before_filling,omitempty"`
	Hands         string `yaml:"hands,omitempty" json:"hands,omitempty"` // where they differ
	Wait          *Wait  `yaml:"wait,omitempty" json:"wait,omitempty"`   // cure, before the items in WaitFor
	// WaitFor lists the items that may not follow before the wait is over;
	// empty with a Wait means every filling and the release.
	WaitFor []string `yaml:"wait_for,omitempty" json:"wait_for,omitempty"`
	Notes   string   `yaml:"notes,omitempty" json:"notes,omitempty"`
}

// Action is what is to be done on a target.
type Action string

// The actions a target can ask for.
const (
	Replace    Action = "replace"
	Reseal     Action = "reseal"
	Inspect    Action = "inspect"
	AccessOnly Action = "access only"
)

// Work is what one action takes once the item can be got at. Needs are what
// must be out of the way for it; nil means the item itself must be off (for
// Inspect and AccessOnly: out of the way by any way).
type Work struct {
	Action      Action           `yaml:"action" json:"action"`
	Needs       []Need           `yaml:"needs,omitempty" json:"needs,omitzero"`
	Hands       string           `yaml:"hands,omitempty" json:"hands,omitempty"`
	Minutes     Span             `yaml:"minutes" json:"minutes"`
	Guess       bool             `yaml:"guess,omitempty" json:"guess,omitempty"` // nobody timed it: the minutes are a guess
	Wait        *Wait            `yaml:"wait,omitempty" json:"wait,omitempty"`
	Tools       List[Tool]       `yaml:"tools,omitempty" json:"tools,omitzero"`
	Parts       List[Piece]      `yaml:"parts,omitempty" json:"parts,omitzero"`
	Consumables List[Consumable] `yaml:"consumables,omitempty" json:"consumables,omitzero"`
	Hazards     []string         `yaml:"hazards,omitempty" json:"hazards,omitempty"`
	Tests       []Test           `yaml:"tests,omitempty" json:"tests,omitempty"`
	Notes       string           `yaml:"notes,omitempty" json:"notes,omitempty"`
}

// A Test proves the repair: a value to be measured, with its limits as text in
// its own unit ("13.5 V", "14.8 V") and their source.
type Test struct {
	Name   string   `yaml:"name" json:"name"`
	Unit   string   `yaml:"unit,omitempty" json:"unit,omitempty"`
	Low    *float64 `yaml:"low,omitempty" json:"low,omitempty"`
	High   *float64 `yaml:"high,omitempty" json:"high,omitempty"`
	Source Source   `yaml:"source,omitempty" json:"source,omitempty"`
	Where  string   `yaml:"where,omitempty" json:"where,omitempty"`
}

// A List is a list that knows whether it was given: blank means not known, an
// explicit "none" means that there is nothing. In YAML and JSON: absent, the
// word none, or a list.
type List[T any] struct {
	Given bool
	Items []T
}

// None reports an explicit "none".
func (l List[T]) None() bool { return l.Given && len(l.Items) == 0 }

// IsZero reports a blank list, so that encoders leave it out.
func (l List[T]) IsZero() bool { return !l.Given && len(l.Items) == 0 }
