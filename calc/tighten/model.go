package tighten

import (
	"math"

	"lastbolt/fault"
	"lastbolt/quantity"
)

// plateOf gives the bending stiffness D = E·t³/(12·(1−ν²)) of the classes in
// N·mm, for the material and thickness named beside Cover. A rigid body has none.
var plateOf = map[Cover]float64{
	Rigid: math.Inf(1),
	Stiff: 70e3 * 15 * 15 * 15 / (12 * (1 - poisson*poisson)),
	Thin:  70e3 * 6 * 6 * 6 / (12 * (1 - poisson*poisson)),
	Sheet: 205e3 * 2 * 2 * 2 / (12 * (1 - poisson*poisson)),
}

// sealOf gives the force per mm of line and mm of squeeze of the classes, in
// N/mm², by what is squeezed between snug and tight where the bolts press with
// some 300 N per mm of seal: orders of magnitude, from memory.
var sealOf = map[Seal]float64{
	Rubber:  300 / 0.5, // onto its stops
	ORing:   300 / 0.2, // until the faces bear
	Flat:    300 / 0.15,
	Sealant: 300 / 0.1, // while it is pressed out
	Metal:   300 / 0.03,
}

// Snug is the part of its final preload that every bolt is taken to have, all
// seated, before the first pass.
const Snug = 0.05

// steel is the elastic modulus of the bolts in MPa.
const steel = 205e3

// seat is what the threads and the faces under the head leave of the stiffness
// of a bolt's shank: from memory, about half.
const seat = 0.5

// model is a joint ready for computing. It is not safe for use at once by
// several goroutines.
type model struct {
	joint  Joint
	lay    *layout
	n, m   int       // bolts, places of the seal
	spring []float64 // stiffness of the seal's places and then of the bolts, N/mm
	target []float64 // preload, N
	// flex is the movement in N/mm⁻¹ at each place (seal, then bolts) by a force at
	// another, all springs acting; by columns.
	flex [][]float64

	weight  []float64 // of the seal's places, summing to 1
	tiltX   []float64 // orthonormal tilts over the seal, weighted
	tiltY   []float64
	ideal   []float64 // the seal's pressure with all bolts at target at once, over its mean
	closing float64   // the squeeze at that mean, mm
	small   float64   // closings below this are rounding, mm

	tiltCounts float64 // what the square of the tilt counts in a search

	contacts map[contact]*response
	kept     int       // numbers in them, about
	room     []float64 // for forces at a contact set
	start    state
	spent    int // multiplications so far, about
}

func newModel(j Joint) (*model, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	m := &model{joint: j, lay: layOut(j), n: len(j.Bolts), contacts: map[contact]*response{}}
	m.m = len(m.lay.seal)
	m.room = make([]float64, m.m+m.n)
	m.tiltCounts = tiltFactor * tiltFactor
	if j.Dowels {
		m.tiltCounts = dowelsFactor * dowelsFactor
	}
	m.springs()
	if !m.flexibility() {
		return nil, fault.New(fault.Bad, "The joint cannot be computed: the seal line does not support the cover; check the outline and the seal line.")
	}
	m.measure()
	if !m.begin() {
		return nil, fault.New(fault.Bad, "The joint cannot be computed: with all bolts tight the cover does not rest on the seal line; check that the bolts stand near it.")
	}
	return m, nil
}

func (m *model) springs() {
	k := sealOf[m.joint.seal()]
	if m.joint.SealStiffness > 0 {
		k = m.joint.SealStiffness / 1e6
	}
	for _, part := range m.lay.part {
		m.spring = append(m.spring, k*part)
	}
	for _, b := range m.joint.Bolts {
		d := 1000 * float64(b.diameter())
		length := 1000 * float64(b.Length)
		if length == 0 {
			length = 4 * d
		}
		m.spring = append(m.spring, seat*steel*stressArea(d)/max(length, d))
		m.target = append(m.target, float64(b.preload()))
	}
}

// usual is the diameter of a bolt of which none is known.
const usual quantity.Length = 0.008

func (b Bolt) diameter() quantity.Length {
	if b.Diameter > 0 {
		return b.Diameter
	}
	return usual
}

// stressArea is near that of a coarse metric thread, in mm².
func stressArea(d float64) float64 { return 0.575 * d * d }

// preload is what was given, or by T = 0.2·d·F, or a usual stress of 400 MPa.
func (b Bolt) preload() quantity.Force {
	switch {
	case b.Preload > 0:
		return b.Preload
	case b.Torque > 0:
		return quantity.Force(float64(b.Torque) / (0.2 * float64(b.diameter())))
	}
	return quantity.Force(400 * stressArea(1000*float64(b.diameter())))
}

// flexibility solves the cover on all its springs for a unit force at each
// place.
func (m *model) flexibility() bool {
	places := append(append([]xy{}, m.lay.seal...), m.lay.bolts...)
	cover := m.field(places)
	a := cover.matrix()
	which, value := make([][]int, len(places)), make([][]float64, len(places))
	for i, p := range places {
		which[i], value[i] = cover.at(p)
		for k, ik := range which[i] {
			for l, il := range which[i] {
				a.add(ik, il, m.spring[i]*value[i][k]*value[i][l])
			}
		}
	}
	if !a.factor() {
		return false
	}
	m.flex = make([][]float64, len(places))
	u := make([]float64, len(a.first))
	for j := range places {
		clear(u)
		for k, ik := range which[j] {
			u[ik] = value[j][k]
		}
		a.solve(u)
		m.flex[j] = make([]float64, len(places))
		for i := range places {
			for k, ik := range which[i] {
				m.flex[j][i] += value[i][k] * u[ik]
			}
		}
	}
	return true
}

func (m *model) field(places []xy) field {
	d := plateOf[m.joint.cover()]
	if m.joint.PlateStiffness > 0 {
		d = 1000 * m.joint.PlateStiffness
	}
	if math.IsInf(d, 1) {
		return rigid{m.lay.size}
	}
	return newPlate(d, m.lay.ex, m.lay.ey, m.lay.inside, places)
}

// measure prepares the mean and the tilts of the seal's closing: 1, x and y made
// orthonormal over the seal.
func (m *model) measure() {
	total := 0.0
	for _, p := range m.lay.part {
		total += p
	}
	one, x, y := make([]float64, m.m), make([]float64, m.m), make([]float64, m.m)
	for i, p := range m.lay.seal {
		m.weight = append(m.weight, m.lay.part[i]/total)
		one[i], x[i], y[i] = 1, p.x, p.y
	}
	inner := func(a, b []float64) (s float64) {
		for i, w := range m.weight {
			s += w * a[i] * b[i]
		}
		return s
	}
	strip := func(v, of []float64) {
		f := inner(v, of) / inner(of, of)
		for i := range v {
			v[i] -= f * of[i]
		}
	}
	strip(x, one)
	strip(y, one)
	strip(y, x)
	m.tiltX, m.tiltY = make([]float64, m.m), make([]float64, m.m)
	nx, ny := math.Sqrt(inner(x, x)), math.Sqrt(inner(y, y))
	for i, w := range m.weight {
		m.tiltX[i] = w * x[i] / nx
		if ny > 1e-9*nx {
			m.tiltY[i] = w * y[i] / ny
		}
	}
}
