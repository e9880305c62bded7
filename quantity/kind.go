package quantity

import (
	"fmt"
	"math/big"
	"strings"
)

// kind is what the parser knows of a quantity: its units and its traps.
type kind struct {
	name     string
	example  string // a good text, for error sentences
	scales   []*scale
	unsigned bool              // a minus sign is refused
	absolute bool              // less than nothing in base units is refused
	chain    []*scale          // units that may follow one another, coarse to fine: 1 h 20 min
	traps    map[string]string // by unit key: why it is refused, as the rest of a sentence
}

func scalesOf[Q Measured](units ...Unit[Q]) []*scale {
	var scales []*scale
	for _, u := range units {
		scales = append(scales, u.scale)
	}
	return scales
}

const (
	ounceTorque = "is an ounce-inch torque, sixteen times smaller than lbf·in and easily taken for it: convert it and write lbf·in or N·m"
	whichGauge  = "says gauge or absolute in the unit: write plain psi, bar or kPa, the place it is written in says which"
	whichGallon = "is different in the US and the UK: write US or UK before it, as in \"2 US qt\""
)

var torques = &kind{
	name: "torque", example: "8 N·m", unsigned: true,
	scales: scalesOf(NewtonMetre, PoundForceFoot, PoundForceInch, CentinewtonMetre, DecanewtonMetre,
		KilogramForceMetre, KilogramForceCentimetre, MillinewtonMetre, KilonewtonMetre),
	traps: map[string]string{
		"inoz": ounceTorque, "ozin": ounceTorque, "ozfin": ounceTorque, "inozf": ounceTorque,
		"nm":  "with a small n is nanometres: write N·m",
		"mN":  "is millinewtons, a force: write N·m (or mN·m for millinewton metres)",
		"MN":  "is meganewtons, a force: write N·m",
		"lb":  "leaves open which torque is meant: write lbf·ft or lbf·in",
		"lbf": "leaves open which torque is meant: write lbf·ft or lbf·in",
		"lbs": "leaves open which torque is meant: write lbf·ft or lbf·in",
	},
}

var forces = &kind{
	name: "force", example: "250 N",
	scales: scalesOf(Newton, Kilonewton, Decanewton, PoundForce, KilogramForce),
	traps: map[string]string{
		"lb": "is a mass: write lbf for the force", "lbs": "is a mass: write lbf for the force",
		"kg": "is a mass: write kgf, or N, for the force",
	},
}

var lengths = &kind{
	name: "length", example: "20 mm",
	scales: scalesOf(Metre, Millimetre, Centimetre, Micrometre, Kilometre, Inch, Foot, Thou, Mile, Yard),
}

var angles = &kind{
	name: "angle", example: "90°",
	scales: scalesOf(Degree, Radian, Turn, Arcminute),
	chain:  scalesOf(Degree, Arcminute),
	traps: map[string]string{
		"'": "could be minutes of arc or feet: write ′ or arcmin",
	},
}

var pressures = &kind{
	name: "pressure", example: "2.2 bar",
	scales: scalesOf(Pascal, Kilopascal, Bar, PoundPerSquareInch, Hectopascal, Megapascal, Millibar,
		KilogramForcePerSquareCentimetre, InchOfMercury, MillimetreOfMercury, InchOfWater, MillimetreOfWater,
		KilopoundPerSquareInch, StandardAtmosphere),
	traps: map[string]string{
		"psig": whichGauge, "psia": whichGauge, "barg": whichGauge, "bara": whichGauge,
	},
}

var temperatures = &kind{
	name: "temperature", example: "90 °C", absolute: true,
	scales: scalesOf(DegreeCelsius, DegreeFahrenheit, Kelvin),
	traps: map[string]string{
		"°": "leaves open Celsius or Fahrenheit: write °C or °F", "deg": "leaves open Celsius or Fahrenheit: write °C or °F",
	},
}

var differences = &kind{
	name: "temperature difference", example: "5 °C",
	scales: scalesOf(KelvinStep, DegreeCelsiusStep, DegreeFahrenheitStep),
	traps: map[string]string{
		"°": "leaves open Celsius or Fahrenheit: write °C or °F", "deg": "leaves open Celsius or Fahrenheit: write °C or °F",
	},
}

var volumes = &kind{
	name: "volume", example: "0.5 L", unsigned: true,
	scales: scalesOf(Litre, Millilitre, Decilitre, Centilitre, CubicCentimetre, CubicMetre, USGallon, USQuart,
		USPint, USFluidOunce, UKGallon, UKQuart, UKPint, UKFluidOunce, CubicInch),
	traps: map[string]string{
		"gal": whichGallon, "qt": whichGallon, "pt": whichGallon, "floz": whichGallon, "gallon": whichGallon,
		"gallons": whichGallon, "quart": whichGallon, "quarts": whichGallon, "pint": whichGallon, "pints": whichGallon,
		"oz": "is a weight: write g, or US fl oz for the volume",
	},
}

var masses = &kind{
	name: "mass", example: "1.5 kg", unsigned: true,
	scales: scalesOf(Kilogram, Gram, Milligram, Tonne, Pound, Ounce),
}

var durations = &kind{
	name: "duration", example: "1 h 20 min", unsigned: true,
	scales: scalesOf(Second, Minute, Hour, Day, Week),
	chain:  scalesOf(Week, Day, Hour, Minute, Second),
	traps: map[string]string{
		":": "could be hours and minutes or minutes and seconds: write 1 h 20 min or 1 min 20 s",
		"m": "could be minutes or months: write min",
	},
}

var energies = &kind{
	name: "energy", example: "500 J",
	scales: scalesOf(Joule, Kilojoule, Megajoule, WattHour, KilowattHour, FootPoundForce, BTU),
	traps: map[string]string{
		"Nm": "is torque: write J for energy",
	},
}

var areas = &kind{name: "area", example: "58 mm²", unsigned: true,
	scales: scalesOf(SquareMetre, SquareMillimetre, SquareCentimetre, SquareInch)}

var densities = &kind{name: "density", example: "1.07 g/cm³", unsigned: true,
	scales: scalesOf(KilogramPerCubicMetre, GramPerCubicCentimetre, PoundPerCubicFoot)}

var frequencies = &kind{name: "frequency", example: "110 Hz", unsigned: true,
	scales: scalesOf(Hertz, Kilohertz)}

var lineMasses = &kind{name: "mass per length", example: "0.11 kg/m", unsigned: true,
	scales: scalesOf(KilogramPerMetre, GramPerMetre, PoundPerFoot)}

var stiffnesses = &kind{name: "stiffness", example: "25 N/mm", unsigned: true,
	scales: scalesOf(NewtonPerMetre, NewtonPerMillimetre, PoundForcePerInch)}

var rotations = &kind{name: "rotational speed", example: "800 rpm",
	scales: scalesOf(RadianPerSecond, TurnPerMinute)}

var speeds = &kind{name: "speed", example: "25 m/s",
	scales: scalesOf(MetrePerSecond, KilometrePerHour, MilePerHour, FootPerMinute)}

var specificHeats = &kind{name: "specific heat", example: "3.6 kJ/(kg·K)", unsigned: true,
	scales: scalesOf(JoulePerKilogramKelvin, KilojoulePerKilogramKelvin, BTUPerPoundFahrenheit)}

var powers = &kind{name: "power", example: "2.5 kW",
	scales: scalesOf(Watt, Kilowatt, Horsepower, MetricHorsepower)}

// kinds is every quantity that can be measured, for finding what a misplaced
// unit belongs to and for converting by name.
var kinds = []*kind{torques, forces, lengths, angles, pressures, temperatures, differences,
	volumes, masses, durations, energies, areas, densities, frequencies, lineMasses, stiffnesses,
	rotations, speeds, specificHeats, powers}

// find gives the unit a text names, or what is wrong with the text.
func (k *kind) find(text string) (*scale, string) {
	key, ok := unitKey(text)
	if !ok || key == "" {
		return nil, "has no unit that can be read: write for example " + k.example
	}
	if s := k.lookup(key); s != nil {
		return s, ""
	}
	if trap := k.traps[key]; trap != "" {
		return nil, trap
	}
	for _, s := range k.scales {
		for _, spelling := range s.keys() {
			if strings.EqualFold(spelling, key) {
				return nil, "is not written so (capitals and small letters matter): write " + s.symbol
			}
		}
	}
	if trap := k.traps[strings.ToLower(key)]; trap != "" {
		return nil, trap
	}
	for _, other := range kinds {
		if s := other.lookup(key); s != nil {
			return nil, fmt.Sprintf("is a unit of %s, not of %s: write for example %s", other.name, k.name, k.example)
		}
	}
	return nil, fmt.Sprintf("is not a unit of %s known here: write %s", k.name, k.list())
}

// base gives the unit the quantity's type counts in.
func (k *kind) base() *scale {
	for _, s := range k.scales {
		if s.offset == nil && s.factor().Cmp(one) == 0 {
			return s
		}
	}
	panic("quantity: " + k.name + " has no base unit")
}

var one = big.NewRat(1, 1)

// lookup finds the unit whose spelling the key is.
func (k *kind) lookup(key string) *scale {
	for _, s := range k.scales {
		for _, spelling := range s.keys() {
			if spelling == key || s.anyCase && strings.EqualFold(spelling, key) {
				return s
			}
		}
	}
	return nil
}

// list names the quantity's commoner units.
func (k *kind) list() string {
	var names []string
	for _, s := range k.scales[:min(4, len(k.scales))] {
		names = append(names, s.symbol)
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}
