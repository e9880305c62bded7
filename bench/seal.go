package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"lastbolt/calc/seal"
	"lastbolt/quantity"
)

// seals times the flatness of a face beside a linear program of the same
// question, and the search of the tables for rings.
func seals(b *bench) error {
	g := &grid{}
	g.add("spots", "ours ms", "GLPK ms", "ratio", "same zone")
	for _, side := range [][2]int{{3, 3}, {4, 3}, {6, 4}, {8, 8}, {12, 10}} {
		spots := warped(rand.New(rand.NewPCG(3, 3)), side[0], side[1])
		var f seal.Flatness
		var err error
		took := best(func() { f, err = seal.Measure(spots) })
		if err != nil {
			return err
		}
		o, err := b.zoneByProgram(spots)
		if err != nil {
			return err
		}
		row := []string{fmt.Sprint(len(spots)), ms(took), o.String(), "", ""}
		if o.proven {
			row[2], row[3] = ms(o.took), fmt.Sprintf("%.0f", float64(o.took)/float64(took))
			same := math.Abs(o.value-float64(f.Zone)*1e6) <= 1e-4*o.value
			row[4] = map[bool]string{true: "yes", false: fmt.Sprintf("no: %g and %g µm", float64(f.Zone)*1e6, o.value)}[same]
		}
		g.add(row...)
	}
	g.print(os.Stdout)
	fmt.Println()
	return ringSearches()
}

// warped makes readings over a bowed and twisted face with some noise.
func warped(r *rand.Rand, nx, ny int) []seal.Spot {
	var spots []seal.Spot
	for x := range nx {
		for y := range ny {
			u, v := 2*float64(x)/float64(nx-1)-1, 2*float64(y)/float64(ny-1)-1
			gap := 0.3 - 0.08*u*u + 0.03*u*v + 0.02*r.Float64()
			spots = append(spots, seal.Spot{X: quantity.Length(x) * 0.04, Y: quantity.Length(y) * 0.03, Leaf: quantity.Length(gap) * 1e-3})
		}
	}
	return spots
}

// zoneByProgram asks a linear-programming solver for the least zone: min t with
// every height within t/2 of a plane. Heights are in µm, places in mm.
func (b *bench) zoneByProgram(spots []seal.Spot) (outcome, error) {
	if b.only != "" && !strings.Contains(strings.ToLower(b.only), "glpk") {
		return outcome{missing: true}, nil
	}
	model := filepath.Join(b.work, "zone.lp")
	f, err := os.Create(model)
	if err != nil {
		return outcome{}, err
	}
	if err := errors.Join(writeZone(f, spots), f.Close()); err != nil {
		return outcome{}, err
	}
	least := outcome{missing: true}
	for i := 0; i < 5; i++ {
		report := model + ".out"
		text, took, err := b.command(nil, "glpsol", "--lp", model, "-o", report)
		if errors.Is(err, exec.ErrNotFound) {
			return outcome{missing: true}, nil
		}
		if err != nil {
			return outcome{}, err
		}
		if !strings.Contains(text, "OPTIMAL LP SOLUTION FOUND") {
			return outcome{took: took}, nil
		}
		found, err := os.ReadFile(report)
		if err != nil {
			return outcome{}, err
		}
		value, ok := number(string(found), `Objective:\s+obj = (\S+)`)
		if least.missing || took < least.took {
			least = outcome{took: took, proven: ok, value: value}
		}
	}
	return least, nil
}

func writeZone(w io.Writer, spots []seal.Spot) error {
	var s strings.Builder
	s.WriteString("Minimize\n obj: t\nSubject To\n")
	for i, p := range spots {
		x, y, h := float64(p.X)*1e3, float64(p.Y)*1e3, -float64(p.Leaf)*1e6
		fmt.Fprintf(&s, " u%d: a + %.9g b + %.9g c + 0.5 t >= %.9g\n", i, x, y, h)
		fmt.Fprintf(&s, " l%d: a + %.9g b + %.9g c - 0.5 t <= %.9g\n", i, x, y, h)
	}
	s.WriteString("Bounds\n a free\n b free\n c free\nEnd\n")
	_, err := io.WriteString(w, s.String())
	return err
}

// ringSearches times the tables of rings; no peer holds them.
func ringSearches() error {
	g := &grid{}
	g.add("rings", "recognise ms", "for a groove ms", "tolerance band ms")
	const mm quantity.Length = 1e-3
	at := func(n, tolerance float64) seal.Toleranced {
		return seal.Toleranced{Nominal: quantity.Length(n) * mm, Tolerance: quantity.Length(tolerance) * mm}
	}
	reading := seal.Reading{Inside: at(25.1, 0.2), Section: at(3.5, 0.05), Worn: true}
	gland := seal.Gland{Seat: seal.Piston, Groove: at(25.6, 0.05), Mate: at(31.35, 0.05), Width: at(4.95, 0.1)}
	ring, err := seal.Sized("214")
	if err != nil {
		return err
	}
	var problem error
	times := []time.Duration{
		best(func() { _, problem = seal.Recognise(reading, 12) }),
		best(func() { _, err = seal.RingsFor(gland, seal.Static, true, 10) }),
	}
	if err := errors.Join(problem, err); err != nil {
		return err
	}
	times = append(times, best(func() { _, err = gland.Fit(ring) }))
	if err != nil {
		return err
	}
	g.add(fmt.Sprint(len(seal.AllRings())), ms(times[0]), ms(times[1]), ms(times[2]))
	g.print(os.Stdout)
	return nil
}
