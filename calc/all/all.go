// Package all gathers the groups of calculations of every engine. An engine is
// one line here.
package all

import (
	"lastbolt/calc"
	"lastbolt/calc/belt"
	"lastbolt/calc/coolant"
	"lastbolt/calc/fastener"
	"lastbolt/calc/fluid"
	"lastbolt/calc/seal"
	"lastbolt/calc/tighten"
)

// Registry gives every calculation there is.
func Registry() *calc.Registry {
	return calc.NewRegistry(
		calc.Units,
		belt.Group,
		fastener.Group,
		coolant.Group,
		fluid.Group,
		seal.Group,
		tighten.Group,
	)
}
