package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"time"

	"lastbolt/plan/andor"
	"lastbolt/plan/andor/andortest"
)

// planner times exact selection on the instance files, on larger instances of
// their family, and on vehicle-like maps, beside the peers.
func planner(b *bench) error {
	peers := b.peers()
	g := &grid{}
	head := []string{"instance", "parts", "methods", "ours ms", "proven", "cost", "nodes"}
	for _, p := range peers {
		head = append(head, p.name+" s")
	}
	g.add(append(head, "ratio to the fastest peer")...)
	rows, err := plannerRows()
	if err != nil {
		return err
	}
	for _, r := range rows {
		fmt.Fprintf(os.Stderr, "  %s …\n", r.name)
		cells, err := b.plannerRow(r.in, peers)
		if err != nil {
			return fmt.Errorf("%s: %w", r.name, err)
		}
		g.add(append([]string{r.name}, cells...)...)
	}
	g.print(os.Stdout)
	fmt.Printf("\nPeers get the same instance and %v each; \"> n\" means no proof in n seconds. Times of GLPK, CBC and clasp are of the whole process, of HiGHS of the solve alone; ours is of the whole call. Short runs are repeated, theirs and ours, and the best counts.\n", b.limit)
	return nil
}

type plannerInstance struct {
	name string
	in   *andor.Instance
}

func plannerRows() ([]plannerInstance, error) {
	var rows []plannerInstance
	for _, name := range []string{"ao-20", "ao-40", "ao-80"} {
		in, _, err := andortest.Load(filepath.Join("plan", "andor", "testdata", name+".json"))
		if err != nil {
			return nil, fmt.Errorf("run this from the top folder of the repository: %w", err)
		}
		rows = append(rows, plannerInstance{name, in})
	}
	for _, parts := range []int{40, 80, 160, 320} {
		for seed := uint64(1); seed <= 3; seed++ {
			rows = append(rows, plannerInstance{fmt.Sprintf("layered %d/%d", parts, seed), andortest.Layered(parts, seed)})
		}
	}
	for _, c := range [][2]int{{60, 3}, {300, 4}, {1000, 6}, {3000, 12}} {
		rows = append(rows, plannerInstance{fmt.Sprintf("vehicle %d, %d targets", c[0], c[1]), andortest.Vehicle(c[0], c[1], 1)})
	}
	return rows, nil
}

// plannerRow measures one instance; a peer that proves another value than ours
// is an error.
func (b *bench) plannerRow(in *andor.Instance, peers []peer) ([]string, error) {
	var r andor.Result
	var err error
	took := best(func() {
		ctx, cancel := contextFor(b)
		defer cancel()
		r, err = andor.Solve(ctx, in, andor.Options{})
	})
	if err != nil {
		return nil, err
	}
	proven := "yes"
	if !r.Proven {
		proven = fmt.Sprintf("gap %.1f %%", 100*r.Gap())
	}
	cells := []string{fmt.Sprint(in.Parts), fmt.Sprint(len(in.Methods)), ms(took), proven, fmt.Sprint(r.Cost), fmt.Sprint(r.Nodes)}
	fastest := time.Duration(math.MaxInt64)
	for _, p := range peers {
		o, err := p.solve(b, in)
		if err != nil {
			return nil, err
		}
		if o.proven {
			fastest = min(fastest, o.took)
			if r.Proven && math.Abs(o.value-r.Cost) > 1e-6*r.Cost {
				return nil, fmt.Errorf("%s proves %v, we prove %v", p.name, o.value, r.Cost)
			}
		}
		cells = append(cells, o.String())
	}
	switch {
	case !r.Proven:
		cells = append(cells, "-")
	case len(peers) == 0:
		cells = append(cells, "no peer was run")
	case fastest == math.MaxInt64:
		cells = append(cells, "no peer proves it")
	default:
		cells = append(cells, fmt.Sprintf("%.0f ×", fastest.Seconds()/took.Seconds()))
	}
	return cells, nil
}
