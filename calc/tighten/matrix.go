package tighten

import (
	"fmt"

	"lastbolt/fault"
)

// A Matrix is the elastic interaction of bolts: entry [i][j] is what the load of
// bolt i, already tight, changes by for each unit that bolt j is raised by. The
// diagonal is 1. Entries are negative where i is let go, positive where it is
// pulled.
type Matrix [][]float64

// Interaction derives the matrix of a joint, all bolts carrying and the seal
// pressed all along.
func Interaction(j Joint) (Matrix, error) {
	m, err := newModel(j)
	if err != nil {
		return nil, err
	}
	r := m.response(contact{})
	if r == nil {
		return nil, fault.New(fault.Bad, "The joint cannot be computed: the seal line does not support the cover; check the outline and the seal line.")
	}
	a := make(Matrix, m.n)
	for i := range a {
		a[i] = make([]float64, m.n)
		for j := range a[i] {
			move, gain := m.nut(r, j)
			a[i][j] = -m.spring[m.m+i] * move[m.m+i] / gain
		}
		a[i][i] = 1
	}
	return a, nil
}

// Ring is the matrix of n bolts in a ring of which each lets go its two
// neighbours by alpha of what it is raised by, and no other. Two bolts are each
// other's one neighbour; n must be at least 1.
func Ring(n int, alpha float64) Matrix {
	a := make(Matrix, n)
	for i := range a {
		a[i] = make([]float64, n)
		if n > 1 {
			a[i][(i+1)%n], a[i][(i+n-1)%n] = -alpha, -alpha
		}
		a[i][i] = 1
	}
	return a
}

// check refuses a matrix that is not square with ones on the diagonal.
func (a Matrix) check() error {
	if len(a) == 0 || len(a) > MaxBolts {
		return fault.New(fault.Bad, "The interaction is of %d bolts; give it for 1 to %d.", len(a), MaxBolts)
	}
	for i, row := range a {
		if len(row) != len(a) || row[i] != 1 {
			return fault.New(fault.Bad, "Row %d of the interaction must have %d numbers, with 1 for the bolt itself.", i+1, len(a))
		}
		for j, v := range row {
			if !(v >= -1 && v <= 1) {
				return fault.New(fault.Bad, "Bolt %d changes bolt %d by %g of its own rise; that must be from -1 to 1.", j+1, i+1, v)
			}
		}
	}
	return nil
}

// Loads puts an order through the matrix and gives the bolts' loads as parts of
// the target. A bolt is only ever raised; one that carries nothing is not
// changed by others, and none falls below nothing.
func (a Matrix) Loads(passes []Pass) ([]float64, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	if err := checkPasses(passes, len(a)); err != nil {
		return nil, err
	}
	load := make([]float64, len(a))
	for _, pass := range passes {
		for _, j := range pass.Sequence {
			rise := pass.Share - load[j]
			if rise <= 0 {
				continue
			}
			for i := range load {
				if i != j && load[i] > 0 {
					load[i] = max(0, load[i]+a[i][j]*rise)
				}
			}
			load[j] = pass.Share
		}
	}
	return load, nil
}

// OnePass gives the loads, as parts of the target, that each bolt must be
// tightened to in its turn so that one pass in a sequence leaves all at the
// target: the inverse problem. Bolts after a bolt let it go, so that it starts
// higher by what they will take; a sequence must name every bolt once.
//
// The method of interaction coefficients is that of Bibel, US patent 5 278 775
// (1994, expired).
func (a Matrix) OnePass(sequence []int) ([]float64, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	if err := checkPasses([]Pass{{1, sequence}}, len(a)); err != nil {
		return nil, err
	}
	if len(sequence) != len(a) {
		return nil, fault.New(fault.Bad, "The order names %d of %d bolts; name every bolt once.", len(sequence), len(a))
	}
	// Bolts not yet turned carry nothing, so each rises by all it is set to.
	set := make([]float64, len(a))
	for k := len(sequence) - 1; k >= 0; k-- {
		i := sequence[k]
		set[i] = 1
		for _, later := range sequence[k+1:] {
			set[i] -= a[i][later] * set[later]
		}
		if set[i] <= 0 {
			return nil, fault.New(fault.Bad, "Bolt %d would have to be set to nothing: the others pull it up by more than its load; tighten in passes instead.", i+1)
		}
	}
	return set, nil
}

// String prints the matrix in percent, a row a line.
func (a Matrix) String() string {
	text := ""
	for _, row := range a {
		for _, v := range row {
			text += fmt.Sprintf("%7.1f", 100*v)
		}
		text += "\n"
	}
	return text
}
