package sequence_test

import (
	"context"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"lastbolt/plan/sequence"
)

func TestMatrixReachesThePublishedOptimaOfTSPLIB(t *testing.T) {
	// Optima: the published best-known values of TSPLIB95's sequential ordering
	// problems (Reinelt 1991; instances by Ascheuer and Escudero). Of the last
	// two the optimum is found but not proven.
	dir := os.Getenv("LASTBOLT_DATA")
	if dir == "" {
		t.Skip("LASTBOLT_DATA is not set: it names a folder with planning/sop/*.sop from TSPLIB, which states no licence and is therefore not bundled")
	}
	for _, c := range []struct {
		name    string
		optimum float64
		proven  bool // within the time given here
		seconds int
		states  int
	}{
		{"ESC07", 2125, true, 20, 0}, {"ESC12", 1675, true, 20, 0}, {"br17.10", 55, true, 20, 0}, {"ESC25", 1681, true, 20, 0},
		{"p43.4", 83005, true, 60, 4_000_000}, {"ft53.4", 14425, true, 120, 4_000_000},
		{"rbg048a", 351, false, 60, 20_000}, {"ry48p.1", 15805, false, 60, 20_000},
	} {
		t.Run(c.name, func(t *testing.T) {
			cost := readSOP(t, filepath.Join(dir, "planning", "sop", c.name+".sop"))
			if testing.Short() && c.seconds > 20 {
				t.Skip("takes seconds: not in a short run")
			}
			ctx, cancel := context.WithTimeout(context.Background(), time.Duration(c.seconds)*time.Second)
			defer cancel()
			start := time.Now()
			r, err := sequence.SolveMatrix(ctx, cost, sequence.Options{States: c.states})
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("found %v, bound %v, %d states, %v", r.Cost, r.Bound, r.States, time.Since(start).Round(time.Millisecond))
			if got, err := sequence.CheckMatrix(cost, r.Order); err != nil || float64(got) != r.Cost {
				t.Errorf("CheckMatrix: %v, %v; want %v", got, err, r.Cost)
			}
			if r.Bound > c.optimum || r.Cost != c.optimum {
				t.Errorf("bound %v, found %v; the optimum is %v", r.Bound, r.Cost, c.optimum)
			}
			if c.proven && !r.Proven {
				t.Errorf("not proven: bound %v, found %v", r.Bound, r.Cost)
			}
		})
	}
}

func readSOP(t *testing.T, name string) [][]int64 {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	_, body, ok := strings.Cut(string(data), "EDGE_WEIGHT_SECTION")
	if !ok {
		t.Fatalf("%s has no EDGE_WEIGHT_SECTION", name)
	}
	var v []int64
	for _, w := range strings.Fields(body) {
		x, err := strconv.ParseInt(w, 10, 64)
		if err != nil {
			break
		}
		v = append(v, x)
	}
	n := int(v[0])
	var cost [][]int64
	for i := range n {
		cost = append(cost, v[1+i*n:1+(i+1)*n])
	}
	return cost
}
