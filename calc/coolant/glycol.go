package coolant

import (
	"lastbolt/quantity"
)

// glycol is what is known of one glycol in water.
type glycol struct {
	molar                     float64 // g/mol
	pure                      float64 // density at 20 °C, kg/m³
	antoine                   [3]float64
	strength                  curve // volume per cent over mass per cent
	mass                      curve // strength turned
	ashrae                    inhibited
	melinder                  plain
	j814Freezing, j814Boiling curve // °C over volume per cent
	other                     curve
	otherName                 string
}

// inhibited is ASHRAE's data: freezing in °C over volume per cent, the rest by
// volume share.
type inhibited struct {
	freezing      curve
	density, heat matrix
}

// plain is Melinder's: freezing in °C over mass per cent, and so the rest.
type plain struct {
	freezing      curve
	density, heat joined
}

// glycolOf makes the curve from volume to mass.
func glycolOf(g glycol) glycol {
	g.mass = g.strength.turned()
	return g
}

// A matrix is a fit Σ c[i][j]·(T − T0)^i·(x − x0)^j.
type matrix struct {
	x0, t0 float64
	c      [][]float64
}

func (m matrix) at(x, t float64) float64 {
	powers := make([]float64, len(m.c))
	for i, row := range m.c {
		powers[i] = polynomial(x-m.x0, row...)
	}
	return polynomial(t-m.t0, powers...)
}

// A joined fit is a fine one within its limits and a wide one beyond them,
// shifted so that the two meet.
type joined struct {
	fine, wide  matrix
	scale       float64 // fine's x over wide's
	least, most float64 // wide's x, °C: where the fine one holds
	warmest     float64
}

func (j joined) at(x, t float64) float64 {
	nearX, nearT := min(max(x, j.least), j.most), min(t, j.warmest)
	shift := j.fine.at(j.scale*nearX, nearT) - j.wide.at(nearX, nearT)
	return j.wide.at(x, t) + shift
}

// reaches tells whether the book goes as far as x mass per cent and t °C; 60
// volume per cent of ethylene glycol is 62.4, which is taken in. Its polynomials
// go on to 100 °C but swell by a tenth too much there, so 40 °C is the end.
func (j joined) reaches(x, t float64) bool { return x >= j.least && x <= 62.5 && t <= j.warmest }

func (b Base) data() *glycol {
	if b == Propylene {
		return &propylene
	}
	return &ethylene
}

// Mass turns a share by volume into one by mass. Up to 60 mass per cent it
// follows ASHRAE's table, which gives both beside each other (its fluids carry
// inhibitors); above, volumes before mixing at 20 °C.
func (b Base) Mass(v VolumeShare) MassShare {
	d := b.data()
	return MassShare(d.mass.linear(100*float64(v)) / 100)
}

// Volume is Mass undone.
func (b Base) Volume(w MassShare) VolumeShare {
	return VolumeShare(b.data().strength.linear(100*float64(w)) / 100)
}

// ashraeFrom is the weakest mixture, in volume per cent, that ASHRAE's tables of
// density and specific heat give; below it water is the other end.
const ashraeFrom = 10

// density gives what the two sources say; v is at most 0.6.
func (b Base) density(v VolumeShare, t quantity.Temperature) []Reading[quantity.Density] {
	d, percent, c := b.data(), 100*float64(v), celsius(t)
	water := float64(WaterDensity(t))
	ashrae := d.ashrae.density.at(max(percent, ashraeFrom)/100, c)
	if percent < ashraeFrom {
		ashrae = water + (ashrae-water)*percent/ashraeFrom
	}
	w := 100 * float64(b.Mass(v))
	return []Reading[quantity.Density]{
		{ashraeName, quantity.Density(ashrae), true},
		{melinderName, quantity.Density(d.melinder.density.at(w, c)), d.melinder.density.reaches(w, c)},
	}
}

// heat gives what the two sources say; v is at most 0.6.
func (b Base) heat(v VolumeShare, t quantity.Temperature) []Reading[quantity.SpecificHeat] {
	d, percent, c := b.data(), 100*float64(v), celsius(t)
	water := waterHeat.at(c)
	ashrae := d.ashrae.heat.at(max(percent, ashraeFrom)/100, c)
	if percent < ashraeFrom {
		ashrae = water + (ashrae-water)*percent/ashraeFrom
	}
	w := 100 * float64(b.Mass(v))
	return []Reading[quantity.SpecificHeat]{
		{ashraeName, quantity.SpecificHeat(ashrae), true},
		{melinderName, quantity.SpecificHeat(d.melinder.heat.at(w, c)), d.melinder.heat.reaches(w, c)},
	}
}

// Density is the density of a mixture of at most 60 volume per cent, liquid,
// from its freezing point to 100 °C, and what each source says; above 40 °C
// there is one source only.
func Density(b Base, v VolumeShare, t quantity.Temperature) (Band[quantity.Density], []Reading[quantity.Density]) {
	readings := b.density(v, t)
	band, _ := spread(readings, 0.5)
	return band, readings
}

// SpecificHeat is the specific heat capacity, as Density is.
func SpecificHeat(b Base, v VolumeShare, t quantity.Temperature) (Band[quantity.SpecificHeat], []Reading[quantity.SpecificHeat]) {
	readings := b.heat(v, t)
	band, _ := spread(readings, 5)
	return band, readings
}
