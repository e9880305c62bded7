// Package andortest makes and reads removal instances for tests and timings:
// [Load] reads the files of plan/andor/testdata, [Layered] makes larger ones
// of the same family, [Vehicle] makes ones shaped like a vehicle's access map.
// Equal seeds give equal instances.
package andortest

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"

	"lastbolt/plan/andor"
)

// Known holds the proven optima of an instance file.
type Known struct {
	Set             float64  `json:"set_objective_optimum"`
	WithoutOrdering float64  `json:"set_objective_without_ordering"`
	Sequence        *float64 `json:"sequence_objective_optimum"`
}

type file struct {
	Parts []string `json:"parts"`
	Tools []struct {
		ID     string  `json:"id"`
		Change float64 `json:"change_minutes"`
	} `json:"tools"`
	Methods []struct {
		Part    string   `json:"part"`
		Needs   []string `json:"needs"`
		Tool    string   `json:"tool"`
		Minutes float64  `json:"minutes"`
	} `json:"methods"`
	Targets []string `json:"targets"`
	Known   Known    `json:"known"`
}

// Load reads an instance file.
func Load(name string) (*andor.Instance, Known, error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, Known{}, err
	}
	var f file
	if err := json.Unmarshal(data, &f); err != nil {
		return nil, Known{}, fmt.Errorf("reading %s: %w", name, err)
	}
	number := map[string]int{}
	for i, p := range f.Parts {
		number[p] = i
	}
	in := &andor.Instance{Parts: len(f.Parts)}
	tool := map[string]int{}
	for i, t := range f.Tools {
		tool[t.ID] = i
		in.Resources = append(in.Resources, t.Change)
	}
	all := func(names []string) []int {
		var n []int
		for _, s := range names {
			n = append(n, number[s])
		}
		return n
	}
	for _, m := range f.Methods {
		in.Methods = append(in.Methods, andor.Method{Part: number[m.Part], Needs: all(m.Needs),
			Cost: m.Minutes, Resources: []int{tool[m.Tool]}})
	}
	in.Targets = all(f.Targets)
	return in, f.Known, nil
}

// Layered makes an instance of the family of the instance files: layers of
// about √parts parts, each method needing up to three parts of the layer
// before or, now and then, of its own layer, so that circles are possible.
func Layered(parts int, seed uint64) *andor.Instance {
	r := rand.New(rand.NewPCG(seed, uint64(parts)))
	layers := max(2, int(math.Round(0.9*math.Sqrt(float64(parts)))))
	width := (parts + layers - 1) / layers
	in := &andor.Instance{Parts: parts, Resources: tools(r, min(6, max(3, parts/16+2)))}
	for p := range parts {
		layer := p / width
		n := 1
		if layer > 0 {
			n = weighted(r, 42, 42, 16)
		}
		for range n {
			m := andor.Method{Part: p, Cost: float64(2 + r.IntN(29)), Resources: []int{r.IntN(len(in.Resources))}}
			if layer > 0 {
				m.Needs = layerNeeds(r, p, layer, width, parts)
			}
			in.Methods = append(in.Methods, m)
		}
	}
	last := (layers - 1) * width
	targets := r.Perm(parts - last)[:min(parts-last, max(1, int(math.Sqrt(float64(parts))/2)))]
	for _, t := range targets {
		in.Targets = append(in.Targets, last+t)
	}
	slices.Sort(in.Targets)
	return in
}

func layerNeeds(r *rand.Rand, p, layer, width, parts int) []int {
	want := weighted(r, 20, 58, 22)
	var needs []int
	for len(needs) < want {
		q := (layer-1)*width + r.IntN(width)
		if r.IntN(100) < 20 {
			q = layer*width + r.IntN(min(parts-layer*width, width))
		}
		if q != p && !slices.Contains(needs, q) {
			needs = append(needs, q)
		}
	}
	slices.Sort(needs)
	return needs
}

// weighted draws 1, 2, … with the given weights in per cent.
func weighted(r *rand.Rand, weights ...int) int {
	x := r.IntN(100)
	for i, w := range weights {
		if x -= w; x < 0 {
			return i + 1
		}
	}
	return len(weights)
}

func tools(r *rand.Rand, n int) []float64 {
	costs := make([]float64, n)
	for i := range costs {
		costs[i] = float64(1 + r.IntN(6))
	}
	return costs
}

// Vehicle makes an instance shaped like a vehicle: areas of about 30 parts,
// each buried under a few covers of its own and under a few parts common to
// all (raised, battery off, undertray), parts mostly behind one to three
// others of their area, a third of them with a second or third way, and a few
// ways that go through a neighbouring area. Resources are tools and positions.
func Vehicle(parts, targets int, seed uint64) *andor.Instance {
	r := rand.New(rand.NewPCG(seed, uint64(parts)))
	const area, common = 30, 6
	in := &andor.Instance{Parts: parts, Resources: tools(r, 14)}
	for p := range parts {
		n := 1
		if p >= common {
			n = weighted(r, 64, 28, 8)
		}
		for i := range n {
			m := andor.Method{Part: p, Cost: float64(4+r.IntN(120)) / 4,
				Resources: []int{r.IntN(10), 10 + r.IntN(4)}}
			if p >= common {
				m.Needs = vehicleNeeds(r, p, parts, area, common)
			}
			if i == 0 { // the first way never waits for a later part: all can come off
				m.Needs = slices.DeleteFunc(m.Needs, func(q int) bool { return q > p })
			}
			in.Methods = append(in.Methods, m)
		}
	}
	for len(in.Targets) < targets {
		t := common + r.IntN(parts-common)
		if (t-common)%area >= area/2 && !slices.Contains(in.Targets, t) {
			in.Targets = append(in.Targets, t)
		}
	}
	slices.Sort(in.Targets)
	return in
}

func vehicleNeeds(r *rand.Rand, p, parts, area, common int) []int {
	start := p - (p-common)%area
	depth := p - start
	var needs []int
	add := func(q int) {
		if q != p && q < parts && !slices.Contains(needs, q) {
			needs = append(needs, q)
		}
	}
	if depth < 5 {
		for range r.IntN(3) {
			add(r.IntN(common))
		}
		return needs
	}
	for range 1 + r.IntN(3) {
		switch x := r.IntN(100); {
		case x < 6: // a neighbour in the way: circles are possible
			add(start + r.IntN(area))
		case x < 14 && start >= common+area: // through the area next door
			add(start - area + r.IntN(area))
		case x < 40:
			add(start + r.IntN(5))
		default:
			add(start + max(0, depth-1-r.IntN(8)))
		}
	}
	slices.Sort(needs)
	return needs
}
