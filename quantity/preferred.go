package quantity

// Units is the set of units somebody prefers to read. A zero Unit in it means
// no conversion of that quantity is wanted. Durations need no choice.
type Units struct {
	Torque                Unit[Torque]
	Force                 Unit[Force]
	Length                Unit[Length] // of parts and gaps
	Distance              Unit[Length] // driven
	Angle                 Unit[Angle]
	Pressure              Unit[Pressure]
	Temperature           Unit[Temperature]
	TemperatureDifference Unit[TemperatureDifference]
	Volume                Unit[Volume]
	Mass                  Unit[Mass]
	Energy                Unit[Energy]
}

// Metric is the set used in most of the world.
func Metric() Units {
	return Units{
		Torque: NewtonMetre, Force: Newton, Length: Millimetre, Distance: Kilometre, Angle: Degree,
		Pressure: Bar, Temperature: DegreeCelsius, TemperatureDifference: DegreeCelsiusStep,
		Volume: Litre, Mass: Kilogram, Energy: Joule,
	}
}

// Imperial is the set used in the United States, with its quart.
func Imperial() Units {
	return Units{
		Torque: PoundForceFoot, Force: PoundForce, Length: Inch, Distance: Mile, Angle: Degree,
		Pressure: PoundPerSquareInch, Temperature: DegreeFahrenheit, TemperatureDifference: DegreeFahrenheitStep,
		Volume: USQuart, Mass: Pound, Energy: FootPoundForce,
	}
}
