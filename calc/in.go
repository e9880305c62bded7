package calc

import (
	"fmt"
	"time"

	"lastbolt/fault"
	"lastbolt/quantity"
)

func (in In) get(name, kind string) value {
	v, ok := in.values[name]
	if !ok {
		panic(fmt.Sprintf("calc: there is no input %q", name))
	}
	if kind != "" && v.kind != kind {
		panic(fmt.Sprintf("calc: input %q is a %s, not a %s", name, v.kind, kind))
	}
	return v
}

// Has reports whether an optional input was given.
func (in In) Has(name string) bool { return in.get(name, "").given }

// Written gives an input as it was written, in the house spelling.
func (in In) Written(name string) string { return in.get(name, "").text }

// Number gives a number, 0 when it was left out.
func (in In) Number(name string) float64 { return in.get(name, Number).base }

// Count gives a whole number, 0 when it was left out.
func (in In) Count(name string) int { return int(in.get(name, Count).base) }

// Choice gives the value chosen, "" when none was.
func (in In) Choice(name string) string { return in.get(name, Choice).text }

// Text gives a free text, "" when it was left out.
func (in In) Text(name string) string { return in.get(name, Text).text }

// Yes reports whether a yes-or-no input is yes.
func (in In) Yes(name string) bool { return in.get(name, YesNo).text == "yes" }

// Date gives a day, at midnight UTC.
func (in In) Date(name string) time.Time { return time.Unix(int64(in.get(name, Date).base), 0).UTC() }

// Rows gives the rows of a table, each read like the inputs themselves.
func (in In) Rows(name string) []In { return in.get(name, Table).rows }

// Line gives the line a table's row stands on, for error sentences.
func (in In) Line() int { return in.row }

// Torque and its neighbours give a quantity, 0 when it was left out.
func (in In) Torque(name string) quantity.Torque { return quantity.Torque(in.get(name, "torque").base) }
func (in In) Force(name string) quantity.Force   { return quantity.Force(in.get(name, "force").base) }
func (in In) Length(name string) quantity.Length { return quantity.Length(in.get(name, "length").base) }
func (in In) Angle(name string) quantity.Angle   { return quantity.Angle(in.get(name, "angle").base) }
func (in In) Pressure(name string) quantity.Pressure {
	return quantity.Pressure(in.get(name, "pressure").base)
}
func (in In) Temperature(name string) quantity.Temperature {
	return quantity.Temperature(in.get(name, "temperature").base)
}
func (in In) TemperatureDifference(name string) quantity.TemperatureDifference {
	return quantity.TemperatureDifference(in.get(name, "temperature difference").base)
}
func (in In) Volume(name string) quantity.Volume { return quantity.Volume(in.get(name, "volume").base) }
func (in In) Mass(name string) quantity.Mass     { return quantity.Mass(in.get(name, "mass").base) }
func (in In) Duration(name string) quantity.Duration {
	return quantity.Duration(in.get(name, "duration").base)
}
func (in In) Energy(name string) quantity.Energy { return quantity.Energy(in.get(name, "energy").base) }
func (in In) Area(name string) quantity.Area     { return quantity.Area(in.get(name, "area").base) }
func (in In) Density(name string) quantity.Density {
	return quantity.Density(in.get(name, "density").base)
}
func (in In) Frequency(name string) quantity.Frequency {
	return quantity.Frequency(in.get(name, "frequency").base)
}
func (in In) MassPerLength(name string) quantity.MassPerLength {
	return quantity.MassPerLength(in.get(name, "mass per length").base)
}
func (in In) Stiffness(name string) quantity.Stiffness {
	return quantity.Stiffness(in.get(name, "stiffness").base)
}
func (in In) RotationalSpeed(name string) quantity.RotationalSpeed {
	return quantity.RotationalSpeed(in.get(name, "rotational speed").base)
}
func (in In) Speed(name string) quantity.Speed { return quantity.Speed(in.get(name, "speed").base) }
func (in In) SpecificHeat(name string) quantity.SpecificHeat {
	return quantity.SpecificHeat(in.get(name, "specific heat").base)
}
func (in In) Power(name string) quantity.Power { return quantity.Power(in.get(name, "power").base) }

// Refuse makes the error of Compute that points at an input: the sentence says
// what is wrong with it and how to mend it.
func (in In) Refuse(name, format string, args ...any) error {
	in.get(name, "")
	return Problems{{Input: name, Say: fmt.Sprintf(format, args...)}}
}

// Cannot makes the error of Compute that no single input is to blame for.
func Cannot(format string, args ...any) error {
	return fault.New(fault.Bad, format, args...)
}
