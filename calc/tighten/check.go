package tighten

import (
	"math"

	"lastbolt/fault"
)

// check refuses what cannot be modelled, in a sentence.
func (j Joint) check() error {
	switch n := len(j.Bolts); {
	case n == 0:
		return fault.New(fault.Bad, "There is no bolt; give at least one with its place.")
	case n > MaxBolts:
		return fault.New(fault.Bad, "There are %d bolts and at most %d can be ordered; treat neighbours as one bolt, in groups of four say, and give one place for each group.", n, MaxBolts)
	}
	withPreload := 0
	for i, b := range j.Bolts {
		if err := b.check(i + 1); err != nil {
			return err
		}
		if b.Torque > 0 || b.Preload > 0 {
			withPreload++
		}
	}
	if withPreload > 0 && withPreload < len(j.Bolts) {
		for i, b := range j.Bolts {
			if b.Torque == 0 && b.Preload == 0 {
				return fault.New(fault.Bad, "Bolt %d has no torque and others have; give a torque for all or for none.", i+1)
			}
		}
	}
	for i, p := range append(append([]Point{}, j.Outline...), j.Line...) {
		if !place(float64(p.X)) || !place(float64(p.Y)) {
			return fault.New(fault.Bad, "Corner %d of the outline or seal line is at a place that is no number within 10 m; correct it.", i+1)
		}
	}
	return j.checkShape()
}

func (b Bolt) check(number int) error {
	switch {
	case !place(float64(b.X)) || !place(float64(b.Y)):
		return fault.New(fault.Bad, "Bolt %d is at a place that is no number within 10 m; correct its x and y.", number)
	case !amount(float64(b.Length), 5):
		return fault.New(fault.Bad, "Bolt %d: the length must be from 0 to 5 m; measure under the head.", number)
	case !amount(float64(b.Diameter), 0.5):
		return fault.New(fault.Bad, "Bolt %d: the diameter must be from 0 to 500 mm.", number)
	case !amount(float64(b.Torque), 1e6):
		return fault.New(fault.Bad, "Bolt %d: the torque must be a number from 0 up.", number)
	case !amount(float64(b.Preload), 1e9):
		return fault.New(fault.Bad, "Bolt %d: the preload must be a number from 0 up.", number)
	}
	return nil
}

// place reports whether v is a coordinate in metres that can be one.
func place(v float64) bool { return v >= -10 && v <= 10 }

// amount reports whether v is from 0 to most; a NaN is not.
func amount(v, most float64) bool { return v >= 0 && v <= most }

func (j Joint) checkShape() error {
	size := 0.0
	for _, a := range j.Bolts {
		for _, b := range j.Bolts {
			size = max(size, math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)))
		}
	}
	for i, a := range j.Bolts {
		for k := i + 1; k < len(j.Bolts); k++ {
			b := j.Bolts[k]
			if math.Hypot(float64(a.X-b.X), float64(a.Y-b.Y)) <= max(1e-4, size/1000) {
				return fault.New(fault.Bad, "Bolts %d and %d are in the same place; give each its own, or leave one out.", i+1, k+1)
			}
		}
	}
	if n := len(j.Outline); n > 0 && n < 3 {
		return fault.New(fault.Bad, "The outline has %d corners; give at least 3, or leave it out.", n)
	}
	if n := len(j.Line); n > 0 && n < 2 {
		return fault.New(fault.Bad, "The seal line has one point; give at least 2, or leave it out.")
	}
	if n := len(j.Outline) + len(j.Line); n > 2000 {
		return fault.New(fault.Bad, "The outline and the seal line have %d corners and at most 2000 are taken; leave some out.", n)
	}
	if _, ok := plateOf[j.cover()]; !ok {
		return fault.New(fault.Bad, "The cover %q is not known; write rigid, stiff casting, thin casting or sheet.", j.Cover)
	}
	if _, ok := sealOf[j.seal()]; !ok {
		return fault.New(fault.Bad, "The seal %q is not known; write rubber gasket, O-ring, liquid sealant, flat gasket or metal to metal.", j.Seal)
	}
	if !amount(j.PlateStiffness, 1e12) || !amount(j.SealStiffness, 1e15) {
		return fault.New(fault.Bad, "The stiffness of plate and seal must be numbers from 0 up; 0 takes the class's value.")
	}
	return nil
}

func (j Joint) cover() Cover {
	if j.Cover == "" {
		return Stiff
	}
	return j.Cover
}

func (j Joint) seal() Seal {
	if j.Seal == "" {
		return Flat
	}
	return j.Seal
}

func (o Options) check() error {
	if len(o.Shares) == 0 {
		if o.Passes < 0 || o.Passes > 6 {
			return fault.New(fault.Bad, "%d passes cannot be planned; choose 1 to 6, or 0 to let the number be found.", o.Passes)
		}
		return nil
	}
	if len(o.Shares) > 6 {
		return fault.New(fault.Bad, "%d passes cannot be planned; choose 1 to 6.", len(o.Shares))
	}
	before := 0.0
	for i, s := range o.Shares {
		if !(s > before && s <= 1) {
			return fault.New(fault.Bad, "Pass %d goes to %g of the final preload; the passes must rise from over 0 to 1.", i+1, s)
		}
		before = s
	}
	if before != 1 {
		return fault.New(fault.Bad, "The last pass goes to %g of the final preload; it must go to 1.", before)
	}
	return nil
}

func checkPasses(passes []Pass, bolts int) error {
	if len(passes) == 0 || len(passes) > 20 {
		return fault.New(fault.Bad, "There are %d passes; give 1 to 20.", len(passes))
	}
	for r, p := range passes {
		if !(p.Share > 0 && p.Share <= 1) {
			return fault.New(fault.Bad, "Pass %d goes to %g of the final preload; it must be over 0 and at most 1.", r+1, p.Share)
		}
		if len(p.Sequence) == 0 {
			return fault.New(fault.Bad, "Pass %d names no bolt; name at least one.", r+1)
		}
		seen := map[int]bool{}
		for _, b := range p.Sequence {
			if b < 0 || b >= bolts {
				return fault.New(fault.Bad, "Pass %d names bolt %d; the bolts are 1 to %d.", r+1, b+1, bolts)
			}
			if seen[b] {
				return fault.New(fault.Bad, "Pass %d names bolt %d twice; name each bolt once in a pass.", r+1, b+1)
			}
			seen[b] = true
		}
	}
	return nil
}
