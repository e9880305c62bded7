package tighten

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"lastbolt/fault"
	"lastbolt/quantity"
)

// circle is n bolts evenly on a circle, clockwise from the top.
func circle(n int, radius float64) []Bolt {
	var bolts []Bolt
	for k := range n {
		p := onCircle(quantity.Millimetres(radius), 12*float64(k)/float64(n))
		bolts = append(bolts, Bolt{X: p.X, Y: p.Y})
	}
	return bolts
}

// at makes bolts of places in mm.
func at(places ...[2]float64) []Bolt {
	var bolts []Bolt
	for _, p := range places {
		bolts = append(bolts, Bolt{X: quantity.Millimetres(p[0]), Y: quantity.Millimetres(p[1])})
	}
	return bolts
}

// uneven is a cover whose bolts have no symmetry.
func uneven() []Bolt {
	return at([2]float64{0, 0}, [2]float64{70, -8}, [2]float64{150, 5}, [2]float64{171, 60}, [2]float64{150, 118},
		[2]float64{95, 140}, [2]float64{30, 128})
}

func mustPlan(t *testing.T, j Joint, o Options) *Order {
	t.Helper()
	order, err := Plan(context.Background(), j, o)
	if err != nil {
		t.Fatal(fault.Say(err))
	}
	return order
}

// round is a closed line around a circle.
func round(radius float64) []Point {
	var line []Point
	for k := range 120 {
		line = append(line, onCircle(quantity.Millimetres(radius), (float64(k)+0.5)/10))
	}
	return line
}

func TestOrderHoldsEveryBoltOnceInEveryPass(t *testing.T) {
	for _, bolts := range [][]Bolt{uneven(), circle(2, 40), circle(10, 90), at([2]float64{0, 0}, [2]float64{50, 0}, [2]float64{100, 0}, [2]float64{150, 0})} {
		o := mustPlan(t, Joint{Bolts: bolts}, Options{})
		sequences := [][]int{o.Loosen, o.Around}
		for _, p := range o.Passes {
			sequences = append(sequences, p.Sequence)
		}
		for _, seq := range sequences {
			sorted := slices.Sorted(slices.Values(seq))
			for i, b := range sorted {
				if b != i || len(sorted) != len(bolts) {
					t.Fatalf("%d bolts: the sequence is %v", len(bolts), seq)
				}
			}
		}
		if last := o.Passes[len(o.Passes)-1].Share; len(o.Passes) < 2 || last != 1 {
			t.Errorf("%d bolts: %d passes, the last to %v", len(bolts), len(o.Passes), last)
		}
	}
}

// The order found is checked against all orders, each put through Evaluate. What
// habits count is less than 0.02 in all with seven bolts of one reach.
func TestProvenOrderIsTheBestOfAll(t *testing.T) {
	for _, cover := range []Cover{Rigid, Stiff, Sheet} {
		j := Joint{Bolts: uneven()[:5], Cover: cover}
		o := mustPlan(t, j, Options{Passes: 2})
		if !o.Proven {
			t.Fatalf("%s: five bolts are not proven", cover)
		}
		least := math.Inf(1)
		permute(5, func(seq []int) {
			r, err := Evaluate(j, []Pass{{0.5, seq}, {1, seq}})
			if err != nil {
				t.Fatal(err)
			}
			least = min(least, r.Cost)
		})
		if o.Run.Cost > least*(1+o.Gap)+0.02 || o.Gap > 0.05 || o.Run.Cost < least-1e-9 {
			t.Errorf("%s: cost %v with gap %v, the best of all orders %v", cover, o.Run.Cost, o.Gap, least)
		}
	}
}

func permute(n int, visit func([]int)) {
	seq := make([]int, n)
	for i := range seq {
		seq[i] = i
	}
	var down func(int)
	down = func(k int) {
		if k == n {
			visit(slices.Clone(seq))
			return
		}
		for i := k; i < n; i++ {
			seq[k], seq[i] = seq[i], seq[k]
			down(k + 1)
			seq[k], seq[i] = seq[i], seq[k]
		}
	}
	down(0)
}

func TestSameJointGivesTheSameOrder(t *testing.T) {
	j := Joint{Bolts: append(uneven(), at([2]float64{-18, 90}, [2]float64{-22, 40})...), Cover: Thin}
	a, b := mustPlan(t, j, Options{}), mustPlan(t, j, Options{})
	if !slices.Equal(a.Passes[0].Sequence, b.Passes[0].Sequence) || !slices.Equal(a.Loosen, b.Loosen) || a.Run.Cost != b.Run.Cost {
		t.Error("two plans of one joint differ")
	}
}

// A joint that is moved, turned or mirrored has the same order.
func TestMovedTurnedAndMirroredJointsGiveTheSameOrder(t *testing.T) {
	for name, change := range map[string]func(x, y float64) (float64, float64){
		"moved":    func(x, y float64) (float64, float64) { return x + 0.3, y - 0.2 },
		"turned":   func(x, y float64) (float64, float64) { return 0.6*x - 0.8*y, 0.8*x + 0.6*y },
		"mirrored": func(x, y float64) (float64, float64) { return -x, y },
		"flipped":  func(x, y float64) (float64, float64) { return x, -y },
	} {
		for _, cover := range []Cover{Rigid, Stiff, Thin} {
			j := Joint{Bolts: uneven(), Cover: cover}
			want := mustPlan(t, j, Options{Passes: 2})
			changed := j
			changed.Bolts = slices.Clone(j.Bolts)
			for i, b := range changed.Bolts {
				x, y := change(float64(b.X), float64(b.Y))
				changed.Bolts[i].X, changed.Bolts[i].Y = quantity.Length(x), quantity.Length(y)
			}
			got := mustPlan(t, changed, Options{Passes: 2})
			if !slices.Equal(got.Passes[0].Sequence, want.Passes[0].Sequence) || !slices.Equal(got.Loosen, want.Loosen) {
				t.Errorf("%s, %s: %v and %v, not %v and %v", name, cover, got.Passes[0].Sequence, got.Loosen, want.Passes[0].Sequence, want.Loosen)
			}
			if math.Abs(got.Run.Cost-want.Run.Cost) > 1e-6 {
				t.Errorf("%s, %s: cost %v, not %v", name, cover, got.Run.Cost, want.Run.Cost)
			}
		}
	}
}

// Only the proportions matter: all preloads times a number change nothing, and
// neither does the size of a rigid joint on a seal softer by as much.
func TestScaledJointsGiveTheSameCost(t *testing.T) {
	small := Joint{Bolts: uneven(), Cover: Rigid, SealStiffness: 2e9}
	large := Joint{Cover: Rigid, SealStiffness: 1e9}
	heavy := Joint{Cover: Rigid, SealStiffness: 2e9}
	for _, b := range small.Bolts {
		large.Bolts = append(large.Bolts, Bolt{X: 2 * b.X, Y: 2 * b.Y})
		b.Preload = 3000
		heavy.Bolts = append(heavy.Bolts, b)
	}
	want := mustPlan(t, small, Options{Passes: 2})
	for name, j := range map[string]Joint{"twice the size": large, "another preload": heavy} {
		got := mustPlan(t, j, Options{Passes: 2})
		if math.Abs(got.Run.Cost-want.Run.Cost) > 1e-9 || !slices.Equal(got.Passes[0].Sequence, want.Passes[0].Sequence) {
			t.Errorf("%s: %v at %v, not %v at %v", name, got.Passes[0].Sequence, got.Run.Cost, want.Passes[0].Sequence, want.Run.Cost)
		}
	}
}

func TestBoltsThatLocateThePartGoFirstAndComeLast(t *testing.T) {
	j := Joint{Bolts: append(uneven(), at([2]float64{-18, 90}, [2]float64{-22, 40})...)}
	j.Bolts[3].First, j.Bolts[6].First = true, true
	o := mustPlan(t, j, Options{})
	first := slices.Sorted(slices.Values(o.Passes[0].Sequence[:2]))
	last := slices.Sorted(slices.Values(o.Loosen[7:]))
	if !slices.Equal(first, []int{3, 6}) || !slices.Equal(last, []int{3, 6}) {
		t.Errorf("tighten %v, loosen %v", o.Passes[0].Sequence, o.Loosen)
	}
}

func TestReachFromTwoPlacesIsChangedLessOften(t *testing.T) {
	j := Joint{Bolts: circle(8, 80)}
	changes := func(seq []int) (n int) {
		for k := 1; k < len(seq); k++ {
			if (seq[k] < 4) != (seq[k-1] < 4) {
				n++
			}
		}
		return n
	}
	free := changes(mustPlan(t, j, Options{Passes: 2}).Passes[0].Sequence)
	for i := range j.Bolts {
		j.Bolts[i].Reach = map[bool]string{true: "from above", false: "from below"}[i < 4]
	}
	if bound := changes(mustPlan(t, j, Options{Passes: 2}).Passes[0].Sequence); bound >= free {
		t.Errorf("%d changes of place, and %d when it does not matter", bound, free)
	}
}

func TestDowelsKeepTheCoverFromTilting(t *testing.T) {
	j := Joint{Bolts: uneven(), Cover: Stiff}
	loose := mustPlan(t, j, Options{Passes: 2})
	j.Dowels = true
	if on := mustPlan(t, j, Options{Passes: 2}); on.Run.tilt() > loose.Run.tilt()+0.01 {
		t.Errorf("tilt %v on dowels, %v without", on.Run.tilt(), loose.Run.tilt())
	}
}

func TestPassesAreAsAskedOrHalfwayThenFull(t *testing.T) {
	// Halfway, then full: common practice, no source.
	o := mustPlan(t, Joint{Bolts: circle(12, 100)}, Options{})
	if len(o.Passes) != 2 || o.Passes[0].Share != 0.5 {
		t.Errorf("passes %+v", o.Passes)
	}
	o = mustPlan(t, Joint{Bolts: circle(12, 100)}, Options{Shares: []float64{0.3, 0.7, 1}})
	if len(o.Passes) != 3 || o.Passes[1].Share != 0.7 {
		t.Errorf("passes %+v", o.Passes)
	}
	if one := mustPlan(t, Joint{Bolts: circle(4, 100)}, Options{Passes: 1}); len(one.Passes) != 1 {
		t.Errorf("passes %+v", one.Passes)
	}
}

func TestOneBoltHasNoOrderToKeep(t *testing.T) {
	o := mustPlan(t, Joint{Bolts: at([2]float64{10, 10})}, Options{})
	if !o.Proven || len(o.Loosen) != 1 || math.Abs(o.Run.Lowest-1) > 1e-9 || !strings.Contains(o.Say()[0], "no order to keep") {
		t.Errorf("%+v %v", o, o.Say())
	}
}

func TestPlanStoppedEarlyStillGivesAnOrder(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	o, err := Plan(ctx, Joint{Bolts: circle(12, 100)}, Options{})
	if err != nil || o.Proven || len(o.Passes[0].Sequence) != 12 || len(o.Loosen) != 12 {
		t.Errorf("%+v, %v", o, err)
	}
}

func TestJointsThatCannotBeAreRefusedInASentence(t *testing.T) {
	good := uneven()
	with := func(change func(*Joint)) Joint {
		j := Joint{Bolts: slices.Clone(good)}
		change(&j)
		return j
	}
	many := circle(500, 900)
	for _, test := range []struct {
		name, say string
		joint     Joint
	}{
		{"no bolt", "There is no bolt", Joint{}},
		{"500 bolts", "500 bolts and at most 100", Joint{Bolts: many}},
		{"coincident", "Bolts 1 and 3 are in the same place", with(func(j *Joint) { j.Bolts[2].X, j.Bolts[2].Y = 0, 0 })},
		{"NaN", "Bolt 2 is at a place that is no number", with(func(j *Joint) { j.Bolts[1].X = quantity.Length(math.NaN()) })},
		{"far away", "Bolt 2 is at a place that is no number within 10 m", with(func(j *Joint) { j.Bolts[1].Y = 1e9 })},
		{"negative length", "Bolt 4: the length must be from 0", with(func(j *Joint) { j.Bolts[3].Length = -0.03 })},
		{"infinite torque", "Bolt 4: the torque", with(func(j *Joint) { j.Bolts[3].Torque = quantity.Torque(math.Inf(1)) })},
		{"negative preload", "Bolt 1: the preload", with(func(j *Joint) { j.Bolts[0].Preload = -1 })},
		{"torque for some", "Bolt 1 has no torque and others have", with(func(j *Joint) { j.Bolts[3].Torque = 9 })},
		{"unknown cover", `The cover "jelly" is not known`, with(func(j *Joint) { j.Cover = "jelly" })},
		{"unknown seal", `The seal "gum" is not known`, with(func(j *Joint) { j.Seal = "gum" })},
		{"two corners", "The outline has 2 corners", with(func(j *Joint) { j.Outline = make([]Point, 2) })},
		{"bad corner", "Corner 2 of the outline", with(func(j *Joint) { j.Outline = []Point{{}, {X: quantity.Length(math.NaN())}, {}} })},
		{"stiffness", "stiffness of plate and seal", with(func(j *Joint) { j.SealStiffness = math.NaN() })},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, err := Plan(context.Background(), test.joint, Options{})
			if !fault.Is(err, fault.Bad) || !strings.Contains(fault.Say(err), test.say) {
				t.Errorf("got %v", err)
			}
		})
	}
}

func TestPassesThatCannotBeAreRefusedInASentence(t *testing.T) {
	j := Joint{Bolts: circle(4, 50)}
	for _, test := range []struct {
		name, say string
		passes    []Pass
	}{
		{"none", "There are 0 passes", nil},
		{"too much", "Pass 1 goes to 1.2", []Pass{{1.2, []int{0}}}},
		{"no bolt", "Pass 1 names no bolt", []Pass{{1, nil}}},
		{"unknown bolt", "Pass 1 names bolt 9; the bolts are 1 to 4", []Pass{{1, []int{0, 8}}}},
		{"twice", "Pass 2 names bolt 1 twice", []Pass{{0.5, []int{0}}, {1, []int{0, 0}}}},
	} {
		if _, err := Evaluate(j, test.passes); !fault.Is(err, fault.Bad) || !strings.Contains(fault.Say(err), test.say) {
			t.Errorf("%s: %v", test.name, err)
		}
	}
	for _, o := range []Options{{Passes: 7}, {Passes: -1}, {Shares: []float64{0.5, 0.4, 1}}, {Shares: []float64{0.5}}, {Shares: make([]float64, 9)}, {Shares: []float64{math.NaN()}}} {
		if _, err := Plan(context.Background(), j, o); !fault.Is(err, fault.Bad) {
			t.Errorf("%+v: %v", o, err)
		}
	}
}
