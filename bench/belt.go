package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"time"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

// belts times the search for every routing on layouts of growing size. There is
// no peer: no general-purpose program was found that lists the ways a belt can
// run.
func belts(*bench) error {
	g := &grid{}
	g.add("pulleys", "layouts", "median ms", "slowest ms", "routings, most", "steps, most", "growth")
	for _, kind := range beltKinds {
		g.add(kind.name)
		before := time.Duration(0)
		for _, n := range []int{4, 6, 8, 10, 12, 14} {
			m, err := timeBelts(n, kind)
			if err != nil {
				return err
			}
			growth := "-"
			if before > 0 {
				growth = fmt.Sprintf("%.1f ×", m.median.Seconds()/before.Seconds())
			}
			before = m.median
			g.add(fmt.Sprintf("  %d", n), fmt.Sprint(m.layouts), ms(m.median), ms(m.slowest), fmt.Sprint(m.routings), fmt.Sprint(m.steps), growth)
		}
	}
	g.print(os.Stdout)
	fmt.Println("\nEvery call is the whole of belt.Find: check, search to the end, rank, work out the best twelve. Layouts are random, seeds 1 upward; \"small pulleys\" are meant as the hardest, with most room for the belt. With a tensioner the search is made in six places of its travel. Layouts that have no routing at all count as well.")
	return nil
}

// beltKind is a family of layouts.
type beltKind struct {
	name        string
	third, rest belt.Surface // rims of every third pulley, and of the others
	least, most float64      // diameters, mm
	tensioner   bool
}

var beltKinds = []beltKind{
	{name: "rims decide the side", third: belt.Plain, rest: belt.Grooved, least: 50, most: 140},
	{name: "either side on every third", third: belt.Either, rest: belt.Grooved, least: 50, most: 140},
	{name: "tensioner and known length", third: belt.Plain, rest: belt.Grooved, least: 50, most: 140, tensioner: true},
	{name: "small pulleys, either side on all", third: belt.Either, rest: belt.Either, least: 20, most: 40},
}

type beltTimes struct {
	layouts, routings, steps int
	median, slowest          time.Duration
}

func timeBelts(n int, kind beltKind) (beltTimes, error) {
	m := beltTimes{layouts: 15}
	var all []time.Duration
	for seed := range m.layouts {
		d := randomDrive(n, uint64(seed+1), kind)
		var f *belt.Found
		var err error
		took := best(func() { f, err = belt.Find(d, belt.Search{}) })
		if err != nil {
			return m, fmt.Errorf("%d pulleys, seed %d: %w", n, seed+1, err)
		}
		if !f.Complete {
			return m, fmt.Errorf("%d pulleys, seed %d: the search did not end", n, seed+1)
		}
		all = append(all, took)
		m.routings, m.steps = max(m.routings, f.All), max(m.steps, f.Tried)
	}
	slices.Sort(all)
	m.median, m.slowest = all[len(all)/2], all[len(all)-1]
	return m, nil
}

// randomDrive scatters pulleys over an engine's front.
func randomDrive(n int, seed uint64, kind beltKind) belt.Drive {
	profile, err := belt.ProfileNamed("PK")
	if err != nil {
		panic(err)
	}
	d := belt.Drive{Belt: belt.Belt{Profile: profile, Ribs: 6}}
	r := rand.New(rand.NewPCG(seed, 4))
	for len(d.Pulleys) < n {
		p := belt.Pulley{Name: fmt.Sprintf("pulley %d", len(d.Pulleys)+1), Surface: kind.rest, Drives: "something",
			Centre:   belt.Point{X: quantity.Millimetre.Of(900 * r.Float64()), Y: quantity.Millimetre.Of(700 * r.Float64())},
			Diameter: quantity.Millimetre.Of(kind.least + (kind.most-kind.least)*r.Float64())}
		if len(d.Pulleys)%3 == 2 {
			p.Surface, p.Drives = kind.third, ""
		}
		next := d
		next.Pulleys = append(slices.Clone(d.Pulleys), p)
		if len(next.Pulleys) < 2 || next.Check() == nil {
			d = next
		}
	}
	if kind.tensioner {
		c := d.Pulleys[2].Centre
		slack, tight := c, c
		slack.X -= quantity.Millimetre.Of(25)
		tight.X += quantity.Millimetre.Of(25)
		d.Tensioner = &belt.Tensioner{Kind: belt.Slotted, Pulley: 2, From: slack, To: tight}
		d.Belt.Length = quantity.Metre.Of(2)
	}
	return d
}
