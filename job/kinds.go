package job

import (
	"time"

	"lastbolt/plan/access"
	"lastbolt/plan/opening"
)

// The kinds of event, each with the type of its data. They are part of the
// export format: a kind is never renamed and never changes its meaning. A kind
// that this program does not know is kept as it came.
const (
	KindStarted      Kind = "started"        // Started
	KindRenamed      Kind = "renamed"        // Renamed
	KindOdometer     Kind = "odometer"       // OdometerRead
	KindTargets      Kind = "targets"        // TargetsSet
	KindPlanned      Kind = "planned"        // Planned
	KindWayBack      Kind = "way-back"       // Planned
	KindNone         Kind = "none"           // NoneNeeded
	KindGot          Kind = "got"            // Got
	KindListed       Kind = "listed"         // Listed
	KindBegun        Kind = "begun"          // Begun
	KindDone         Kind = "done"           // StepDone
	KindAside        Kind = "aside"          // StepDone
	KindTakenOff     Kind = "taken-off"      // TakenOff
	KindInTheWay     Kind = "in-the-way"     // WayLink
	KindTrouble      Kind = "trouble"        // TroubleMet
	KindNote         Kind = "note"           // NoteMade
	KindPhoto        Kind = "photo"          // PhotoTaken
	KindUndo         Kind = "undo"           // Undone
	KindExplained    Kind = "explained"      // CountExplained
	KindResolved     Kind = "resolved"       // Resolved
	KindToolsCounted Kind = "tools-counted"  // ToolsCounted
	KindWaitStarted  Kind = "wait-started"   // WaitStarted
	KindWaitEnded    Kind = "wait-ended"     // WaitEnded
	KindTest         Kind = "test"           // TestRead
	KindFoundNotDone Kind = "found-not-done" // FoundNotDone
	KindPaused       Kind = "paused"         // Paused
	KindResumed      Kind = "resumed"        // Resumed
	KindReconfirmed  Kind = "reconfirmed"    // Reconfirmed
	KindReleased     Kind = "released"       // Released
	KindAmended      Kind = "amended"        // Amended
	KindFollowUpDone Kind = "follow-up-done" // FollowUpDone
	KindWorkedOut    Kind = "worked-out"     // WorkedOut
)

// Started begins a job. Vehicle is any text; VehicleID and MapID point to the
// garage's documents and may be empty.
type Started struct {
	Title     string `json:"title,omitempty"`
	Vehicle   string `json:"vehicle,omitempty"`
	VehicleID string `json:"vehicle_id,omitempty"`
	VIN       string `json:"vin,omitempty"`
	Odometer  string `json:"odometer,omitempty"` // as written: "84,200 km"
	Complaint string `json:"complaint,omitempty"`
	MapID     string `json:"map,omitempty"`
}

// Renamed changes what the job is called or what it is about; empty fields
// stay as they were.
type Renamed struct {
	Title     string `json:"title,omitempty"`
	Vehicle   string `json:"vehicle,omitempty"`
	VehicleID string `json:"vehicle_id,omitempty"`
	VIN       string `json:"vin,omitempty"`
	Complaint string `json:"complaint,omitempty"`
}

// OdometerRead is the distance on the clock, as written: "84,200 km".
type OdometerRead struct {
	Odometer string `json:"odometer"`
}

// A Target is something the job is to achieve: an action on a map's item or,
// without a map, on what Name says.
type Target struct {
	Item   string        `json:"item,omitempty"`
	Name   string        `json:"name"`
	Action access.Action `json:"action"`
}

// TargetsSet replaces the job's targets.
type TargetsSet struct {
	Targets []Target `json:"targets"`
	Without string   `json:"without,omitempty"` // why there is no map: "record as you go"
}

// Planned keeps a plan with the items it uses, so that the job can be read
// when the map has long changed. As a way-back event, Why says what turned the
// job round, and Plan is the way back from what was really open.
type Planned struct {
	Plan       opening.Plan  `json:"plan"`
	Items      []access.Item `json:"items"`
	MapID      string        `json:"map,omitempty"`
	MapName    string        `json:"map_name,omitempty"`
	MapVersion int           `json:"map_version,omitempty"`
	Invented   bool          `json:"invented,omitempty"`
	// Already is the Request.Already of the plan: "item" or "item/way".
	Already []string `json:"already,omitempty"`
	Why     string   `json:"why,omitempty"`
}

// NoneNeeded is an explicit "none": the mechanic looked, and there is nothing.
// What names the list, as Readiness names it ("tools", "consumables" …), or a
// step's id with ":fasteners" behind it.
type NoneNeeded struct {
	What string `json:"what"`
}

// How says how something came to be at hand.
type How string

// The ways to get something. Ordered is not yet at hand; NotHad takes back a
// wrong "have".
const (
	Have     How = "have"
	Bought   How = "bought"
	Borrowed How = "borrowed"
	Ordered  How = "ordered"
	Received How = "received"
	NotHad   How = "not had"
)

// Got marks a line of the ready list or of the shopping list, by its key.
type Got struct {
	Key  string `json:"key"`
	Name string `json:"name,omitempty"`
	How  How    `json:"how"`
	Note string `json:"note,omitempty"` // shop, price, part number, order number
}

// A Wanted is something to buy or borrow.
type Wanted struct {
	Name   string `json:"name"`
	Amount string `json:"amount,omitempty"` // "2", "0.5 L"
	Number string `json:"number,omitempty"` // part number
	Size   string `json:"size,omitempty"`
}

// Listed puts something on the shopping list.
type Listed struct {
	Wanted
	Step string `json:"step,omitempty"`
	Why  string `json:"why,omitempty"`
}

// Begun says that the hands are on a step.
type Begun struct {
	Step string `json:"step"`
}

// Tightened records how a fastener group was tightened: the value as used
// ("8 N·m", "8 N·m then 90°", "by hand"), where it came from, and with what.
type Tightened struct {
	Group  string        `json:"group"`
	Value  string        `json:"value"`
	Source access.Source `json:"source,omitempty"`
	With   string        `json:"with,omitempty"` // the wrench
	Marked bool          `json:"marked,omitempty"`
}

// StepDone records a finished step. On the way down Counts are pieces out by
// fastener group, on the way up pieces back. NotCounted names groups that were
// not counted. As an aside event the item hangs by its lines.
type StepDone struct {
	Step       string            `json:"step"`
	Way        string            `json:"way,omitempty"` // when not the planned one
	Counts     map[string]int    `json:"counts,omitempty"`
	NotCounted []string          `json:"not_counted,omitempty"`
	Tray       string            `json:"tray,omitempty"`
	Sizes      map[string]string `json:"sizes,omitempty"`   // found different from the map, by group
	Minutes    float64           `json:"minutes,omitempty"` // measured since begun, without pauses; 0 not measured
	Renewed    map[string]bool   `json:"renewed,omitempty"` // single-use pieces by name: new, or the old one again
	Tightened  []Tightened       `json:"tightened,omitempty"`
	Held       []string          `json:"held,omitempty"` // ids of cautions whose check was confirmed by holding
	Note       string            `json:"note,omitempty"`
	// Fasteners are groups that no map knew, met while doing it; Count is what
	// came out.
	Fasteners []access.Fastener `json:"fasteners,omitempty"`
}

// TakenOff records something that no plan foresaw. Item is its id, made by the
// action that records; Known is the map's item where the map has it. Fasteners
// carry the pieces out as their Count. InWayOf names the items or targets it
// was in the way of.
type TakenOff struct {
	Step      string            `json:"step"` // the id of its step on the way down
	Item      string            `json:"item"`
	Name      string            `json:"name"`
	Known     *access.Item      `json:"known,omitempty"`
	Way       string            `json:"way,omitempty"`
	Aside     bool              `json:"aside,omitempty"`
	NotYet    bool              `json:"not_yet,omitempty"` // met, and still to be taken off
	Before    string            `json:"before,omitempty"`  // the step at which it was met
	InWayOf   []string          `json:"in_way_of,omitempty"`
	Fasteners []access.Fastener `json:"fasteners,omitempty"`
	NoneOff   bool              `json:"no_fasteners,omitempty"` // looked: there are no fasteners
	Opens     []access.Joint    `json:"opens,omitempty"`
	SingleUse []access.Piece    `json:"single_use,omitempty"`
	Hazards   []string          `json:"hazards,omitempty"`
	Tools     []string          `json:"tools,omitempty"`
	Tray      string            `json:"tray,omitempty"`
	Minutes   float64           `json:"minutes,omitempty"`
	Note      string            `json:"note,omitempty"`
}

// WayLink records that Item was in the way of Of: an item, or a target.
type WayLink struct {
	Item string `json:"item"`
	Of   string `json:"of"`
}

// TroubleMet records what went wrong. What is one of Troubles or own words;
// Needs goes on the shopping list at once.
type TroubleMet struct {
	Step    string   `json:"step,omitempty"`
	Group   string   `json:"group,omitempty"`
	What    string   `json:"what"`
	Note    string   `json:"note,omitempty"`
	Minutes float64  `json:"minutes,omitempty"`
	Needs   []Wanted `json:"needs,omitempty"`
}

// Troubles are the usual words for what goes wrong, for buttons.
var Troubles = []string{"broken clip", "seized", "rounded", "stripped", "sheared", "part damaged", "something else"}

// NoteMade is free text on the job or on a step.
type NoteMade struct {
	Step string `json:"step,omitempty"`
	Text string `json:"text"`
}

// PhotoTaken points to a file kept by the hash of its content.
type PhotoTaken struct {
	Step  string `json:"step,omitempty"`
	File  string `json:"file"` // hex SHA-256
	Media string `json:"media,omitempty"`
	Note  string `json:"note,omitempty"`
	Full  bool   `json:"full,omitempty"` // kept as the camera took it, not reduced
}

// Undone takes an event back. An undo can itself be undone.
type Undone struct {
	Event string `json:"event"`
}

// CountExplained accepts a difference in counts, for the very numbers it
// names: when they change, it no longer holds. -1 stands for "not counted".
type CountExplained struct {
	Item  string `json:"item"`
	Group string `json:"group"`
	Out   int    `json:"out"`
	Back  int    `json:"back"`
	Why   string `json:"why"`
}

// Resolved settles a dispute: of the records that differ, Event is the one
// that holds.
type Resolved struct {
	Conflict string `json:"conflict"`
	Event    string `json:"event"`
	Why      string `json:"why,omitempty"`
}

// ToolsCounted is the tool count at the end. Missing tools stay open until a
// later count no longer misses them, or Declared says what became of them.
type ToolsCounted struct {
	Counted  int               `json:"counted"`
	Missing  []string          `json:"missing,omitempty"`
	Declared map[string]string `json:"declared,omitempty"`
}

// WaitStarted starts a timer that runs without hands.
type WaitStarted struct {
	Step    string  `json:"step,omitempty"`
	Kind    string  `json:"kind"` // cool, drain, soak, cure …
	Minutes float64 `json:"minutes"`
}

// WaitEnded ends a wait, by its key, before or after its time.
type WaitEnded struct {
	Wait string `json:"wait"`
	Note string `json:"note,omitempty"` // "hose cool to the touch"
}

// TestRead is one reading of a test. Value is a number as text where the test
// has a unit; else it is one of the test's words, or own words.
type TestRead struct {
	Test  string `json:"test"`
	Name  string `json:"name,omitempty"`
	Value string `json:"value"`
	Unit  string `json:"unit,omitempty"`
	Pass  bool   `json:"pass"`
	Note  string `json:"note,omitempty"`
}

// FoundNotDone is a fault that was seen and left.
type FoundNotDone struct {
	What     string `json:"what"`
	Severity string `json:"severity,omitempty"` // one of Severities
	Advice   string `json:"advice,omitempty"`
	By       string `json:"by,omitempty"` // when it should be done: a date or a distance, as text
	Photo    string `json:"photo,omitempty"`
}

// Severities grade what was found and not done.
var Severities = []string{"do not drive", "soon", "watch"}

// Paused is the pause sheet: what whoever comes next has to know.
type Paused struct {
	Why          string   `json:"why,omitempty"`
	Loose        []string `json:"loose,omitempty"` // fitted but not tight
	MustNotStart []string `json:"must_not_start,omitempty"`
	Until        string   `json:"until,omitempty"`
}

// Resumed goes on after a pause or an idle time. Since is when the hands
// stopped.
type Resumed struct {
	Since time.Time `json:"since,omitzero"`
}

// Reconfirmed says that the finished steps were looked at again and hold.
type Reconfirmed struct {
	Steps []string `json:"steps"`
}

// Released hands the vehicle over. Open is what was still open, as shown to
// whoever released.
type Released struct {
	Who       string   `json:"who"`
	Odometer  string   `json:"odometer,omitempty"`
	Statement string   `json:"statement,omitempty"`
	Open      []string `json:"open,omitempty"`
}

// Amended adds to a released job; what was written before stays.
type Amended struct {
	Who  string `json:"who"`
	Text string `json:"text"`
}

// FollowUpDone closes a follow-up with what was found.
type FollowUpDone struct {
	FollowUp string `json:"follow_up"`
	Found    string `json:"found,omitempty"`
	Odometer string `json:"odometer,omitempty"`
}
