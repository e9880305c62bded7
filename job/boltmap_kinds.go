package job

import (
	"time"

	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// The kinds of event of a bolt map, each with the type of its data.
const (
	KindBoltMap    Kind = "bolt-map"    // BoltMapSet
	KindBolt       Kind = "bolt"        // BoltSet
	KindBoltTorque Kind = "bolt-torque" // BoltTorqueSet
	KindBoltOrder  Kind = "bolt-order"  // BoltOrdered
	KindBoltTurned Kind = "bolt-turned" // BoltTurned
	KindBoltMarks  Kind = "bolt-marks"  // BoltsMarked
	KindWrench     Kind = "wrench"      // WrenchChosen
)

// A Point is a place on the picture of a bolt map, in widths of the picture:
// X from its left edge to the right, Y from its top edge downwards.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// BoltMapSet begins the bolt map of an item, or changes what is given; blank
// fields stay as they were.
type BoltMapSet struct {
	Item string `json:"item"`
	// Picture is a photo by its hash; blank is an empty sheet to draw on.
	Picture string  `json:"picture,omitempty"`
	Media   string  `json:"media,omitempty"`
	Aspect  float64 `json:"aspect,omitempty"` // height over width of picture or sheet; 0 not said
	// Count is how many bolts were counted on the new part; 0 not said.
	Count int `json:"count,omitempty"`
	// From and To are two places whose distance is known: the scale.
	From     *Point                            `json:"from,omitempty"`
	To       *Point                            `json:"to,omitempty"`
	Distance quantity.Written[quantity.Length] `json:"distance,omitzero"`
	Outline  []Point                           `json:"outline,omitempty"` // the part's edge, closed
	// Cover and Seal are one of Covers and of Seals: what the order is computed
	// for.
	Cover string `json:"cover,omitempty"`
	Seal  string `json:"seal,omitempty"`
	// Adapter is what sits between the wrench and these bolts.
	Adapter *Adapter `json:"adapter,omitempty"`
}

// An Adapter sits between a torque wrench and the bolt: a crowfoot, a ring.
// Reach is from the square drive to the bolt, Angle from straight ahead in
// degrees (0 lengthens the wrench, 90 changes nothing, 180 shortens it). Name
// "none" takes an adapter away.
type Adapter struct {
	Name  string                            `json:"name"`
	Reach quantity.Written[quantity.Length] `json:"reach,omitzero"`
	Angle float64                           `json:"angle,omitempty"`
}

// Covers are the kinds of part that bolts hold down, as far as it bends; Seals
// what lies under it.
var (
	Covers = []string{"thick casting", "thin casting", "pressed sheet", "plastic"}
	Seals  = []string{"none", "flat gasket", "rubber seal", "O-ring", "sealant"}
)

// BoltSet puts a bolt on the map, or changes what is given of one. Bolt is its
// id: the id of the event that put it there; blank for a new one. N is its
// number on the map, on the card and in the tray.
type BoltSet struct {
	Item   string                             `json:"item"`
	Bolt   string                             `json:"bolt,omitempty"`
	N      int                                `json:"n,omitempty"`
	At     *Point                             `json:"at,omitempty"`
	Group  string                             `json:"group,omitempty"` // of the step's groups
	Length *quantity.Written[quantity.Length] `json:"length,omitempty"`
	Thread string                             `json:"thread,omitempty"` // where it is not the group's
	Tray   string                             `json:"tray,omitempty"`
	Note   string                             `json:"note,omitempty"`
	Hidden *bool                              `json:"hidden,omitempty"`  // out of sight once fitted
	Keep   *bool                              `json:"keep,omitempty"`    // looks like one, must not be undone
	First  *bool                              `json:"first,omitempty"`   // locates the part: always the first in
	Gone   *bool                              `json:"removed,omitempty"` // not there after all
	Device string                             `json:"device,omitempty"`  // see [Recorder]
}

func (d BoltSet) on(device string) any { d.Device = device; return d }

// BoltTorqueSet says how tight the bolts of a group are to be; Group blank
// means every bolt of the map. UpTo is the upper end of a band of advice.
type BoltTorqueSet struct {
	Item   string                            `json:"item"`
	Group  string                            `json:"group,omitempty"`
	Torque access.Torque                     `json:"torque"`
	UpTo   quantity.Written[quantity.Torque] `json:"up_to,omitzero"`
	Device string                            `json:"device,omitempty"` // see [Recorder]
}

func (d BoltTorqueSet) on(device string) any { d.Device = device; return d }

// A BoltPass is one round over the bolts. Share is the part of the full torque,
// 1 for all of it; Then an angle that follows ("90°").
type BoltPass struct {
	Share float64  `json:"share"`
	Then  string   `json:"then,omitempty"`
	Order []string `json:"order"`
}

// BoltOrdered keeps an order that was worked out, by ids of bolts. Check is the
// order of the later re-check. Working says in a sentence or two how it was
// found; Source is computed, or common practice where nothing was computed.
type BoltOrdered struct {
	Item    string        `json:"item"`
	Loosen  []string      `json:"loosen"`
	Passes  []BoltPass    `json:"passes"`
	Check   []string      `json:"check,omitempty"`
	Source  access.Source `json:"source"`
	Working []string      `json:"working,omitempty"`
}

// A Turn is what is done to a bolt.
type Turn string

// The turns, in the order of a bolt's life. Stuck is a bolt that would not
// come out, or stays in for another reason.
const (
	Cracked  Turn = "cracked"
	TakenOut Turn = "out"
	Stuck    Turn = "stays in"
	RunIn    Turn = "run in"  // back in its hole, by hand
	Clicked  Turn = "tight"   // tightened in a pass
	Checked  Turn = "checked" // looked over again after the last pass
)

// BoltTurned records what was done to one or more bolts. Pass counts from 1.
// Target, Set and With are the torque wanted at the bolt, the figure set on the
// wrench, and the tool with its adapter.
type BoltTurned struct {
	Item   string                            `json:"item"`
	Bolts  []string                          `json:"bolts"`
	Turn   Turn                              `json:"turn"`
	Length quantity.Written[quantity.Length] `json:"length,omitzero"` // of the bolt in hand
	Pass   int                               `json:"pass,omitempty"`
	Target string                            `json:"target,omitempty"` // "5 N·m", "90°"
	Set    string                            `json:"set,omitempty"`
	Source access.Source                     `json:"source,omitempty"`
	With   string                            `json:"with,omitempty"`
	Why    string                            `json:"why,omitempty"`    // of what was done against the map's advice
	Device string                            `json:"device,omitempty"` // see [Recorder]
}

func (d BoltTurned) on(device string) any { d.Device = device; return d }

// BoltsMarked records witness marks, with their photo where there is one.
type BoltsMarked struct {
	Item  string `json:"item"`
	Photo string `json:"photo,omitempty"` // hex SHA-256
	Note  string `json:"note,omitempty"`
}

// WrenchChosen takes a torque wrench for the job, or puts it away again.
// Accuracy is in per cent, 0 for not known; Hand is from the square drive to
// the middle of the hand.
type WrenchChosen struct {
	Tool     string                            `json:"tool"`
	Low      quantity.Written[quantity.Torque] `json:"low,omitzero"`
	High     quantity.Written[quantity.Torque] `json:"high,omitzero"`
	Accuracy float64                           `json:"accuracy,omitempty"`
	Hand     quantity.Written[quantity.Length] `json:"hand,omitzero"`
	Away     bool                              `json:"away,omitempty"`

	since time.Time // when it was chosen: its last check is counted to then
}
