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

func TestScratchSop(t *testing.T) {
	dir := os.Getenv("LASTBOLT_DATA")
	for _, f := range strings.Fields("ESC07 ESC12 br17.10 p43.4 ESC25 ft53.4 rbg048a ry48p.1") {
		c := readSOP(t, filepath.Join(dir, "planning/sop", f+".sop"))
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		st := time.Now()
		r, err := sequence.SolveMatrix(ctx, c, sequence.Options{States: 6_000_000})
		cancel()
		v, e2 := sequence.CheckMatrix(c, r.Order)
		t.Log(f, err, r.Cost, r.Bound, r.Proven, r.States, time.Since(st), v, e2)
	}
}

func readSOP(t *testing.T, name string) [][]int64 {
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(data), "EDGE_WEIGHT_SECTION")
	var v []int64
	for _, w := range strings.Fields(body) {
		x, err := strconv.ParseInt(w, 10, 64)
		if err != nil {
			break
		}
		v = append(v, x)
	}
	n := int(v[0])
	var c [][]int64
	for i := range n {
		c = append(c, v[1+i*n:1+(i+1)*n])
	}
	return c
}
