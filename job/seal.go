package job

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"lastbolt/calc"
	"lastbolt/calc/seal"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// KindSeal is the kind of event of a seal, with SealSet as its data.
const KindSeal Kind = "seal"

// SealSet says what seals a joint that the job opens, what was measured of it,
// or why it is fitted all the same; blank fields stay as they were.
type SealSet struct {
	Joint    string                                 `json:"joint"` // JointSeal.ID
	Kind     seal.Kind                              `json:"kind,omitempty"`
	Size     string                                 `json:"size,omitempty"` // of an O-ring: "214", "20x2.65"
	Material seal.Material                          `json:"material,omitempty"`
	Fluid    seal.Fluid                             `json:"fluid,omitempty"` // where the joint does not tell
	Hot      quantity.Written[quantity.Temperature] `json:"hot,omitzero"`    // the hottest it gets there

	// What was measured: of the ring where its size is not known, and of the
	// room it sits in, each within Error either way.
	Inside  quantity.Written[quantity.Length] `json:"inside,omitzero"`
	Section quantity.Written[quantity.Length] `json:"section,omitzero"`
	Seat    seal.Seat                         `json:"seat,omitempty"`
	Depth   quantity.Written[quantity.Length] `json:"depth,omitzero"`
	Groove  quantity.Written[quantity.Length] `json:"groove,omitzero"`
	Mate    quantity.Written[quantity.Length] `json:"mate,omitzero"`
	Width   quantity.Written[quantity.Length] `json:"width,omitzero"`
	Error   quantity.Written[quantity.Length] `json:"error,omitzero"`

	// Anyway is why it is fitted although it is judged unfit; it holds until the
	// seal is changed.
	Anyway string `json:"anyway,omitempty"`
	Note   string `json:"note,omitempty"`
}

// A JointSeal is what keeps one joint tight, as the map and the record say. It
// is read only, as all of a State.
type JointSeal struct {
	ID    string // as the joint's test has it
	Item  string
	Name  string // "Radiator tap"
	Opens access.Joint
	SealSet
	Mapped bool      // the map names it
	At     time.Time // of the latest record of it, zero for none
	By     string
	Down   *Step // the step that opens the joint, nil when no plan does any more
	way    string
}

// sealFluids is the fluid behind each kind of joint that a seal keeps tight.
var sealFluids = map[string]seal.Fluid{
	"coolant": seal.Coolant, "oil": seal.EngineOil, "fuel": seal.Petrol, "brake fluid": seal.BrakeFluid, "power steering": seal.Transmission,
	"gearbox oil": seal.GearOil, "refrigerant": seal.RefrigerantPAG, "air intake": seal.AirAndOzone, "vacuum": seal.AirAndOzone, "exhaust": "",
}

// hottest is how hot a seal is taken to get by its fluid, in °C, where nobody
// measured: common practice, no source. coldest is a winter night.
var hottest = map[seal.Fluid]float64{
	seal.Coolant: 110, seal.EngineOil: 130, seal.Petrol: 60, seal.Diesel: 80, seal.BrakeFluid: 100, seal.Transmission: 110,
	seal.GearOil: 110, seal.RefrigerantPAG: 90, seal.AirAndOzone: 90,
}

const coldest = -20

// jointID names a joint: its test and its seal go by it.
func jointID(item string, j access.Joint) string {
	id := "joint/" + item + "/" + slug(j.Kind)
	if j.Name != "" {
		id += "/" + slug(j.Name)
	}
	return id
}

// Seal finds the seal of a joint by its id, nil if there is none.
func (s *State) Seal(id string) *JointSeal {
	for _, j := range s.Seals {
		if j.ID == id {
			return j
		}
	}
	return nil
}

// SealsOf are the seals of the joints that a step opens or closes.
func (s *State) SealsOf(st *Step) []*JointSeal {
	var all []*JointSeal
	for _, j := range s.Seals {
		if (st.Opens || st.Closes) && j.Item == st.Item && (st.way == nil || j.way == st.way.ID) {
			all = append(all, j)
		}
	}
	return all
}

// Uncured lists the joints that were closed with liquid sealant and for which
// nobody began a wait: neither the map brought one nor a person started it.
func (s *State) Uncured() []*JointSeal {
	var all []*JointSeal
	for _, j := range s.Seals {
		if j.Kind != seal.Silicone && j.Kind != seal.Anaerobic || j.Down == nil {
			continue
		}
		closed := j.Down.Partner
		if st := s.StepByID(closed); st == nil || !st.IsDone() {
			continue
		}
		if !slices.ContainsFunc(s.Waits, func(w Wait) bool { return w.Step == closed }) {
			all = append(all, j)
		}
	}
	return all
}

// Named reports whether it is known what kind of seal it is.
func (j *JointSeal) Named() bool { return j.Kind != "" }

// Text names the seal: "o-ring 20x2.65, EPDM".
func (j *JointSeal) Text() string {
	if !j.Named() {
		return ""
	}
	text := strings.TrimSpace(string(j.Kind) + " " + j.Size)
	if j.Material != "" {
		text += ", " + string(j.Material)
	}
	return text
}

// Title names the seal for a page: "O-ring 20x2.65, EPDM"; "" while it is not
// known.
func (j *JointSeal) Title() string { return capital(j.Text()) }

// InText says what it is and how it goes in: "O-ring 20x2.65, EPDM: wet, with
// clean coolant"; "" while it is not known.
func (j *JointSeal) InText() string {
	how, ok := j.How()
	if !ok {
		return ""
	}
	text := j.Title() + ": " + string(how.Manner)
	if how.With != "" {
		text += ", with " + string(how.With)
	}
	return text
}

// Holds is the fluid the seal has to stand: the one recorded, else by the kind
// of joint; "" is not known.
func (j *JointSeal) Holds() seal.Fluid { return cmp.Or(j.Fluid, sealFluids[j.Opens.Kind]) }

// Hottest is how hot it gets there, and whether that was recorded or is taken.
func (j *JointSeal) Hottest() (at quantity.Temperature, taken bool) {
	if !j.Hot.IsZero() {
		return j.Hot.Value, false
	}
	if t, ok := hottest[j.Holds()]; ok {
		return quantity.DegreeCelsius.Of(t), true
	}
	return quantity.DegreeCelsius.Of(100), true
}

// How says how it goes in: dry, greased or wet, and what must never touch it.
// ok is false while the kind of seal is not known.
func (j *JointSeal) How() (how seal.How, ok bool) {
	if !j.Named() {
		return seal.How{}, false
	}
	return seal.Lubricate(j.Kind, j.Material, j.Holds()), true
}

// rubber reports whether the material matters for fluid and heat.
func (j *JointSeal) rubber() bool { return j.Kind.Rubber() }

// Ring is the O-ring by its size, or as measured; ok is false while neither is
// known.
func (j *JointSeal) Ring() (r seal.Ring, ok bool) {
	if j.Size != "" {
		if sized, err := seal.Sized(j.Size); err == nil {
			r, ok = sized, true
		}
	}
	if !j.Inside.IsZero() && !j.Section.IsZero() {
		r.Inside = seal.Toleranced{Nominal: j.Inside.Value, Tolerance: j.Error.Value}
		r.Section = seal.Toleranced{Nominal: j.Section.Value, Tolerance: j.Error.Value}
		return r, true
	}
	return r, ok
}

// Gland is the room the ring sits in, as measured; ok is false while too little
// of it is.
func (j *JointSeal) Gland() (g seal.Gland, ok bool) {
	within := func(l quantity.Written[quantity.Length]) seal.Toleranced {
		if l.IsZero() {
			return seal.Toleranced{}
		}
		return seal.Toleranced{Nominal: l.Value, Tolerance: j.Error.Value}
	}
	g = seal.Gland{Seat: cmp.Or(j.Seat, seal.Face), Width: within(j.Width), Depth: within(j.Depth), Groove: within(j.Groove), Mate: within(j.Mate)}
	if g.Seat == seal.Face {
		g.Groove, g.Mate = seal.Toleranced{}, seal.Toleranced{}
		return g, !j.Depth.IsZero()
	}
	g.Depth = seal.Toleranced{}
	return g, !j.Groove.IsZero() && !j.Mate.IsZero()
}

// Judge says whether the seal will do: its material against fluid and heat, and
// the ring in its groove as far as it was measured; the worst first. Level is
// "" while nothing is known to judge.
func (j *JointSeal) Judge() (level calc.Level, all []seal.Finding) {
	if j.rubber() && j.Material.Known() && j.Holds() != "" {
		at, _ := j.Hottest()
		all = append(all, seal.Suit(j.Material, j.Holds(), quantity.DegreeCelsius.Of(coldest), at).Reasons...)
	}
	ring, haveRing := j.Ring()
	gland, haveGland := j.Gland()
	if haveRing && haveGland && (j.Kind == seal.ORing || j.Kind == seal.MovingRing) {
		fit, err := gland.Fit(ring)
		if err != nil {
			all = append(all, seal.Finding{Level: calc.Bad, Say: err.Error()})
		} else {
			all = append(all, fit.Judge(gland, ring, j.motion())...)
		}
	}
	for _, f := range all {
		if severity(f.Level) > severity(level) {
			level = f.Level
		}
	}
	worstFirst(all)
	return level, all
}

func (j *JointSeal) motion() seal.Motion {
	if j.Kind == seal.MovingRing {
		return seal.Reciprocating
	}
	return seal.Static
}

// Unfit reports a seal judged bad that nobody has said is fitted all the same.
func (j *JointSeal) Unfit() bool {
	level, _ := j.Judge()
	return level == calc.Bad && j.Anyway == ""
}

// Instead names the materials that would do in place of one that does not.
func (j *JointSeal) Instead() []seal.Material {
	if !j.rubber() || !j.Material.Known() || j.Holds() == "" {
		return nil
	}
	at, _ := j.Hottest()
	return seal.Suit(j.Material, j.Holds(), quantity.DegreeCelsius.Of(coldest), at).Instead
}
