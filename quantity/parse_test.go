package quantity

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// parseAny reads text as the quantity named, for tables over several types.
func parseAny(name, text string) (value float64, printed string, err error) {
	switch name {
	case "torque":
		return loosen(ParseTorque(text))
	case "force":
		return loosen(ParseForce(text))
	case "length":
		return loosen(ParseLength(text))
	case "angle":
		return loosen(ParseAngle(text))
	case "pressure":
		return loosen(ParsePressure(text))
	case "temperature":
		return loosen(ParseTemperature(text))
	case "temperature difference":
		return loosen(ParseTemperatureDifference(text))
	case "volume":
		return loosen(ParseVolume(text))
	case "mass":
		return loosen(ParseMass(text))
	case "duration":
		return loosen(ParseDuration(text))
	case "energy":
		return loosen(ParseEnergy(text))
	}
	return 0, "", errors.New("no such quantity: " + name)
}

func loosen[Q Measured](w Written[Q], err error) (float64, string, error) {
	return float64(w.Value), w.String(), err
}

func TestTextsOfTheTradeAreRead(t *testing.T) {
	tests := []struct {
		quantity, text, printed string
		value                   float64
	}{
		{"torque", "8 N·m", "8 N·m", 8},
		{"torque", "8 Nm", "8 N·m", 8},
		{"torque", "8N.m", "8 N·m", 8},
		{"torque", "8 N m", "8 N·m", 8},
		{"torque", "8\u202fN⋅m", "8 N·m", 8},
		{"torque", "8\u00a0N-m", "8 N·m", 8},
		{"torque", "8,50 Nm", "8.50 N·m", 8.5},
		{"torque", "008 Nm", "8 N·m", 8},
		{"torque", "6 lbf·ft", "6 lbf·ft", 8.134907689988402},
		{"torque", "6 ft-lbf", "6 lbf·ft", 8.134907689988402},
		{"torque", "6 lbf ft", "6 lbf·ft", 8.134907689988402},
		{"torque", "6 ft·lb", "6 lbf·ft", 8.134907689988402},
		{"torque", "6 FT-LBS.", "6 lbf·ft", 8.134907689988402},
		{"torque", "72 lbf·in", "72 lbf·in", 8.134907689988402},
		{"torque", "72 in-lb", "72 lbf·in", 8.134907689988402},
		{"torque", "6 foot-pounds", "6 lbf·ft", 8.134907689988402},
		{"torque", "6 pound-feet", "6 lbf·ft", 8.134907689988402},
		{"torque", "72 inch pounds", "72 lbf·in", 8.134907689988402},
		{"torque", "250 mN·m", "250 mN·m", 0.25},
		{"torque", "1.5 kg·m", "1.5 kgf·m", 14.709975},
		{"force", "10 lbf", "10 lbf", 44.482216152605},
		{"length", "1/2 in", "1/2 in", 0.0127},
		{"length", "1 1/2 in", "1 1/2 in", 0.0381},
		{"length", "1-1/2 in.", "1 1/2 in", 0.0381},
		{"length", "1½″", "1 1/2 in", 0.0381},
		{"length", "3/8\"", "3/8 in", 0.009525},
		{"length", "0,125 in", "0.125 in", 0.003175},
		{"length", ".5 in", "0.5 in", 0.0127},
		{"length", "\u22122 mm", "-2 mm", -0.002},
		{"length", "5 μm", "5 µm", 0.000005},
		{"length", "1 200 mm", "1200 mm", 1.2},
		{"length", "1 200.5 mm", "1200.5 mm", 1.2005},
		{"length", "1 125/1000 in", "1 125/1000 in", 0.028575},
		{"length", "1 234 1/2 in", "1234 1/2 in", 31.3563},
		{"length", "-1 200 mm", "-1200 mm", -1.2},
		{"torque", "1 234 N·m", "1234 N·m", 1234},
		{"torque", "12 345 678 N·m", "12345678 N·m", 12345678},
		{"length", "82 300 km", "82300 km", 82300000},
		{"length", "82\u2009300 km", "82300 km", 82300000},
		{"length", "82\u202f300,5 km", "82300.5 km", 82300500},
		{"angle", "90°", "90°", 1.5707963267948966},
		{"angle", "3/4 turn", "3/4 turn", 4.71238898038469},
		{"angle", "1°5′", "1° 05′", 0.018907733563271904},
		{"angle", "-0° 30′", "-0° 30′", -0.008726646259971648},
		{"pressure", "2.2 bar", "2.2 bar", 220000},
		{"pressure", "-0,6 bar", "-0.6 bar", -60000},
		{"pressure", "32 PSI", "32 psi", 220632.23338138757},
		{"pressure", "30 lbf/in²", "30 psi", 206842.71879505083},
		{"temperature", "90 °C", "90 °C", 363.15},
		{"temperature", "90 degC", "90 °C", 363.15},
		{"temperature", "90 ℃", "90 °C", 363.15},
		{"temperature", "-40 °F", "-40 °F", 233.15},
		{"temperature difference", "9 °F", "9 °F", 5},
		{"temperature difference", "-5 °C", "-5 °C", -5},
		{"volume", "0,5 L", "0.5 L", 0.0005},
		{"volume", "500 ml", "500 mL", 0.0005},
		{"volume", "500 cc", "500 cm³", 0.0005},
		{"volume", "4 US qt.", "4 US qt", 0.003785411784},
		{"mass", "2 lbs", "2 lb", 0.90718474},
		{"duration", "1 h 20 min", "1 h 20 min", 4800},
		{"duration", "1h20min", "1 h 20 min", 4800},
		{"duration", "1 h 5 min", "1 h 05 min", 3900},
		{"duration", "2 days 3 hours", "2 d 3 h", 183600},
		{"duration", "1 min 7.5 s", "1 min 07.5 s", 67.5},
		{"duration", "45 s", "45 s", 45},
		{"duration", "90 min", "90 min", 5400},
		{"energy", "1 ft·lbf", "1 ft·lbf", 1.3558179483314004},
	}
	for _, test := range tests {
		t.Run(test.quantity+" "+test.text, func(t *testing.T) {
			value, printed, err := parseAny(test.quantity, test.text)
			if err != nil || printed != test.printed || value != test.value {
				t.Errorf("got %v, %q, %v; want %v, %q", value, printed, err, test.value, test.printed)
			}
		})
	}
}

func TestDoubtfulTextsAreRefusedWithAWayOut(t *testing.T) {
	tests := []struct{ quantity, text, says string }{
		{"torque", "", "write for example 8 N·m"},
		{"torque", "8", "has no unit after 8: write for example 8 N·m"},
		{"torque", "N·m", "does not start with a number"},
		{"torque", "NaN N·m", "does not start with a number"},
		{"torque", "Inf N·m", "does not start with a number"},
		{"torque", "1e5 N·m", "power of ten"},
		{"torque", "1E-400 N·m", "power of ten"},
		{"torque", "1234567890123456 N·m", "15 digits"},
		{"torque", "1,234 N·m", "write 1.234 or 1234"},
		{"torque", "12,345 N·m", "write 12.345 or 12345"},
		{"torque", "1,234.5 N·m", "more than one point or comma"},
		{"torque", "1.234.567 N·m", "more than one point or comma"},
		{"torque", "1 23 N·m", "two numbers one after the other"},
		{"torque", "1 2345 N·m", "two numbers one after the other"},
		{"torque", "1234 500 N·m", "two numbers one after the other"},
		{"torque", "0 300 N·m", "two numbers one after the other"},
		{"torque", "82 300 45 N·m", "two numbers one after the other"},
		{"torque", "1. 234 N·m", "stops after the decimal mark"},
		{"length", "82,300 km", "write 82.300 or 82300"},
		{"length", "1 234 567 890 123 456 km", "15 digits"},
		{"duration", "1 20 min", "1 20 min"},
		{"duration", "1 200 min", "1 200 min"},
		{"torque", "8. N·m", "stops after the decimal mark"},
		{"torque", "8 nm", "nanometres"},
		{"torque", "8 NM", "capitals"},
		{"torque", "8 mN", "millinewtons"},
		{"torque", "8 MN·m", "capitals"},
		{"torque", "8 in oz", "ounce-inch"},
		{"torque", "8 oz-in", "ounce-inch"},
		{"torque", "8 lb", "lbf·ft or lbf·in"},
		{"torque", "8 lbf·ftin", "not a unit of torque"},
		{"torque", "8 J", "unit of energy, not of torque"},
		{"torque", "8 N··m", "no unit that can be read"},
		{"torque", "-8 N·m", "minus sign"},
		{"torque", "8\xffN·m", "bytes that are not letters"},
		{"torque", strings.Repeat("8", 100_000) + " N·m", "too long"},
		{"energy", "8 N·m", "torque"},
		{"force", "8 lb", "mass: write lbf"},
		{"force", "8 kg", "mass: write kgf"},
		{"length", "1/0 in", "zero below the line"},
		{"length", "1 3/2 in", "carry it over"},
		{"length", "12345/6 in", "more than 4 digits"},
		{"length", "1/2/3 in", "not a unit"},
		{"pressure", "30 psig", "gauge or absolute"},
		{"temperature", "90°", "Celsius or Fahrenheit"},
		{"temperature", "-300 °C", "absolute zero"},
		{"temperature", "-1 K", "absolute zero"},
		{"volume", "2 qt", "US and the UK"},
		{"volume", "2 GAL", "US and the UK"},
		{"volume", "2 oz", "weight"},
		{"volume", "-1 L", "minus sign"},
		{"volume", "5 ML", "write mL"},
		{"duration", "1:20", "hours and minutes or minutes and seconds"},
		{"duration", "5 m", "minutes or months"},
		{"duration", "1 h 60 min", "carry it over"},
		{"duration", "20 min 1 h", "wrong order"},
		{"duration", "1 h 1 h", "wrong order"},
		{"duration", "1.5 h 2 min", "whole numbers"},
		{"duration", "1 h 5", "no unit after 5"},
		{"duration", "-5 min", "minus sign"},
		{"angle", "30'", "minutes of arc or feet"},
		{"angle", "3/4 turn 5°", "wrong order"},
	}
	for _, test := range tests {
		t.Run(test.quantity+" "+test.text[:min(len(test.text), 20)], func(t *testing.T) {
			value, printed, err := parseAny(test.quantity, test.text)
			if err == nil {
				t.Fatalf("read as %v, %q; want an error that says %q", value, printed, test.says)
			}
			if !strings.Contains(err.Error(), test.says) {
				t.Errorf("error is %q, want it to say %q", err, test.says)
			}
			if len(err.Error()) > 300 || strings.Contains(err.Error(), "\n") {
				t.Errorf("error is not one sentence: %q", err)
			}
		})
	}
}

func TestSpellingsNeverMeanTwoUnits(t *testing.T) {
	for _, k := range kinds {
		for _, s := range k.scales {
			for _, key := range s.keys() {
				for _, other := range k.scales {
					for _, theirs := range other.keys() {
						same := key == theirs || (s.anyCase || other.anyCase) && strings.EqualFold(key, theirs)
						if other != s && same {
							t.Errorf("%s: %q means both %s and %s", k.name, key, s.symbol, other.symbol)
						}
					}
				}
				if k.traps[key] != "" {
					t.Errorf("%s: %q is a unit and a trap", k.name, key)
				}
			}
		}
	}
}

func TestEveryUnitReadsItsOwnSymbolBack(t *testing.T) {
	for _, k := range kinds {
		for _, s := range k.scales {
			if found, problem := k.find(s.symbol); found != s {
				t.Errorf("%s: %q is not found again: %s", k.name, s.symbol, problem)
			}
		}
		if _, _, err := ReadAs(k.name, k.example); err != nil {
			t.Errorf("%s: the example is refused: %v", k.name, err)
		}
		if f := k.base().factor().FloatString(1); f != "1.0" {
			t.Errorf("%s: base unit has factor %s", k.name, f)
		}
	}
}

func TestUnitIsFoundByName(t *testing.T) {
	if u, err := ParseUnit[Torque]("ft-lb"); err != nil || u != PoundForceFoot {
		t.Errorf("ft-lb: got %v, %v", u, err)
	}
	if _, err := ParseUnit[Torque]("psi"); err == nil || !strings.Contains(err.Error(), "pressure") {
		t.Errorf("psi as torque: got error %v", err)
	}
	var u Unit[Volume]
	if err := u.UnmarshalText([]byte("US qt")); err != nil || u != USQuart {
		t.Errorf("US qt: got %v, %v", u, err)
	}
	if err := u.UnmarshalText(nil); err != nil || u.Valid() {
		t.Errorf("empty: got %v, %v", u, err)
	}
}

func TestConvertNamesWhatIsMissing(t *testing.T) {
	for _, test := range []struct{ quantity, value, to, says string }{
		{"voltage", "1 kV", "V", `"voltage" is not a quantity`},
		{"torque", "1", "N·m", "no unit"},
		{"torque", "1 N·m", "bar", "pressure"},
	} {
		got, err := Convert(test.quantity, test.value, test.to)
		if err == nil || !strings.Contains(err.Error(), test.says) {
			t.Errorf("Convert(%v): got %v, %v; want an error that says %q", test, got, err, test.says)
		}
	}
}

func ExampleWritten_In() {
	torque, err := ParseTorque("8 Nm")
	fmt.Println(torque.In(PoundForceFoot), err)
	// Output: 8 N·m (5.9 lbf·ft conv.) <nil>
}
