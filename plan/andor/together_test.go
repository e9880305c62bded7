package andor_test

import (
	"context"
	"math"
	"path/filepath"
	"testing"

	"lastbolt/plan/andor"
	"lastbolt/plan/andor/andortest"
	"lastbolt/plan/sequence"
)

// TestSelectionAndSequenceTogetherReachTheProvenOptima combines both engines
// exactly: selections come in order of their set cost, which is a lower bound
// on their sequence cost (each distinct tool is paid at least once); the first
// that costs as much as the best sequence so far ends the search.
func TestSelectionAndSequenceTogetherReachTheProvenOptima(t *testing.T) {
	// Optima: testdata/README.md (two independent searches).
	for _, name := range []string{"ao-08", "ao-12", "ao-16", "ao-20"} {
		t.Run(name, func(t *testing.T) {
			in, known, err := andortest.Load(filepath.Join("testdata", name+".json"))
			if err != nil {
				t.Fatal(err)
			}
			best, tried := math.Inf(1), 0
			err = andor.Enumerate(context.Background(), in, andor.Options{}, func(s andor.Selection, cost float64) bool {
				if cost >= best {
					return false
				}
				tried++
				r, err := sequence.Solve(context.Background(), steps(in, s), sequence.Options{})
				if err != nil || !r.Proven || r.Cost < cost {
					t.Fatalf("Solve: %+v, %v; want a proven cost of at least %v", r, err, cost)
				}
				best = min(best, r.Cost)
				return true
			})
			if err != nil || best != *known.Sequence {
				t.Errorf("best sequence %v (%v) after %d selections; want %v", best, err, tried, *known.Sequence)
			}
		})
	}
}

// steps makes the ordering problem of a selection: its tool's change minutes
// are paid whenever a step's tool differs from the one before, at first too.
func steps(in *andor.Instance, s andor.Selection) *sequence.Problem {
	p := &sequence.Problem{Start: sequence.State{Position: sequence.Any, Tool: sequence.Any}}
	p.Tool.First = in.Resources
	for range in.Resources {
		p.Tool.Between = append(p.Tool.Between, in.Resources)
	}
	at := map[int]int{}
	for i, m := range s.Order {
		at[in.Methods[m].Part] = i
	}
	for i, m := range s.Order {
		method := in.Methods[m]
		p.Steps = append(p.Steps, sequence.Step{Minutes: method.Cost,
			Need: sequence.Need{Position: sequence.Any, Tool: method.Resources[0]}})
		for _, q := range method.Needs {
			p.Before = append(p.Before, [2]int{at[q], i})
		}
	}
	return p
}
