package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"lastbolt/calc"
	"lastbolt/calc/coolant"
	"lastbolt/calc/fluid"
	"lastbolt/quantity"
)

// fluids times the coolant and fluid calculations as a page runs them, the
// choice of containers against an integer solver, and water's boiling points
// against a property library.
func fluids(b *bench) error {
	if err := fluidCalculations(); err != nil {
		return err
	}
	if err := containers(b); err != nil {
		return err
	}
	return waterLine(b)
}

// fluidCalculations times every calculation with its example.
func fluidCalculations() error {
	g := &grid{}
	g.add("calculation", "µs")
	for _, group := range []*calc.Group{coolant.Group, fluid.Group} {
		for _, d := range group.Calculations() {
			var err error
			took := best(func() { _, err = d.Run(d.Example) })
			if err != nil {
				return fmt.Errorf("%s: %w", d.Name, err)
			}
			g.add(d.Name, us(took))
		}
	}
	g.print(os.Stdout)
	return nil
}

func us(d time.Duration) string { return fmt.Sprintf("%.3g", float64(d.Nanoseconds())/1000) }

// containers compares coolant.Buy with the same question as an integer
// program: least volume bought. (The fewest containers for it are ours alone.)
func containers(b *bench) error {
	fmt.Println("\nWhat to buy of containers of 0.95, 1.5, 3.78 and 5 L")
	on := []coolant.Container{{Holds: quantity.Litres(0.95)}, {Holds: quantity.Litres(1.5)}, {Holds: quantity.Litres(3.78)}, {Holds: quantity.Litres(5)}}
	g := &grid{}
	g.add("litres", "ours ms", "GLPK s", "growth")
	before := time.Duration(0)
	for _, litres := range []float64{4.3, 17.9, 71.3, 285.1} {
		var counts []int
		took := best(func() { counts = coolant.Buy(quantity.Litres(litres), on) })
		o, err := containersByGLPK(b, litres, on)
		if err != nil {
			return err
		}
		bought := 0.0
		for i, n := range counts {
			bought += on[i].Holds.In(quantity.Litre) * float64(n)
		}
		if o.proven && (bought-o.value > 0.005 || o.value-bought > 0.005) {
			return fmt.Errorf("for %g L we buy %g L and GLPK %g L", litres, bought, o.value)
		}
		growth := "-"
		if before > 0 {
			growth = fmt.Sprintf("%.1f ×", took.Seconds()/before.Seconds())
		}
		before = took
		g.add(fmt.Sprint(litres), ms(took), o.String(), growth)
	}
	g.print(os.Stdout)
	return nil
}

func containersByGLPK(b *bench, litres float64, on []coolant.Container) (outcome, error) {
	if b.only != "" && !strings.Contains(strings.ToLower(b.only), "glpk") {
		return outcome{missing: true}, nil
	}
	var sum, names []string
	for i, c := range on {
		sum = append(sum, fmt.Sprintf("%.4g x%d", c.Holds.In(quantity.Litre), i))
		names = append(names, fmt.Sprintf("x%d", i))
	}
	total := strings.Join(sum, " + ")
	model := filepath.Join(b.work, "containers.lp")
	text := fmt.Sprintf("Minimize\n obj: %s\nSubject To\n need: %s >= %g\nGenerals\n %s\nEnd\n", total, total, litres, strings.Join(names, " "))
	if err := os.WriteFile(model, []byte(text), 0o600); err != nil {
		return outcome{}, err
	}
	o, err := glpk(b, model)
	if errors.Is(err, exec.ErrNotFound) {
		return outcome{missing: true}, nil
	}
	return o, err
}

// waterScript prints the seconds iapws takes for the pressures on its command
// line, in MPa, and then the boiling points in kelvin.
const waterScript = `
import sys, time
from iapws.iapws97 import _TSat_P
p = [float(x) for x in sys.argv[1:]]
t = time.perf_counter()
got = [_TSat_P(x) for x in p]
print(time.perf_counter() - t)
for x in got: print(repr(x))
`

// waterLine compares water's boiling points with python3-iapws.
func waterLine(b *bench) error {
	var pressures []string
	for i := range 400 {
		pressures = append(pressures, fmt.Sprintf("%.4f", 0.02+0.005*float64(i)))
	}
	ours := make([]float64, len(pressures))
	took := best(func() {
		for i := range pressures {
			ours[i] = float64(coolant.SaturationTemperature(quantity.Pascals(2e4 + 5e3*float64(i))))
		}
	})
	g := &grid{}
	g.add("water's boiling point", "µs each", "largest difference K")
	g.add("ours", us(took/time.Duration(len(ours))), "-")
	theirs, seconds, ok := waterByLibrary(b, pressures)
	if !ok {
		g.add("python3-iapws", "not installed", "-")
	} else {
		off := 0.0
		for i := range ours {
			off = max(off, ours[i]-theirs[i], theirs[i]-ours[i])
		}
		g.add("python3-iapws", fmt.Sprintf("%.3g", seconds*1e6/float64(len(ours))), fmt.Sprintf("%.1e", off))
	}
	fmt.Println()
	g.print(os.Stdout)
	return nil
}

func waterByLibrary(b *bench, pressures []string) (kelvin []float64, seconds float64, ok bool) {
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		cmd := exec.CommandContext(b.ctx, python, append([]string{"-c", waterScript}, pressures...)...)
		var out bytes.Buffer
		cmd.Stdout = &out
		if cmd.Run() != nil {
			continue
		}
		lines := strings.Fields(out.String())
		if len(lines) != len(pressures)+1 {
			continue
		}
		values := make([]float64, len(lines))
		for i, line := range lines {
			v, err := strconv.ParseFloat(line, 64)
			if err != nil {
				return nil, 0, false
			}
			values[i] = v
		}
		return values[1:], values[0], true
	}
	return nil, 0, false
}
