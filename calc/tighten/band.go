package tighten

import "math"

// skyline is a symmetric positive definite matrix stored by rows from the first
// entry that is not 0 to the diagonal, and after factor its Cholesky factor L.
type skyline struct {
	first []int
	row   [][]float64
}

// newSkyline makes a zero matrix whose row i begins at first[i] ≤ i.
func newSkyline(first []int) *skyline {
	s := &skyline{first: first, row: make([][]float64, len(first))}
	total := 0
	for i, f := range first {
		total += i - f + 1
	}
	store := make([]float64, total)
	for i, f := range first {
		s.row[i], store = store[:i-f+1:i-f+1], store[i-f+1:]
	}
	return s
}

// add adds v to entry i, k; of a pair of mirrored entries only the lower counts.
func (s *skyline) add(i, k int, v float64) {
	if k <= i {
		s.row[i][k-s.first[i]] += v
	}
}

// factor replaces the matrix by its Cholesky factor; false when it is not
// positive definite.
func (s *skyline) factor() bool {
	for i, row := range s.row {
		f := s.first[i]
		for k := f; k < i; k++ {
			other, g := s.row[k], s.first[k]
			from := max(f, g)
			row[k-f] = (row[k-f] - dot(row[from-f:k-f], other[from-g:k-g])) / other[k-g]
		}
		d := row[i-f] - dot(row[:i-f], row[:i-f])
		if !(d > 0) {
			return false
		}
		row[i-f] = math.Sqrt(d)
	}
	return true
}

// solve replaces b by the solution of A·x = b, after factor.
func (s *skyline) solve(b []float64) {
	for i, row := range s.row {
		f := s.first[i]
		b[i] = (b[i] - dot(row[:i-f], b[f:i])) / row[i-f]
	}
	for i := len(b) - 1; i >= 0; i-- {
		row, f := s.row[i], s.first[i]
		b[i] /= row[i-f]
		v := b[i]
		for k, a := range row[:i-f] {
			b[f+k] -= a * v
		}
	}
}

// dot is the scalar product of two slices of one length, in four sums, which
// the processor adds at once.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	for len(a) >= 4 {
		s0 += a[0] * b[0]
		s1 += a[1] * b[1]
		s2 += a[2] * b[2]
		s3 += a[3] * b[3]
		a, b = a[4:], b[4:]
	}
	for i, v := range a {
		s0 += v * b[i]
	}
	return s0 + s1 + s2 + s3
}

// full gives a skyline with every entry below the diagonal stored.
func full(n int) *skyline { return newSkyline(make([]int, n)) }
