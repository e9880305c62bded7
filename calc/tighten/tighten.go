// Package tighten finds the order and the number of passes in which the bolts
// of a cover, housing or flange are tightened and loosened, for bolts anywhere.
//
// Start with Plan, which takes a Joint and gives an Order; Evaluate puts an
// order that somebody else gives (the maker, a habit) through the same model.
// The joint is modelled as an elastic plate (or a rigid body) on a seal that can
// only push, held by bolts that are springs: tightening one bolt lets its
// neighbours go and can pull far ones up. Matrix gives that interaction as
// numbers.
//
// Lengths in a Joint are x to the right and y down, as on a photo. Only the
// proportions of the preloads matter. The stiffness classes are orders of
// magnitude, so the answer is a comparison of orders, not a prediction of seal
// pressure; the package gives no torque and knows no maker's order. It does no
// I/O, keeps no state between calls and gives the same answer every time.
package tighten

import (
	"context"

	"lastbolt/quantity"
)

// A Point is a place on the joint face, x to the right and y down.
type Point struct{ X, Y quantity.Length }

// A Bolt is one bolt of the joint. The zero value of a field but X and Y means
// not known.
type Bolt struct {
	X, Y     quantity.Length
	Length   quantity.Length // of the shank, under the head
	Diameter quantity.Length // nominal, of the thread
	Torque   quantity.Torque // turned into a preload as T/(0.2·d)
	Preload  quantity.Force  // goes before Torque
	First    bool            // locates the part, so it goes before those that do not
	Reach    string          // where the hands or the mechanic must be for it, in a word or two
}

// Cover is how stiff the part is that the bolts hold down.
type Cover string

// The classes of cover, from a plate that cannot bend to pressed sheet.
const (
	Rigid Cover = "rigid"         // solid: the limit of no bending
	Stiff Cover = "stiff casting" // ribbed or thick, 15 mm of aluminium
	Thin  Cover = "thin casting"  // 6 mm of aluminium
	Sheet Cover = "sheet"         // 2 mm of steel
)

// Seal is what lies between the faces.
type Seal string

// The classes of seal, from what gives most to what gives least.
const (
	Rubber  Seal = "rubber gasket"
	ORing   Seal = "O-ring"
	Flat    Seal = "flat gasket"
	Sealant Seal = "liquid sealant"
	Metal   Seal = "metal to metal"
)

// A Joint is what is to be bolted together.
type Joint struct {
	Bolts   []Bolt  // 1 to MaxBolts, no two in one place
	Outline []Point // of the cover, closed; nil: a flange around the seal
	Line    []Point // of the seal, closed; nil: the outline drawn in, else along the bolts
	Cover   Cover   // "" is Stiff
	Seal    Seal    // "" is Flat
	Dowels  bool    // the cover slides on dowels, on which it jams when it tilts
	// PlateStiffness in N·m and SealStiffness in N/m per metre of line (Pa) take the
	// place of the class's value when they are not 0.
	PlateStiffness float64
	SealStiffness  float64
}

// MaxBolts is the largest number of bolts taken. Larger flanges are tightened
// in groups of neighbours, each group standing for one bolt.
const MaxBolts = 100

// Options are the wishes for a Plan. The zero value leaves all to Plan.
type Options struct {
	Passes int // crossing passes, 1 to 6; 0: the fewest that are worth it, at least 2
	// Shares are the parts of the final preload each pass goes to, rising to 1; nil:
	// equal steps. Their number goes before Passes.
	Shares []float64
	// Effort limits the search, in millions of multiplications; 0: a default that
	// keeps 12 bolts under 200 ms and 30 under a second.
	Effort int
}

// A Pass is once over all bolts.
type Pass struct {
	Share    float64 `json:"share"`    // of the final preload, over 0 to 1
	Sequence []int   `json:"sequence"` // indices of Joint.Bolts
}

// An Order is the answer of Plan.
type Order struct {
	Passes []Pass // all with the same sequence
	// Circular reports whether a last pass around at full preload is worth it; it is
	// not among Passes. Around is its sequence.
	Circular bool
	Around   []int
	Loosen   []int
	Run      *Run // of Passes, without the circular pass
	Why      *Why
	// Proven reports whether all sequences were gone through, each to where it cost
	// more than the best; otherwise the best of Tried ones was taken. Gap is
	// by how much of its cost this order is worse than that best one: it is over 0,
	// and at most 0.05, where the familiar order is as good in practice.
	Proven bool
	Tried  int
	Gap    float64
}

// Plan finds the tightening and loosening order of a joint. The error is a
// sentence for the person asking. When ctx ends, the best order found so far is
// given, not proven.
func Plan(ctx context.Context, j Joint, o Options) (*Order, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	m, err := newModel(j)
	if err != nil {
		return nil, err
	}
	if len(j.Bolts) == 1 {
		return single(m), nil
	}
	return m.plan(ctx, o), nil
}

// Evaluate puts an order through the model of the joint: each pass may have its
// own sequence and need not name every bolt.
func Evaluate(j Joint, passes []Pass) (*Run, error) {
	m, err := newModel(j)
	if err != nil {
		return nil, err
	}
	if err := checkPasses(passes, len(j.Bolts)); err != nil {
		return nil, err
	}
	return m.run(passes), nil
}
