package quantity

import (
	"fmt"
	"strings"
)

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
