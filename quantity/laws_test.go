package quantity

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// unitLaws checks every unit of one quantity.
func unitLaws[Q Measured](t *testing.T) {
	for _, u := range UnitsOf[Q]() {
		t.Run(fmt.Sprintf("%T in %s", Q(0), u), func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				decimals := rapid.IntRange(0, 6).Draw(t, "decimals")
				n := rapid.Int64Range(0, 99_999_999).Draw(t, "n")
				number := strings.TrimSpace(fmt.Sprintf("%.*f", decimals, float64(n)/math.Pow10(decimals)))
				checkText(t, u, number)
				checkInverse(t, u, float64(n)/math.Pow10(decimals))
			})
		})
	}
}

// checkText: what is written prints as written and is read back the same, and
// making it from a number agrees with reading it.
func checkText[Q Measured](t *rapid.T, u Unit[Q], number string) {
	text := u.scale.with(number)
	w, err := Parse[Q](text)
	if err != nil {
		t.Fatal(err)
	}
	if w.String() != text || w.Unit() != u {
		t.Fatalf("%q prints as %q in %v", text, w, w.Unit())
	}
	if back, err := Parse[Q](w.String()); err != nil || back != w {
		t.Fatalf("%q is read back as %+v, %v; want %+v", text, back, err, w)
	}
	var n float64
	if _, err := fmt.Sscan(number, &n); err != nil {
		t.Fatal(err)
	}
	if made := u.Of(n); made != w.Value {
		t.Fatalf("%q is %v when read and %v when made", text, w.Value, made)
	}
}

// checkInverse: converting there and back gives the number again, within two
// roundings; near the zero of °C and °F within those of the kelvin value.
func checkInverse[Q Measured](t *rapid.T, u Unit[Q], n float64) {
	q := u.Of(n)
	back := u.Count(q)
	scale := max(math.Abs(n), 1e-300)
	if u.scale.offset != nil {
		scale += nearest(u.scale.offset())
	}
	if math.Abs(back-n) > 4e-16*scale {
		t.Fatalf("%v %s becomes %v and back %v", n, u, q, back)
	}
}

func TestUnitLaws(t *testing.T) {
	unitLaws[Torque](t)
	unitLaws[Force](t)
	unitLaws[Length](t)
	unitLaws[Angle](t)
	unitLaws[Pressure](t)
	unitLaws[Temperature](t)
	unitLaws[TemperatureDifference](t)
	unitLaws[Volume](t)
	unitLaws[Mass](t)
	unitLaws[Duration](t)
	unitLaws[Energy](t)
}

func TestConversionIsRoundedNoCoarserThanTheWriting(t *testing.T) {
	units := UnitsOf[Torque]()
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.SampledFrom(units).Draw(t, "from")
		to := rapid.SampledFrom(units).Draw(t, "to")
		digits := rapid.IntRange(1, 6).Draw(t, "digits")
		q := from.Of(rapid.Float64Range(0.01, 5000).Draw(t, "n"))
		w, err := Write(q, from, digits)
		if err != nil {
			t.Fatal(err)
		}
		text, behind := strings.CutPrefix(w.In(to), w.String())
		if !behind || from == to {
			if text != "" || from != to {
				t.Fatalf("%q does not start with %q", w.In(to), w)
			}
			return
		}
		inside := strings.TrimSuffix(strings.TrimPrefix(text, " ("), " conv.)")
		converted, err := ParseTorque(inside)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Abs(float64(converted.Value - w.Value))
		if off > w.step/2*(1+1e-9) && off > float64(w.Value)*0.051 {
			t.Fatalf("%s is off by %v N·m, written to %v N·m", w.In(to), off, w.step)
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, seed := range []string{"8 N·m", "6 ft-lb", "1 1/2 in", "3/8\"", "0,5 L", "82 300 km", "2.2 bar", "90 °C", "-40 degF",
		"1 h 05 min", "1:20", "-0° 30′", "½ in", "1,234 N·m", "€ 12.50", "-EUR 3", "5.N", "1e9 m", "2 US fl oz", "\xff"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, k := range kinds {
			value, printed, err := parseAny(k.name, text)
			if err != nil {
				continue
			}
			if math.IsNaN(value) || math.IsInf(value, 0) {
				t.Fatalf("%s %q is %v", k.name, text, value)
			}
			again, reprinted, err := parseAny(k.name, printed)
			if err != nil || again != value || reprinted != printed {
				t.Fatalf("%s %q prints %q, which is %v, %q, %v; want %v", k.name, text, printed, again, reprinted, err, value)
			}
			for _, s := range k.scales {
				if _, err := Convert(k.name, text, s.symbol); err != nil {
					t.Fatalf("%s %q does not convert to %s: %v", k.name, text, s.symbol, err)
				}
			}
		}
		if m, err := ParseMoney(text); err == nil {
			if back, err := ParseMoney(m.String()); err != nil || back != m {
				t.Fatalf("money %q prints %q, read back as %v, %v", text, m, back, err)
			}
		}
	})
}
