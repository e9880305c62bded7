package quantity

import "testing"

func TestConstructorsMakeWhatTheirNamesSay(t *testing.T) {
	same := func(name string, got, want, back, n float64) {
		if got != want || back != n {
			t.Errorf("%s: made %v, want %v; taken apart %v, want %v", name, got, want, back, n)
		}
	}
	check := func(name string, got float64, quantity, text, base string, back, n float64) {
		want, err := Convert(quantity, text, base)
		if err != nil {
			t.Fatal(err)
		}
		same(name, got, want, back, n)
	}
	nm, ft, in := NewtonMetres(3), PoundForceFeet(3), PoundForceInches(3)
	check("NewtonMetres", float64(nm), "torque", "3 N·m", "N·m", nm.In(NewtonMetre), 3)
	check("PoundForceFeet", float64(ft), "torque", "3 lbf·ft", "N·m", ft.In(PoundForceFoot), 3)
	check("PoundForceInches", float64(in), "torque", "3 lbf·in", "N·m", in.In(PoundForceInch), 3)
	check("Newtons", float64(Newtons(3)), "force", "3 N", "N", Newtons(3).In(Newton), 3)
	check("Metres", float64(Metres(3)), "length", "3 m", "m", Metres(3).In(Metre), 3)
	check("Millimetres", float64(Millimetres(3)), "length", "3 mm", "m", Millimetres(3).In(Millimetre), 3)
	check("Kilometres", float64(Kilometres(3)), "length", "3 km", "m", Kilometres(3).In(Kilometre), 3)
	check("Inches", float64(Inches(3)), "length", "3 in", "m", Inches(3).In(Inch), 3)
	check("Degrees", float64(Degrees(3)), "angle", "3°", "rad", Degrees(3).In(Degree), 3)
	check("Pascals", float64(Pascals(3)), "pressure", "3 Pa", "Pa", Pascals(3).In(Pascal), 3)
	check("Kilopascals", float64(Kilopascals(3)), "pressure", "3 kPa", "Pa", Kilopascals(3).In(Kilopascal), 3)
	check("Bars", float64(Bars(3)), "pressure", "3 bar", "Pa", Bars(3).In(Bar), 3)
	check("Celsius", float64(Celsius(3)), "temperature", "3 °C", "K", Celsius(3).In(DegreeCelsius), 3)
	check("Fahrenheit", float64(Fahrenheit(3)), "temperature", "3 °F", "K", Fahrenheit(59).In(DegreeCelsius), 15)
	check("Litres", float64(Litres(3)), "volume", "3 L", "m³", Litres(3).In(Litre), 3)
	check("Millilitres", float64(Millilitres(3)), "volume", "3 mL", "m³", Millilitres(3).In(Millilitre), 3)
	check("Kilograms", float64(Kilograms(3)), "mass", "3 kg", "kg", Kilograms(3).In(Kilogram), 3)
	check("Grams", float64(Grams(3)), "mass", "3 g", "kg", Grams(3).In(Gram), 3)
	check("Seconds", float64(Seconds(3)), "duration", "3 s", "s", Seconds(3).In(Second), 3)
	check("Minutes", float64(Minutes(3)), "duration", "3 min", "s", Minutes(3).In(Minute), 3)
	check("Hours", float64(Hours(3)), "duration", "3 h", "s", Hours(3).In(Hour), 3)
	check("Joules", float64(Joules(3)), "energy", "3 J", "J", Joules(3).In(Joule), 3)
	step := DegreeFahrenheitStep.Of(9)
	same("temperature step", float64(step), 5, step.In(DegreeCelsiusStep), 5)
}

// A quantity that nobody named is the one that both units measure.
func TestWhatIsConvertedFollowsFromTheUnits(t *testing.T) {
	for _, c := range []struct{ value, to, want string }{
		{"72 lbf·in", "N·m", "torque"},
		{"8 ft·lbf", "J", "energy"},
		{"8 lbf·ft", "J", "energy"}, // refused as energy, and said why
		{"1 1/2 in", "mm", "length"},
		{"5 °C", "K", "temperature"},
		{"-300 °C", "K", "temperature"}, // refused, and said why
		{"-8 N·m", "lbf·ft", "torque"},
		{"1 h 20 min", "s", "duration"},
		{"72", "N·m", "torque"},
		{"1 US qt", "blip", "volume"},
		{"1 zork", "blip", ""},
	} {
		if got := NameFor(c.value, c.to); got != c.want {
			t.Errorf("%s to %s: %q, want %q", c.value, c.to, got, c.want)
		}
	}
}
