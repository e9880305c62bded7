// Package quantity holds the measured things the program works with, each as
// its own Go type over float64 in a base unit: Torque, Force, Length, Angle,
// Pressure, Temperature, TemperatureDifference, Volume, Mass, Duration, Energy,
// and what the calculations need besides, Area to Power; and Money, which is
// exact.
//
// Start with the Parse functions, which read what a person wrote ("8 N·m",
// "1 1/2 in", "0,5 L") into a Written value. A Written value remembers its unit
// and its digits, so that it prints as it was written, and Written.In puts a
// conversion behind it in brackets. Inside calculations use the plain types:
// NewtonMetres(8) makes one, Torque.In takes it apart again.
//
// Whether a pressure is gauge or absolute, and whether a length is a radius or
// a diameter, is for the caller's names to say; the types do not know. Torque
// and Energy have the same dimensions but are different things, and nothing
// here turns one into the other. The package reads no files and keeps no state,
// guesses no missing unit, and converts no currency.
package quantity

// Torque is a turning moment in newton metres (N·m).
type Torque float64

// Force is in newtons (N).
type Force float64

// Length is in metres (m). Distances driven are lengths too.
type Length float64

// Angle is in radians (rad).
type Angle float64

// Pressure is in pascals (Pa). Gauge or absolute is for the caller to say.
type Pressure float64

// Temperature is a point on the thermodynamic scale in kelvins (K).
type Temperature float64

// TemperatureDifference is a distance between two temperatures in kelvins (K).
// A difference of 1 °C is one of 1 K; the zero of the scale plays no part.
type TemperatureDifference float64

// Volume is in cubic metres (m³).
type Volume float64

// Mass is in kilograms (kg).
type Mass float64

// Duration is in seconds (s), with fractions; DurationOf and Duration.Time
// convert from and to the standard library's type.
type Duration float64

// Energy is in joules (J). It is not Torque, though the dimensions agree.
type Energy float64

// Area is in square metres (m²).
type Area float64

// Density is mass per volume in kilograms per cubic metre (kg/m³).
type Density float64

// Frequency is in hertz (Hz): how often a second.
type Frequency float64

// MassPerLength is of belts, in kilograms per metre (kg/m).
type MassPerLength float64

// Stiffness is force per length in newtons per metre (N/m).
type Stiffness float64

// RotationalSpeed is in radians per second (rad/s); the trade counts rpm.
type RotationalSpeed float64

// Speed is in metres per second (m/s).
type Speed float64

// SpecificHeat is in joules per kilogram and kelvin (J/(kg·K)).
type SpecificHeat float64

// Power is in watts (W).
type Power float64

// Measured is the constraint every quantity type but Money meets.
type Measured interface {
	~float64
	kind() *kind
}

func (Torque) kind() *kind                { return torques }
func (Force) kind() *kind                 { return forces }
func (Length) kind() *kind                { return lengths }
func (Angle) kind() *kind                 { return angles }
func (Pressure) kind() *kind              { return pressures }
func (Temperature) kind() *kind           { return temperatures }
func (TemperatureDifference) kind() *kind { return differences }
func (Volume) kind() *kind                { return volumes }
func (Mass) kind() *kind                  { return masses }
func (Duration) kind() *kind              { return durations }
func (Energy) kind() *kind                { return energies }
func (Area) kind() *kind                  { return areas }
func (Density) kind() *kind               { return densities }
func (Frequency) kind() *kind             { return frequencies }
func (MassPerLength) kind() *kind         { return lineMasses }
func (Stiffness) kind() *kind             { return stiffnesses }
func (RotationalSpeed) kind() *kind       { return rotations }
func (Speed) kind() *kind                 { return speeds }
func (SpecificHeat) kind() *kind          { return specificHeats }
func (Power) kind() *kind                 { return powers }

// In gives the number of units u in q.
func (q Torque) In(u Unit[Torque]) float64                               { return u.Count(q) }
func (q Force) In(u Unit[Force]) float64                                 { return u.Count(q) }
func (q Length) In(u Unit[Length]) float64                               { return u.Count(q) }
func (q Angle) In(u Unit[Angle]) float64                                 { return u.Count(q) }
func (q Pressure) In(u Unit[Pressure]) float64                           { return u.Count(q) }
func (q Temperature) In(u Unit[Temperature]) float64                     { return u.Count(q) }
func (q TemperatureDifference) In(u Unit[TemperatureDifference]) float64 { return u.Count(q) }
func (q Volume) In(u Unit[Volume]) float64                               { return u.Count(q) }
func (q Mass) In(u Unit[Mass]) float64                                   { return u.Count(q) }
func (q Duration) In(u Unit[Duration]) float64                           { return u.Count(q) }
func (q Energy) In(u Unit[Energy]) float64                               { return u.Count(q) }
func (q Area) In(u Unit[Area]) float64                                   { return u.Count(q) }
func (q Density) In(u Unit[Density]) float64                             { return u.Count(q) }
func (q Frequency) In(u Unit[Frequency]) float64                         { return u.Count(q) }
func (q MassPerLength) In(u Unit[MassPerLength]) float64                 { return u.Count(q) }
func (q Stiffness) In(u Unit[Stiffness]) float64                         { return u.Count(q) }
func (q RotationalSpeed) In(u Unit[RotationalSpeed]) float64             { return u.Count(q) }
func (q Speed) In(u Unit[Speed]) float64                                 { return u.Count(q) }
func (q SpecificHeat) In(u Unit[SpecificHeat]) float64                   { return u.Count(q) }
func (q Power) In(u Unit[Power]) float64                                 { return u.Count(q) }

// Format prints q in unit u with that many significant digits; see Unit.Format.
func (q Torque) Format(u Unit[Torque], digits int) string           { return u.Format(q, digits) }
func (q Force) Format(u Unit[Force], digits int) string             { return u.Format(q, digits) }
func (q Length) Format(u Unit[Length], digits int) string           { return u.Format(q, digits) }
func (q Angle) Format(u Unit[Angle], digits int) string             { return u.Format(q, digits) }
func (q Pressure) Format(u Unit[Pressure], digits int) string       { return u.Format(q, digits) }
func (q Temperature) Format(u Unit[Temperature], digits int) string { return u.Format(q, digits) }
func (q TemperatureDifference) Format(u Unit[TemperatureDifference], digits int) string {
	return u.Format(q, digits)
}
func (q Volume) Format(u Unit[Volume], digits int) string               { return u.Format(q, digits) }
func (q Mass) Format(u Unit[Mass], digits int) string                   { return u.Format(q, digits) }
func (q Duration) Format(u Unit[Duration], digits int) string           { return u.Format(q, digits) }
func (q Energy) Format(u Unit[Energy], digits int) string               { return u.Format(q, digits) }
func (q Area) Format(u Unit[Area], digits int) string                   { return u.Format(q, digits) }
func (q Density) Format(u Unit[Density], digits int) string             { return u.Format(q, digits) }
func (q Frequency) Format(u Unit[Frequency], digits int) string         { return u.Format(q, digits) }
func (q MassPerLength) Format(u Unit[MassPerLength], digits int) string { return u.Format(q, digits) }
func (q Stiffness) Format(u Unit[Stiffness], digits int) string         { return u.Format(q, digits) }
func (q RotationalSpeed) Format(u Unit[RotationalSpeed], digits int) string {
	return u.Format(q, digits)
}
func (q Speed) Format(u Unit[Speed], digits int) string               { return u.Format(q, digits) }
func (q SpecificHeat) Format(u Unit[SpecificHeat], digits int) string { return u.Format(q, digits) }
func (q Power) Format(u Unit[Power], digits int) string               { return u.Format(q, digits) }

// Sub gives how much warmer t is than other.
func (t Temperature) Sub(other Temperature) TemperatureDifference {
	return TemperatureDifference(t - other)
}

// Add gives the temperature d above t.
func (t Temperature) Add(d TemperatureDifference) Temperature {
	return t + Temperature(d)
}

// NewtonMetres and its neighbours make a quantity from a number of units, the
// same value that parsing the number with that unit gives.
func NewtonMetres(n float64) Torque     { return NewtonMetre.Of(n) }
func PoundForceFeet(n float64) Torque   { return PoundForceFoot.Of(n) }
func PoundForceInches(n float64) Torque { return PoundForceInch.Of(n) }
func Newtons(n float64) Force           { return Newton.Of(n) }
func Metres(n float64) Length           { return Metre.Of(n) }
func Millimetres(n float64) Length      { return Millimetre.Of(n) }
func Kilometres(n float64) Length       { return Kilometre.Of(n) }
func Inches(n float64) Length           { return Inch.Of(n) }
func Degrees(n float64) Angle           { return Degree.Of(n) }
func Pascals(n float64) Pressure        { return Pascal.Of(n) }
func Kilopascals(n float64) Pressure    { return Kilopascal.Of(n) }
func Bars(n float64) Pressure           { return Bar.Of(n) }
func Celsius(n float64) Temperature     { return DegreeCelsius.Of(n) }
func Fahrenheit(n float64) Temperature  { return DegreeFahrenheit.Of(n) }
func Litres(n float64) Volume           { return Litre.Of(n) }
func Millilitres(n float64) Volume      { return Millilitre.Of(n) }
func Kilograms(n float64) Mass          { return Kilogram.Of(n) }
func Grams(n float64) Mass              { return Gram.Of(n) }
func Seconds(n float64) Duration        { return Second.Of(n) }
func Minutes(n float64) Duration        { return Minute.Of(n) }
func Hours(n float64) Duration          { return Hour.Of(n) }
func Joules(n float64) Energy           { return Joule.Of(n) }
