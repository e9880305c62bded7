package quantity

import (
	"fmt"
	"math/big"
	"strings"
)

// Written is a quantity as somebody wrote it: its value, and the unit and the
// digits they chose. The zero Written means nothing was written, which is not
// the same as "0 N·m". Two Written values are == when they print the same.
type Written[Q Measured] struct {
	Value    Q       // in the base unit of Q
	text     string  // "1 1/2 in"
	unit     Unit[Q] // the finest when there are several
	step     float64 // one in the last digit, in base units
	fraction bool    // meant exactly
}

// ParseTorque and its neighbours read a number with its unit: "8 N·m",
// "6 ft-lbf", "1 1/2 in", "0,5 L", "1 h 20 min". The unit is never guessed; an
// error is one sentence that says what is wrong and how to write it.
func ParseTorque(s string) (Written[Torque], error)           { return Parse[Torque](s) }
func ParseForce(s string) (Written[Force], error)             { return Parse[Force](s) }
func ParseLength(s string) (Written[Length], error)           { return Parse[Length](s) }
func ParseAngle(s string) (Written[Angle], error)             { return Parse[Angle](s) }
func ParsePressure(s string) (Written[Pressure], error)       { return Parse[Pressure](s) }
func ParseTemperature(s string) (Written[Temperature], error) { return Parse[Temperature](s) }
func ParseTemperatureDifference(s string) (Written[TemperatureDifference], error) {
	return Parse[TemperatureDifference](s)
}
func ParseVolume(s string) (Written[Volume], error)     { return Parse[Volume](s) }
func ParseMass(s string) (Written[Mass], error)         { return Parse[Mass](s) }
func ParseDuration(s string) (Written[Duration], error) { return Parse[Duration](s) }
func ParseEnergy(s string) (Written[Energy], error)     { return Parse[Energy](s) }

// Parse is what the Parse functions have in common, for generic callers.
func Parse[Q Measured](s string) (Written[Q], error) {
	var q Q
	r, err := q.kind().read(s)
	if err != nil {
		return Written[Q]{}, err
	}
	return Written[Q]{
		Value:    Q(nearest(r.base)),
		text:     r.text,
		unit:     Unit[Q]{r.scale},
		step:     nearest(r.step),
		fraction: r.fraction,
	}, nil
}

// MustParse is Parse for texts in the program itself; it panics on an error.
func MustParse[Q Measured](s string) Written[Q] {
	w, err := Parse[Q](s)
	if err != nil {
		panic("quantity: " + err.Error())
	}
	return w
}

// Write writes a computed quantity down in a unit with so many significant
// digits. The Value becomes what is written: what is on paper is what is meant.
// It fails on what could not be read back, such as a negative volume.
func Write[Q Measured](q Q, u Unit[Q], digits int) (Written[Q], error) {
	if !u.Valid() {
		return Written[Q]{}, fmt.Errorf("there is no unit to write the %s in", q.kind().name)
	}
	return Parse[Q](u.Format(q, digits))
}

// IsZero reports that nothing was written.
func (w Written[Q]) IsZero() bool { return w.text == "" }

// String gives the quantity with exactly the digits written and the unit's
// house spelling: "8 N·m", "1 1/2 in". It is "" when nothing was written.
func (w Written[Q]) String() string { return w.text }

// Unit gives the unit it was written in, the finest when there are several.
func (w Written[Q]) Unit() Unit[Q] { return w.unit }

// In prints the quantity as written and, where u is another unit, its
// conversion behind it: "8 N·m (5.9 lbf·ft conv.)". The conversion is rounded
// no finer than the writing supports, but to two digits at least.
func (w Written[Q]) In(u Unit[Q]) string {
	if w.IsZero() || !u.Valid() || u == w.unit {
		return w.text
	}
	return fmt.Sprintf("%s (%s conv.)", w.text, w.convert(u.scale))
}

// convert rounds to the power of ten at or below the step of the source: the
// next coarser one would throw written digits away.
func (w Written[Q]) convert(s *scale) string {
	base, ok := decimal(float64(w.Value))
	if !ok {
		return "not known"
	}
	n := s.fromBase(base)
	step, _ := decimal(w.step)
	places := -exponent(new(big.Rat).Quo(step, s.factor()))
	if n.Sign() != 0 {
		places = max(places, 1-exponent(n))
	}
	text := fixed(n, places)
	if w.fraction && strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return s.with(text)
}

// MarshalText writes the quantity as String does.
func (w Written[Q]) MarshalText() ([]byte, error) { return []byte(w.text), nil }

// UnmarshalText reads it again; empty text means nothing was written.
func (w *Written[Q]) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*w = Written[Q]{}
		return nil
	}
	read, err := Parse[Q](string(text))
	if err == nil {
		*w = read
	}
	return err
}
