package quantity

import (
	"fmt"
	"strings"
)

// Names lists the quantities by name, as ReadAs and Convert take them.
func Names() []string {
	var names []string
	for _, k := range kinds {
		names = append(names, k.name)
	}
	return names
}

// NameOf gives the name and the base-unit value of a quantity held in an
// interface, and false when v is none.
func NameOf(v any) (name string, base float64, ok bool) {
	m, ok := v.(interface{ kind() *kind })
	if !ok {
		return "", 0, false
	}
	return m.kind().name, baseOf(v), true
}

func baseOf(v any) float64 {
	switch q := v.(type) {
	case Torque:
		return float64(q)
	case Force:
		return float64(q)
	case Length:
		return float64(q)
	case Angle:
		return float64(q)
	case Pressure:
		return float64(q)
	case Temperature:
		return float64(q)
	case TemperatureDifference:
		return float64(q)
	case Volume:
		return float64(q)
	case Mass:
		return float64(q)
	case Duration:
		return float64(q)
	case Energy:
		return float64(q)
	case Area:
		return float64(q)
	case Density:
		return float64(q)
	case Frequency:
		return float64(q)
	case MassPerLength:
		return float64(q)
	case Stiffness:
		return float64(q)
	case RotationalSpeed:
		return float64(q)
	case Speed:
		return float64(q)
	case SpecificHeat:
		return float64(q)
	case Power:
		return float64(q)
	}
	panic(fmt.Sprintf("quantity: %T is a quantity without a base value", v))
}

// ReadAs reads a quantity named at run time: its value in base units, and the
// text in the house spelling.
func ReadAs(name, text string) (base float64, written string, err error) {
	k := kindNamed(name)
	if k == nil {
		return 0, "", fmt.Errorf("%q is not a quantity known here: write one of %s", name, strings.Join(Names(), ", "))
	}
	r, err := k.read(text)
	if err != nil {
		return 0, "", err
	}
	return nearest(r.base), r.text, nil
}

// NameFor gives the name of the first quantity that both a value and a unit
// wanted for it are of, be the value possible or not: what is colder than
// absolute zero is no temperature difference. The unit decides where they do not
// agree, so that reading the value as that quantity says what is wrong with it.
// It is empty where neither is known.
func NameFor(value, to string) string {
	var byUnit, byValue string
	for _, k := range kinds {
		_, problem := k.find(to)
		measured := k.measures(value)
		switch {
		case problem == "" && measured:
			return k.name
		case problem == "" && byUnit == "":
			byUnit = k.name
		case measured && byValue == "":
			byValue = k.name
		}
	}
	if byUnit != "" {
		return byUnit
	}
	return byValue
}

// measures tells whether a text has a unit of the quantity.
func (k *kind) measures(value string) bool {
	text, err := tidy(value)
	if err != nil {
		return false
	}
	r, _ := k.readParts(text)
	return r.scale != nil
}

// FormatAs prints base units of a quantity named at run time, in the unit named
// and with that many significant digits.
func FormatAs(name string, base float64, unit string, digits int) (string, error) {
	count, err := CountAs(name, base, unit)
	if err != nil {
		return "", err
	}
	k := kindNamed(name)
	s, _ := k.find(unit)
	r, ok := decimal(count)
	if !ok {
		return "not known", nil
	}
	return s.with(significant(r, max(digits, 1))), nil
}

// CountAs gives how many of the unit named are in base units of a quantity
// named at run time.
func CountAs(name string, base float64, unit string) (float64, error) {
	k := kindNamed(name)
	if k == nil {
		return 0, fmt.Errorf("%q is not a quantity known here: write one of %s", name, strings.Join(Names(), ", "))
	}
	s, problem := k.find(unit)
	if problem != "" {
		return 0, fmt.Errorf("%q %s", unit, problem)
	}
	r, ok := decimal(base)
	if !ok {
		return base, nil
	}
	return nearest(s.fromBase(r)), nil
}

// UnitsNamed lists the unit symbols of a quantity named at run time.
func UnitsNamed(name string) []string {
	k := kindNamed(name)
	if k == nil {
		return nil
	}
	var symbols []string
	for _, s := range k.scales {
		symbols = append(symbols, s.symbol)
	}
	return symbols
}

func kindNamed(name string) *kind {
	for _, k := range kinds {
		if k.name == name {
			return k
		}
	}
	return nil
}

// Convert turns a quantity written as text into a number of the unit named, for
// callers that have only texts, such as checks kept as data: Convert("torque",
// "6 lbf·ft", "N·m"). The name is that of a type in words ("temperature
// difference"); it decides where a unit serves two of them, as °C and ft·lbf
// do. The value is computed without rounding from the digits written.
func Convert(name, value, to string) (float64, error) {
	var names []string
	for _, k := range kinds {
		if k.name != name {
			names = append(names, k.name)
			continue
		}
		r, err := k.read(value)
		if err != nil {
			return 0, err
		}
		s, problem := k.find(to)
		if problem != "" {
			return 0, fmt.Errorf("%q %s", to, problem)
		}
		return nearest(s.fromBase(r.base)), nil
	}
	return 0, fmt.Errorf("%q is not a quantity known here: write one of %s", name, strings.Join(names, ", "))
}
