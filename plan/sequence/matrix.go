package sequence

import (
	"cmp"
	"context"
	"fmt"
	"math/bits"
	"slices"
)

// SolveMatrix solves the sequential ordering problem in the form of TSPLIB: a
// path through all nodes from node 0 to the last one, where cost[i][j] is the
// cost of going from i to j, and -1 means that j must come before i (nobody
// then goes from i to j). The order of the result holds all nodes; its costs
// are in the matrix's unit.
func SolveMatrix(ctx context.Context, cost [][]int64, opt Options) (Result, error) {
	if err := checkMatrix(cost); err != nil {
		return Result{}, err
	}
	m, err := newMatrixModel(cost)
	if err != nil {
		return Result{}, err
	}
	r, err := search(ctx, m, label{at: 0}, m.input, opt, int64(1/Unit))
	if err == nil {
		r.Order = append([]int{0}, r.Order...)
	}
	return r, err
}

// CheckMatrix is the cost of an order of all nodes, or which rule it breaks.
// It shares nothing with the search.
func CheckMatrix(cost [][]int64, order []int) (int64, error) {
	if err := checkMatrix(cost); err != nil {
		return 0, err
	}
	n := len(cost)
	if len(order) != n || order[0] != 0 || order[n-1] != n-1 {
		return 0, fmt.Errorf("the order must hold all %d nodes, node 0 first and node %d last", n, n-1)
	}
	seen := make([]bool, n)
	var total int64
	for k, i := range order {
		if i < 0 || i >= n || seen[i] {
			return 0, fmt.Errorf("node %d is not there or comes twice", i)
		}
		seen[i] = true
		for j, c := range cost[i] {
			if c < 0 && j != i && !seen[j] {
				return 0, fmt.Errorf("node %d comes before node %d, which must precede it", i, j)
			}
		}
		if k > 0 {
			total += cost[order[k-1]][i]
		}
	}
	return total, nil
}

func checkMatrix(cost [][]int64) error {
	n := len(cost)
	if n < 2 || n > MaxSteps {
		return fmt.Errorf("the matrix has %d nodes; it needs 2 to %d", n, MaxSteps)
	}
	for i, row := range cost {
		if len(row) != n {
			return fmt.Errorf("row %d of the matrix has %d figures; it needs %d", i, len(row), n)
		}
		for j, c := range row {
			if i != j && (c < -1 || c > 1e9) {
				return fmt.Errorf("going from node %d to node %d costs %d; a cost is from 0 to 10^9, or -1", i, j, c)
			}
		}
	}
	return nil
}

// matrixModel is the model of a matrix: step k is node input[k], numbered so
// that what must precede comes first.
type matrixModel struct {
	input  []int
	before []set // all that must precede a step
	// reduced[i][j] is the cost of going from i to j less the potentials of
	// both, at least 0; infinite where no solution does. Node numbers here are
	// step + 1, and 0 is the start.
	reduced [][]int64
	cost    [][]int64
	out, in []int64 // potentials of leaving and of entering a node
	words   int     // of a set that are in use
	all     set     // all steps
	sources [][]arc // arcs into a node, cheapest first
	sinks   [][]arc // arcs out of a node, cheapest first
	care    thrift
	nodes   []int // scratch
	best    []int64
}

// An arc leads from or to a node at a reduced cost.
type arc struct {
	node    int32
	reduced int64
}

func newMatrixModel(cost [][]int64) (*matrixModel, error) {
	n := len(cost)
	var pairs [][2]int
	for i, row := range cost {
		for j, c := range row {
			if c < 0 && i != j {
				pairs = append(pairs, [2]int{j, i})
			}
		}
	}
	for i := 1; i < n; i++ {
		pairs = append(pairs, [2]int{0, i})
	}
	for i := 0; i < n-1; i++ {
		pairs = append(pairs, [2]int{i, n - 1})
	}
	order, err := topological(n, pairs)
	if err != nil {
		return nil, err
	}
	m := &matrixModel{input: order[1:], before: make([]set, n-1), best: make([]int64, n)}
	number := make([]int, n)
	for k, v := range order {
		number[v] = k
	}
	slices.SortFunc(pairs, func(a, b [2]int) int { return number[a[1]] - number[b[1]] })
	for _, p := range pairs {
		a, b := number[p[0]]-1, number[p[1]]-1
		if a < 0 {
			continue
		}
		for w, bits := range m.before[a] {
			m.before[b][w] |= bits
		}
		m.before[b].add(a)
	}
	for _, v := range order {
		row := make([]int64, n)
		for k, w := range order {
			row[k] = cost[v][w]
		}
		m.cost = append(m.cost, row)
	}
	m.reduce()
	return m, nil
}

// follows reports whether a solution can go from node i straight to node j.
func (m *matrixModel) follows(i, j int) bool {
	if i == j || j == 0 || i == len(m.cost)-1 || i > 0 && m.before[i-1].has(j-1) {
		return false
	}
	if i == 0 {
		return m.before[j-1] == set{}
	}
	// No third node may have to come between.
	for k := range m.before {
		if m.before[j-1].has(k) && m.before[k].has(i-1) {
			return false
		}
	}
	return true
}

// reduce solves the assignment problem of the matrix (every node left once and
// entered once) and keeps its dual solution as potentials.
func (m *matrixModel) reduce() {
	n := len(m.cost)
	m.reduced = make([][]int64, n)
	for i := range m.reduced {
		m.reduced[i] = make([]int64, n)
		for j := range m.reduced[i] {
			m.reduced[i][j] = infinite
			if m.follows(i, j) {
				m.reduced[i][j] = m.cost[i][j]
			}
		}
	}
	m.out, m.in = assignment(m.reduced)
	m.sources, m.sinks = make([][]arc, n), make([][]arc, n)
	for i, row := range m.reduced {
		for j := range row {
			if row[j] < infinite {
				row[j] -= m.out[i] + m.in[j]
				m.sinks[i] = append(m.sinks[i], arc{int32(j), row[j]})
				m.sources[j] = append(m.sources[j], arc{int32(i), row[j]})
			}
		}
	}
	for i := range n {
		byCost := func(a, b arc) int { return cmp.Compare(a.reduced, b.reduced) }
		slices.SortStableFunc(m.sinks[i], byCost)
		slices.SortStableFunc(m.sources[i], byCost)
	}
	m.words = (n + 63) / 64
	for j := range m.before {
		m.all.add(j)
	}
}

func (m *matrixModel) size() int { return len(m.before) }

func (m *matrixModel) expand(l, next *label, emit func()) {
	for w := range m.words {
		for open := m.all[w] &^ l.done[w]; open != 0; open &= open - 1 {
			j := w<<6 + bits.TrailingZeros64(open)
			if !within(&m.before[j], &l.done, m.words) {
				continue
			}
			*next = label{done: l.done, at: int16(j + 1), step: int16(j), cost: l.cost + m.cost[l.at][j+1]}
			next.done.add(j)
			emit()
		}
	}
}
