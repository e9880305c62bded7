package seal

import (
	"fmt"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// Limits is what is published as good practice for one kind of seat; the
// sources differ, and each figure says whose it is.
type Limits struct {
	Squeeze [2]float64 // as it stands nominally, share
	Worst   [2]float64 // over the tolerance band, share
	Stretch [2]float64 // under pull, share
	Fill    float64    // most, worst case, share
	Whose   string     // in a few words, for a sentence
}

// LimitsOf gives the limits for a seat and motion. Squeeze: marcorubber.com
// (face 20 to 30 %, static radial 18 to 25 %, reciprocating 10 to 20 %, rotary
// up to 10 %). Worst case: the published static gland table (Apple Rubber)
// reaches 14 to 32 % radial and 19 to 33 % axial, so 10 to 35 % face and 10 to
// 32 % radial are taken as the ends; those of moving seats are common practice.
// Stretch: 0 to 5 %. Fill: 85 % at most, common, from memory of the handbooks.
func LimitsOf(seat Seat, motion Motion) Limits {
	l := Limits{Stretch: [2]float64{0, 0.05}, Fill: 0.85}
	switch {
	case motion == Rotary:
		l.Squeeze, l.Worst, l.Whose = [2]float64{0, 0.10}, [2]float64{0, 0.15}, "published guide, rotary"
	case motion == Reciprocating:
		l.Squeeze, l.Worst, l.Whose = [2]float64{0.10, 0.20}, [2]float64{0.08, 0.25}, "published guide, reciprocating"
	case seat == Face:
		l.Squeeze, l.Worst, l.Whose = [2]float64{0.20, 0.30}, [2]float64{0.10, 0.35}, "published guide, face"
	default:
		l.Squeeze, l.Worst, l.Whose = [2]float64{0.18, 0.25}, [2]float64{0.10, 0.32}, "published guide, static radial"
	}
	return l
}

// A Finding is one thing to say of a fit.
type Finding struct {
	Level calc.Level
	Say   string
}

// Judge says what is good and bad of a fit and what to change. An empty list
// means that nothing was known to judge.
func (f Fit) Judge(g Gland, r Ring, motion Motion) []Finding {
	var all []Finding
	add := func(level calc.Level, format string, args ...any) {
		all = append(all, Finding{level, fmt.Sprintf(format, args...)})
	}
	l := LimitsOf(g.Seat, motion)
	f.judgeSqueeze(add, l)
	f.judgeStretch(add, g, l)
	f.judgeFill(add, l)
	return all
}

type adder func(level calc.Level, format string, args ...any)

func (f Fit) judgeSqueeze(add adder, l Limits) {
	// The published ranges are of the free section; whether it seals at the worst
	// is for the stretched one to say.
	low, nominal, high := f.Stretched.Low, f.Squeeze.Likely, f.Squeeze.High
	mid := (l.Squeeze[0] + l.Squeeze[1]) / 2
	depth := show(f.Section * quantity.Length(1-mid))
	thick := show(f.Depth.Nominal / quantity.Length(1-mid))
	switch {
	case low <= 0:
		add(calc.Bad, "At the ends of the tolerances nothing squeezes the ring (%.0f %%): it can leak. A section of about %s would suit this depth, or a depth of about %s this ring.", low*100, thick, depth)
	case low < l.Worst[0]:
		add(calc.Careful, "The squeeze may be as little as %.0f %%, under %.0f %%: a section of about %s would suit this depth.", low*100, l.Worst[0]*100, thick)
	case high > l.Worst[1]+0.08:
		add(calc.Bad, "The squeeze may reach %.0f %%: the ring is crushed and takes a set. A section of about %s would suit this depth.", high*100, thick)
	case high > l.Worst[1]:
		add(calc.Careful, "The squeeze may reach %.0f %%, over %.0f %%: a section of about %s would suit this depth.", high*100, l.Worst[1]*100, thick)
	case nominal < l.Squeeze[0] || nominal > l.Squeeze[1]:
		add(calc.Careful, "The squeeze of %.0f %% seals but lies outside the usual %.0f to %.0f %% (%s).", nominal*100, l.Squeeze[0]*100, l.Squeeze[1]*100, l.Whose)
	default:
		add(calc.Good, "The squeeze of %.0f %% (worst cases %.0f to %.0f %%) lies in the usual %.0f to %.0f %% (%s).", nominal*100, low*100, high*100, l.Squeeze[0]*100, l.Squeeze[1]*100, l.Whose)
	}
}

func (f Fit) judgeStretch(add adder, g Gland, l Limits) {
	s := f.Stretch.Likely
	switch {
	case g.over().Nominal == 0:
	case s > 0.08:
		add(calc.Bad, "The ring is stretched by %.1f %% where it stays, over the usual 5 %%: it thins and ages; take a larger inside diameter.", s*100)
	case s > l.Stretch[1]:
		add(calc.Careful, "The ring is stretched by %.1f %% where it stays; up to 5 %% is usual.", s*100)
	case g.Seat == Piston && s < -0.01:
		add(calc.Bad, "The ring hangs loose by %.1f %%: it is too large for this groove and gets pinched going in; take a smaller inside diameter.", -s*100)
	case g.Seat == Piston && f.Stretch.Low < 0:
		add(calc.Careful, "The ring may hang loose by %.1f %%; grease holds it in the groove while it goes in.", -f.Stretch.Low*100)
	}
	switch o := f.Outer.Likely; {
	case o > 0.05:
		add(calc.Bad, "The ring is %.1f %% larger across than the groove's outer wall: it is bigger than the groove and buckles.", o*100)
	case o > 0.03:
		add(calc.Careful, "The ring is %.1f %% larger across than the groove's outer wall; up to 3 %% is usual.", o*100)
	}
}

func (f Fit) judgeFill(add adder, l Limits) {
	switch fill := f.Fill; {
	case fill.Likely == 0:
	case fill.Likely > 1:
		add(calc.Bad, "The ring fills %.0f %% of the groove: the joint cannot close on it.", fill.Likely*100)
	case fill.High > 1:
		add(calc.Bad, "At the ends of the tolerances the ring fills %.0f %% of the groove: the joint may not close on it.", fill.High*100)
	case fill.High > l.Fill:
		add(calc.Careful, "The ring may fill %.0f %% of the groove; %.0f %% at most leaves room for heat and swell.", fill.High*100, l.Fill*100)
	default:
		add(calc.Good, "The ring fills %.0f %% of the groove (at most %.0f %%), which leaves room for heat and swell.", fill.Likely*100, fill.High*100)
	}
}
