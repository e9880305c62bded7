package andor_test

import (
	"context"
	"path/filepath"
	"testing"

	"lastbolt/plan/andor"
	"lastbolt/plan/andor/andortest"
)

func TestInstanceFilesReachTheirProvenOptima(t *testing.T) {
	// Optima: testdata/README.md (two independent solvers).
	for _, name := range []string{"ao-08", "ao-12", "ao-16", "ao-20", "ao-40", "ao-80"} {
		t.Run(name, func(t *testing.T) {
			in, known, err := andortest.Load(filepath.Join("testdata", name+".json"))
			if err != nil {
				t.Fatal(err)
			}
			got, err := andor.Solve(context.Background(), in, andor.Options{})
			if err != nil {
				t.Fatal(err)
			}
			if got.Cost != known.Set || !got.Proven {
				t.Errorf("Solve: cost %v, proven %v; want %v, proven", got.Cost, got.Proven, known.Set)
			}
			t.Log(got.Nodes)
		})
	}
}
