package quantity

// The factors are exact unless the line says otherwise. They follow from the
// definitions in NIST Special Publication 811 (2008), Appendix B: the inch is
// 0.0254 m, the pound 0.453 592 37 kg, standard gravity 9.806 65 m/s², hence
// the pound-force 4.448 221 615 260 5 N; the US gallon is 231 cubic inches.
// Where the trade's "ft·lb" or "kg·m" stands for a torque, the pound or
// kilogram is the force, and the unit is printed so.

// Units of torque.
var (
	NewtonMetre    = newUnit[Torque]("N·m", "1", "newton metre", "newton metres", "newton meters")
	PoundForceFoot = newUnit[Torque]("lbf·ft", "4.4482216152605*0.3048", "ft·lbf", "lb·ft", "ft·lb", "lbs·ft", "ft·lbs",
		"foot pound", "foot pounds", "pound foot", "pound feet").loose()
	PoundForceInch = newUnit[Torque]("lbf·in", "4.4482216152605*0.0254", "in·lbf", "lb·in", "in·lb", "lbs·in", "in·lbs",
		"inch pound", "inch pounds", "pound inch", "pound inches").loose()
	KilogramForceMetre      = newUnit[Torque]("kgf·m", "9.80665", "m·kgf", "kg·m", "m·kg", "kp·m", "m·kp")
	KilogramForceCentimetre = newUnit[Torque]("kgf·cm", "9.80665/100", "cm·kgf", "kg·cm", "cm·kg", "kp·cm", "cm·kp")
	DecanewtonMetre         = newUnit[Torque]("daN·m", "10")
	CentinewtonMetre        = newUnit[Torque]("cN·m", "1/100")
	MillinewtonMetre        = newUnit[Torque]("mN·m", "1/1000")
	KilonewtonMetre         = newUnit[Torque]("kN·m", "1000")
)

// Units of force.
var (
	Newton        = newUnit[Force]("N", "1", "newton", "newtons")
	Decanewton    = newUnit[Force]("daN", "10")
	Kilonewton    = newUnit[Force]("kN", "1000")
	PoundForce    = newUnit[Force]("lbf", "4.4482216152605").loose()
	KilogramForce = newUnit[Force]("kgf", "9.80665", "kp")
)

// Units of length.
var (
	Metre      = newUnit[Length]("m", "1", "metre", "metres", "meter", "meters")
	Centimetre = newUnit[Length]("cm", "1/100")
	Millimetre = newUnit[Length]("mm", "1/1000", "millimetre", "millimetres", "millimeter", "millimeters")
	Micrometre = newUnit[Length]("µm", "1/1000000", "um", "micrometre", "micrometres", "micron", "microns")
	Kilometre  = newUnit[Length]("km", "1000", "kilometre", "kilometres", "kilometer", "kilometers")
	Inch       = newUnit[Length]("in", "0.0254", "\"", "inch", "inches").loose().inFractions()
	Thou       = newUnit[Length]("thou", "0.0254/1000", "mil", "mils").loose()
	Foot       = newUnit[Length]("ft", "0.3048", "'", "foot", "feet").loose().inFractions()
	Yard       = newUnit[Length]("yd", "0.9144", "yard", "yards").loose()
	Mile       = newUnit[Length]("mi", "1609.344", "mile", "miles").loose()
)

// pi has 50 digits: an angle in degrees has no exact value in radians.
const pi = "3.14159265358979323846264338327950288419716939937511"

// Units of angle. A turn is a whole one, so "3/4 turn" is 270°.
var (
	Degree    = newUnit[Angle]("°", pi+"/180", "deg", "degree", "degrees").loose()
	Arcminute = newUnit[Angle]("′", pi+"/10800", "arcmin")
	Radian    = newUnit[Angle]("rad", "1", "radian", "radians")
	Turn      = newUnit[Angle]("turn", pi+"*2", "turns", "rev").loose().inFractions()
)

// Units of pressure. Mercury and water are the conventional ones, of 13 595.1
// and 1000 kg/m³.
var (
	Pascal                           = newUnit[Pressure]("Pa", "1")
	Hectopascal                      = newUnit[Pressure]("hPa", "100")
	Kilopascal                       = newUnit[Pressure]("kPa", "1000")
	Megapascal                       = newUnit[Pressure]("MPa", "1000000", "N/mm²")
	Bar                              = newUnit[Pressure]("bar", "100000", "bars").loose()
	Millibar                         = newUnit[Pressure]("mbar", "100")
	PoundPerSquareInch               = newUnit[Pressure]("psi", "4.4482216152605/0.0254/0.0254", "lbf/in²", "lb/in²").loose()
	KilogramForcePerSquareCentimetre = newUnit[Pressure]("kgf/cm²", "98066.5", "kg/cm²", "kp/cm²")
	InchOfMercury                    = newUnit[Pressure]("inHg", "25.4*13.5951*9.80665", "\"Hg").loose()
	MillimetreOfMercury              = newUnit[Pressure]("mmHg", "13.5951*9.80665")
	InchOfWater                      = newUnit[Pressure]("inH2O", "25.4*9.80665", "inH₂O").loose()
	MillimetreOfWater                = newUnit[Pressure]("mmH2O", "9.80665", "mmH₂O").loose()
	KilopoundPerSquareInch           = newUnit[Pressure]("ksi", "4448.2216152605/0.0254/0.0254").loose()
	StandardAtmosphere               = newUnit[Pressure]("atm", "101325").loose()
)

// Units of temperature.
var (
	DegreeCelsius    = newUnit[Temperature]("°C", "1", "C", "deg C", "degrees C", "celsius").loose().zeroAt("273.15")
	DegreeFahrenheit = newUnit[Temperature]("°F", "5/9", "F", "deg F", "degrees F", "fahrenheit").loose().zeroAt("459.67")
	Kelvin           = newUnit[Temperature]("K", "1", "kelvin")
)

// Units of temperature difference: no zero point.
var (
	KelvinStep           = newUnit[TemperatureDifference]("K", "1", "kelvin")
	DegreeCelsiusStep    = newUnit[TemperatureDifference]("°C", "1", "C", "deg C", "degrees C").loose()
	DegreeFahrenheitStep = newUnit[TemperatureDifference]("°F", "5/9", "F", "deg F", "degrees F").loose()
)

// Units of volume. The US gallon and the UK (imperial) gallon differ by a
// fifth, so every unit made from them names its country.
var (
	Litre           = newUnit[Volume]("L", "1/1000", "litre", "litres", "liter", "liters").loose()
	Decilitre       = newUnit[Volume]("dL", "1/10000", "dl")
	Centilitre      = newUnit[Volume]("cL", "1/100000", "cl")
	Millilitre      = newUnit[Volume]("mL", "1/1000000", "ml", "millilitre", "millilitres", "milliliter", "milliliters")
	CubicCentimetre = newUnit[Volume]("cm³", "1/1000000", "cc", "ccm")
	CubicMetre      = newUnit[Volume]("m³", "1")
	CubicInch       = newUnit[Volume]("in³", "0.0254*0.0254*0.0254", "cu in").loose()
	USGallon        = newUnit[Volume]("US gal", "0.003785411784", "gal US").loose()
	USQuart         = newUnit[Volume]("US qt", "0.003785411784/4", "qt US").loose()
	USPint          = newUnit[Volume]("US pt", "0.003785411784/8", "pt US").loose()
	USFluidOunce    = newUnit[Volume]("US fl oz", "0.003785411784/128", "fl oz US").loose()
	UKGallon        = newUnit[Volume]("UK gal", "0.00454609", "imp gal", "gal UK").loose()
	UKQuart         = newUnit[Volume]("UK qt", "0.00454609/4", "imp qt", "qt UK").loose()
	UKPint          = newUnit[Volume]("UK pt", "0.00454609/8", "imp pt", "pt UK").loose()
	UKFluidOunce    = newUnit[Volume]("UK fl oz", "0.00454609/160", "imp fl oz", "fl oz UK").loose()
)

// Units of mass.
var (
	Kilogram  = newUnit[Mass]("kg", "1", "kilogram", "kilograms")
	Gram      = newUnit[Mass]("g", "1/1000", "gram", "grams")
	Milligram = newUnit[Mass]("mg", "1/1000000")
	Tonne     = newUnit[Mass]("t", "1000", "tonne", "tonnes")
	Pound     = newUnit[Mass]("lb", "0.45359237", "lbs", "pound", "pounds").loose()
	Ounce     = newUnit[Mass]("oz", "0.45359237/16", "ounce", "ounces").loose()
)

// Units of duration. Months and years are not of one length and are left out.
var (
	Second = newUnit[Duration]("s", "1", "sec", "secs", "second", "seconds").loose()
	Minute = newUnit[Duration]("min", "60", "mins", "minute", "minutes").loose()
	Hour   = newUnit[Duration]("h", "3600", "hr", "hrs", "hour", "hours").loose()
	Day    = newUnit[Duration]("d", "86400", "day", "days").loose()
	Week   = newUnit[Duration]("wk", "604800", "week", "weeks").loose()
)

// Units of energy. The foot pound-force is printed feet first, as torque is not.
// The British thermal unit is that of the International Table.
var (
	Joule          = newUnit[Energy]("J", "1", "joule", "joules")
	Kilojoule      = newUnit[Energy]("kJ", "1000")
	Megajoule      = newUnit[Energy]("MJ", "1000000")
	WattHour       = newUnit[Energy]("W·h", "3600")
	KilowattHour   = newUnit[Energy]("kW·h", "3600000")
	FootPoundForce = newUnit[Energy]("ft·lbf", "4.4482216152605*0.3048").loose()
	BTU            = newUnit[Energy]("BTU", "1055.05585262").loose()
)

// Units of what the calculations need besides. The horsepower is the
// mechanical one, 550 ft·lbf/s; the metric one (PS) is 75 kgf·m/s.
var (
	SquareMetre      = newUnit[Area]("m²", "1")
	SquareMillimetre = newUnit[Area]("mm²", "1/1000000", "sq mm")
	SquareCentimetre = newUnit[Area]("cm²", "1/10000", "sq cm")
	SquareInch       = newUnit[Area]("in²", "0.0254*0.0254", "sq in").loose()

	KilogramPerCubicMetre  = newUnit[Density]("kg/m³", "1")
	GramPerCubicCentimetre = newUnit[Density]("g/cm³", "1000", "g/mL", "g/ml", "kg/L", "kg/l")
	PoundPerCubicFoot      = newUnit[Density]("lb/ft³", "0.45359237/0.3048/0.3048/0.3048").loose()

	Hertz     = newUnit[Frequency]("Hz", "1", "hertz").loose()
	Kilohertz = newUnit[Frequency]("kHz", "1000")

	KilogramPerMetre = newUnit[MassPerLength]("kg/m", "1")
	GramPerMetre     = newUnit[MassPerLength]("g/m", "1/1000")
	PoundPerFoot     = newUnit[MassPerLength]("lb/ft", "0.45359237/0.3048").loose()

	NewtonPerMetre      = newUnit[Stiffness]("N/m", "1")
	NewtonPerMillimetre = newUnit[Stiffness]("N/mm", "1000")
	PoundForcePerInch   = newUnit[Stiffness]("lbf/in", "4.4482216152605/0.0254", "lb/in").loose()

	RadianPerSecond = newUnit[RotationalSpeed]("rad/s", "1")
	TurnPerMinute   = newUnit[RotationalSpeed]("rpm", pi+"*2/60", "r/min", "rev/min").loose()

	MetrePerSecond   = newUnit[Speed]("m/s", "1")
	KilometrePerHour = newUnit[Speed]("km/h", "1/3.6", "kph").loose()
	MilePerHour      = newUnit[Speed]("mph", "0.44704", "mi/h").loose()
	FootPerMinute    = newUnit[Speed]("ft/min", "0.3048/60").loose()

	JoulePerKilogramKelvin     = newUnit[SpecificHeat]("J/(kg·K)", "1", "J/kg·K")
	KilojoulePerKilogramKelvin = newUnit[SpecificHeat]("kJ/(kg·K)", "1000", "kJ/kg·K")
	BTUPerPoundFahrenheit      = newUnit[SpecificHeat]("Btu/(lb·°F)", "4186.8", "Btu/lb·°F").loose()

	Watt             = newUnit[Power]("W", "1", "watt", "watts")
	Kilowatt         = newUnit[Power]("kW", "1000")
	Horsepower       = newUnit[Power]("hp", "4.4482216152605*0.3048*550", "horsepower").loose()
	MetricHorsepower = newUnit[Power]("PS", "9.80665*75")
)
