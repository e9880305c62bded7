package seal

import "lastbolt/calc"

// A Kind is a kind of seal, for how it is put in.
type Kind string

// The kinds of seal.
const (
	ORing       Kind = "o-ring"
	MovingRing  Kind = "moving o-ring"
	LipSeal     Kind = "shaft seal"
	RubberFace  Kind = "moulded rubber gasket"
	PaperGasket Kind = "paper or fibre gasket"
	MetalLayer  Kind = "coated metal gasket"
	CrushWasher Kind = "crush washer"
	Silicone    Kind = "silicone sealant"
	Anaerobic   Kind = "anaerobic sealant"
	HoseJoint   Kind = "hose on its neck"
)

// Kinds lists the kinds of seal.
func Kinds() []Kind {
	return []Kind{ORing, MovingRing, LipSeal, RubberFace, PaperGasket, MetalLayer, CrushWasher, Silicone, Anaerobic, HoseJoint}
}

// Rubber reports whether the kind is of rubber, so that grease, fluid and heat
// can harm it.
func (k Kind) Rubber() bool {
	switch k {
	case ORing, MovingRing, LipSeal, RubberFace, HoseJoint:
		return true
	}
	return false
}

// A Lubricant is what a seal may be wetted with when it is put in.
type Lubricant string

// The lubricants.
const (
	Mineral      Lubricant = "mineral grease or oil"
	Jelly        Lubricant = "petroleum jelly"
	SiliconeLube Lubricant = "silicone grease"
	GlycolGrease Lubricant = "glycol rubber grease"
	PAGOil       Lubricant = "PAG oil"
	Fluorinated  Lubricant = "fluorinated grease"
	SoapyWater   Lubricant = "soapy water"
	CleanBrake   Lubricant = "clean brake fluid"
	CleanCoolant Lubricant = "clean coolant"
	CleanOil     Lubricant = "clean engine oil"
)

// Lubricants lists the lubricants.
func Lubricants() []Lubricant {
	return []Lubricant{Mineral, Jelly, SiliconeLube, GlycolGrease, PAGOil, Fluorinated, SoapyWater, CleanBrake, CleanCoolant, CleanOil}
}

// like gives the fluid a lubricant acts like on rubber.
func (l Lubricant) like() Fluid {
	switch l {
	case Mineral, Jelly, CleanOil:
		return MineralGrease
	case SiliconeLube:
		return SiliconeGrease
	case GlycolGrease, CleanBrake:
		return BrakeFluid
	case PAGOil:
		return RefrigerantPAG
	case CleanCoolant, SoapyWater:
		return Water
	}
	return ""
}

// OnRubber rates a lubricant on a material: it attacks the rubber as the fluid
// it is like does, but heat plays no part, for it is cold when put on. A
// fluorinated grease suits every one. Soapy water and coolant are on too short a
// time to harm rubber.
func OnRubber(l Lubricant, m Material) (Rating, string) {
	switch l {
	case Fluorinated:
		return Suits, "attacks no rubber of these families"
	case SoapyWater:
		return Suits, "dries off before it can harm"
	}
	rating, why, _ := Rate(m, l.like())
	if l == CleanCoolant && rating == Limited {
		return Suits, "cold coolant does not harm it"
	}
	if l == GlycolGrease && rating == Unsuited {
		why = "it is of the family of brake fluid, which swells " + string(m)
	}
	return rating, why
}

// NeverOn lists what must never touch a material, in words.
func NeverOn(m Material) []string {
	var never []string
	for _, l := range []Lubricant{Mineral, Jelly, SiliconeLube, GlycolGrease, CleanBrake} {
		if rating, _ := OnRubber(l, m); rating == Unsuited {
			never = append(never, string(l))
		}
	}
	for _, f := range []Fluid{Petrol, Diesel} {
		if rating, _, _ := Rate(m, f); rating == Unsuited {
			never = append(never, string(f)+", to clean it")
		}
	}
	if len(never) == 0 {
		never = append(never, "solvents and brake cleaner")
	}
	return never
}

// A Manner is how a seal is put in.
type Manner string

// The manners.
const (
	Dry     Manner = "dry"
	Greased Manner = "greased"
	Wet     Manner = "wet"
)

// How is how a seal is to be put in.
type How struct {
	Manner Manner
	With   Lubricant // "" when dry
	Say    string    // a sentence: what to do
	Never  []string  // what must never touch it
	Known  calc.Known
}

// Lubricate says how a seal goes in: dry, greased or wet, with what, and what
// must never touch it. m may be "" where the kind is not of rubber or its
// material is not known; what suits every rubber is chosen then. The maker's
// instruction goes before it.
func Lubricate(k Kind, m Material, f Fluid) How {
	if !k.Rubber() {
		return bare(k, f)
	}
	h := How{Manner: Wet, Known: calc.CommonPractice, Never: neverIn(m, f)}
	for _, l := range preferred(k, f) {
		if suitsAll(l, m) && cleanFor(l, f) {
			h.With = l
			break
		}
	}
	switch h.With {
	case SiliconeLube, GlycolGrease, Fluorinated:
		h.Manner = Greased
	}
	h.Say = sayHow(k, h)
	return h
}

// preferred lists lubricants in the order to try: the fluid itself first.
func preferred(k Kind, f Fluid) []Lubricant {
	rest := []Lubricant{SiliconeLube, Fluorinated, SoapyWater}
	switch {
	case f == BrakeFluid:
		return []Lubricant{CleanBrake, GlycolGrease, Fluorinated}
	case f.mineral():
		return append([]Lubricant{CleanOil}, rest...)
	case f == RefrigerantPAG:
		return append([]Lubricant{PAGOil}, rest...)
	case k == HoseJoint && f.watery():
		return append([]Lubricant{CleanCoolant, SoapyWater}, rest...)
	case f == Coolant && k != MovingRing:
		return append([]Lubricant{CleanCoolant}, rest...)
	case f == Petrol || f == Diesel:
		return append([]Lubricant{CleanOil}, rest...)
	}
	return rest
}

// suitsAll reports whether a lubricant suits a material, or every common rubber
// when the material is not known.
func suitsAll(l Lubricant, m Material) bool {
	if m != "" {
		rating, _ := OnRubber(l, m)
		return rating == Suits || rating == Limited && l == PAGOil
	}
	if l == CleanBrake { // preferred only in a brake system, whose seals are made for it
		return true
	}
	for _, each := range []Material{NBR, EPDM, FKM, VMQ} {
		if rating, _ := OnRubber(l, each); rating == Unsuited {
			return false
		}
	}
	return true
}

// cleanFor reports whether a lubricant does no harm in a fluid: brakes take
// nothing mineral nor silicone, and refrigerant nothing but its own oil.
func cleanFor(l Lubricant, f Fluid) bool {
	switch f {
	case BrakeFluid:
		return l == CleanBrake || l == GlycolGrease || l == Fluorinated
	case RefrigerantPAG:
		return l == PAGOil
	case UreaSolution:
		return l == SoapyWater || l == Fluorinated
	}
	return true
}

// neverIn lists what must touch neither the rubber nor the fluid.
func neverIn(m Material, f Fluid) []string {
	never := []string{"solvents and brake cleaner"}
	if m != "" {
		never = NeverOn(m)
	} else {
		never = append(never, "mineral grease, while the rubber is not known (it destroys EPDM)")
	}
	if f == BrakeFluid {
		never = append(never, "anything mineral in a brake system: oil, grease, petrol, not even a trace")
	}
	if f == RefrigerantPAG {
		never = append(never, "any grease, and mineral oil, in the refrigerant circuit")
	}
	return unique(never)
}

func unique(all []string) []string {
	seen := map[string]bool{}
	var kept []string
	for _, s := range all {
		if !seen[s] {
			kept, seen[s] = append(kept, s), true
		}
	}
	return kept
}

func sayHow(k Kind, h How) string {
	if h.With == "" {
		return "Put it in dry and clean: none of the usual lubricants suits both this rubber and the fluid; ask the seal's maker."
	}
	switch k {
	case LipSeal:
		return "Wet the lip with " + string(h.With) + ", the bore dry and clean; ease the lip over the shaft's edge with a sleeve or tape."
	case RubberFace:
		return "Lay it in its groove clean; a few dabs of " + string(h.With) + " may hold it, but no sealant unless the maker asks for it."
	case HoseJoint:
		return "Wet the neck with " + string(h.With) + " and push the hose up to its stop."
	}
	return "Wet the ring and the edge it passes thinly with " + string(h.With) + "; do not roll or twist it."
}

// bare says how seals go in that are not of rubber.
func bare(k Kind, f Fluid) How {
	h := How{Manner: Dry, Known: calc.CommonPractice}
	switch k {
	case PaperGasket:
		h.Say = "Dry and clean on both faces; sealant or grease only where the maker asks for it, for either lets it creep out under load."
		h.Never = []string{"grease or oil on the faces", "silicone sealant on both sides to make up for a bent face"}
	case MetalLayer:
		h.Say = "Dry and clean: its coating is the sealant. Wipe both faces with a solvent that leaves nothing."
		h.Never = []string{"sealant, grease or oil on it", "an abrasive disc on the faces: it leaves hollows and grit"}
	case CrushWasher:
		h.Say = "Dry and new; the face clean of the old one."
		h.Never = []string{"the old washer again", "sealant beside it"}
	case Silicone:
		h.Say = "On faces dry and free of oil; close the joint before it skins."
		h.Never = []string{"oil or coolant on the faces", "more than a bead: what squeezes inwards breaks off and blocks"}
		if f == Petrol || f == Diesel {
			h.Never = append(h.Never, "silicone where petrol or diesel reaches it")
		}
	case Anaerobic:
		h.Say = "On bare clean metal, a thin film on one face; it cures only where air is shut out."
		h.Never = []string{"plastic or painted faces", "a gap over 0.25 mm", "silicone on the same joint"}
	}
	return h
}
