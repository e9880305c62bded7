package tighten

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"lastbolt/quantity"
)

// strip is a narrow plate on a narrow seal with one bolt in its middle, which is
// a beam on an elastic foundation; beta is its characteristic, 1/mm.
func strip(t *testing.T, cover Cover) (m *model, beta, k float64) {
	t.Helper()
	const width, seal = 8.0, 2.0
	half := map[Cover]float64{Stiff: 350, Thin: 200}[cover] // β·half over 5: long
	corner := func(x, y float64) Point { return Point{quantity.Millimetres(x), quantity.Millimetres(y)} }
	j := Joint{Bolts: at([2]float64{0, 0}), Cover: cover, SealStiffness: 40e6,
		Outline: []Point{corner(-half, -width/2), corner(half, -width/2), corner(half, width/2), corner(-half, width/2)}}
	// Many corners, so that the line is sampled densely and evenly.
	for x := -half; x < half; x += 10 {
		j.Line = append(j.Line, corner(x, -seal/2))
	}
	for x := half; x > -half; x -= 10 {
		j.Line = append(j.Line, corner(x, seal/2))
	}
	m, err := newModel(j)
	if err != nil {
		t.Fatal(err)
	}
	k = 2 * 40 // two sides, N/mm²
	bending := plateOf[cover] * (1 - poisson*poisson) * width
	return m, math.Pow(k/(4*bending), 0.25), k
}

// Hetényi, Beams on Elastic Foundation (1946), from memory: an infinite beam
// under a load P closes by P·β/(2k) under it and at x by
// e^(−βx)·(cos βx + sin βx) of that.
func TestLongStripClosesAsABeamOnAnElasticFoundation(t *testing.T) {
	for _, cover := range []Cover{Stiff, Thin} {
		m, beta, k := strip(t, cover)
		bolt := m.flex[m.m]
		under := 1 / (1/bolt[m.m] - m.spring[m.m]) // without the bolt's own spring
		if want := beta / (2 * k); math.Abs(under/want-1) > 0.02 {
			t.Errorf("%s: %.4g mm/N under the load, want %.4g", cover, under, want)
		}
		for i, p := range m.lay.seal {
			x := beta * math.Abs(p.x)
			if x > 4 {
				continue
			}
			want := math.Exp(-x) * (math.Cos(x) + math.Sin(x))
			if got := bolt[i] / bolt[m.m]; math.Abs(got-want) > 0.02 {
				t.Errorf("%s: at βx %.2f %.4f of the closing under the load, want %.4f", cover, x, got, want)
			}
		}
	}
}

// A weightless beam on a foundation that cannot pull touches it within
// βx = π/2 of the load (Weitsman 1970, from memory; it follows from Hetényi's
// solution with no moment, shear and pressure at the end of the contact).
func TestSealThatCannotPullIsTouchedToAQuarterWave(t *testing.T) {
	m, beta, _ := strip(t, Thin)
	s, ok := m.pull(1)
	if !ok {
		t.Fatal("not in balance")
	}
	step := 2 * 400 / float64(m.m) * beta
	for i, p := range m.lay.seal {
		x := beta * math.Abs(p.x)
		if touches := s.down[i] > 0; touches != (x < math.Pi/2) && math.Abs(x-math.Pi/2) > step {
			t.Errorf("at βx %.3f the seal is touched: %v", x, touches)
		}
	}
}

// A rigid cover on a round seal of stiffness K in all, bolts on the seal's
// circle, is closed at angle θ from a load by (1 + 2·cos θ)/K, by the balance of
// force and moments: the tilt stiffness of a thin ring is K·R²/2.
func TestRigidCoverClosesByStatics(t *testing.T) {
	for _, n := range []int{2, 3, 4} {
		m, err := newModel(Joint{Bolts: circle(n, 50), Line: round(50), Cover: Rigid})
		if err != nil {
			t.Fatal(err)
		}
		total := 0.0
		for _, k := range m.spring[:m.m] {
			total += k
		}
		// Without bolts' springs: all of them slack.
		var off contact
		for b := range n {
			off.flip(m.m + b)
		}
		for j := range n {
			free := off
			free.flip(m.m + j)
			r := m.response(free)
			move, gain := m.nut(r, j)
			perForce := func(i int) float64 { return move[m.m+i] / gain }
			for i := range n {
				theta := 2 * math.Pi * float64(i-j) / float64(n)
				want := (1 + 2*math.Cos(theta)) / total
				if got := perForce(i); math.Abs(got-want) > 0.003*3/total {
					t.Errorf("%d bolts: bolt %d moves %d by %.6g mm/N, want %.6g", n, j+1, i+1, got, want)
				}
			}
		}
	}
}

// From the statics above: of two bolts, each pulls the other up by
// k/(K + 3k); three do nothing to each other.
func TestRigidInteractionOfTwoAndThreeBolts(t *testing.T) {
	two := Joint{Bolts: circle(2, 50), Line: round(50), Cover: Rigid}
	m, err := newModel(two)
	if err != nil {
		t.Fatal(err)
	}
	total, k := 0.0, m.spring[m.m]
	for _, v := range m.spring[:m.m] {
		total += v
	}
	a, err := Interaction(two)
	if err != nil {
		t.Fatal(err)
	}
	if want := k / (total + 3*k); math.Abs(a[1][0]/want-1) > 0.01 || math.Abs(a[0][1]/want-1) > 0.01 {
		t.Errorf("two bolts:\n%vwant %.4f", a, want)
	}
	a, err = Interaction(Joint{Bolts: circle(3, 50), Line: round(50), Cover: Rigid})
	if err != nil {
		t.Fatal(err)
	}
	for i := range a {
		for j := range a {
			if i != j && math.Abs(a[i][j]) > 0.002 {
				t.Errorf("three bolts:\n%v", a)
			}
		}
	}
}

// Whatever the joint and the order, after every bolt: the seal pushes as much as
// the bolts pull, also about both axes; no seal place pulls but for clinging; no bolt pushes; the
// bolt just turned is at its load.
func TestEveryStepIsInBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := someJoint(t)
		m, err := newModel(j)
		if err != nil {
			t.Skip("bolts too close or a joint without support")
		}
		s := m.newState()
		s.copyFrom(&m.start)
		seq := rapid.Permutation(numbers(m.n)).Draw(t, "order")
		for _, share := range []float64{0.5, 1} {
			for _, b := range seq {
				before := m.force(&s, b)
				m.tighten(&s, b, share*m.target[b])
				if got, want := m.force(&s, b), max(before, share*m.target[b]); math.Abs(got/want-1) > 1e-6 {
					t.Fatalf("bolt %d is at %v N, want %v", b+1, got, want)
				}
				checkBalance(t, m, &s)
			}
		}
	})
}

func checkBalance(t *rapid.T, m *model, s *state) {
	var force, mx, my, pull float64
	for i, p := range m.lay.seal {
		f := m.spring[i] * (max(0, s.down[i]) + clinging*min(0, s.down[i]))
		force, mx, my = force+f, mx+f*p.x, my+f*p.y
	}
	for b, p := range m.lay.bolts {
		f := m.force(s, b)
		pull, mx, my = pull+f, mx-f*p.x, my-f*p.y
	}
	if math.Abs(force-pull) > 1e-5*pull || math.Hypot(mx, my) > 1e-5*pull*m.lay.size {
		t.Fatalf("the seal pushes %v N, the bolts pull %v N, moments %v and %v", force, pull, mx, my)
	}
}

func someJoint(t *rapid.T) Joint {
	n := rapid.IntRange(2, 9).Draw(t, "bolts")
	j := Joint{Cover: rapid.SampledFrom([]Cover{Rigid, Stiff, Thin, Sheet}).Draw(t, "cover"),
		Seal: rapid.SampledFrom([]Seal{Rubber, ORing, Flat, Sealant, Metal}).Draw(t, "seal")}
	for range n {
		j.Bolts = append(j.Bolts, Bolt{
			X:       quantity.Millimetres(float64(rapid.IntRange(0, 40).Draw(t, "x") * 8)),
			Y:       quantity.Millimetres(float64(rapid.IntRange(0, 30).Draw(t, "y") * 8)),
			Length:  quantity.Millimetres(float64(rapid.IntRange(15, 90).Draw(t, "length"))),
			Preload: quantity.Force(rapid.IntRange(3000, 9000).Draw(t, "preload")),
		})
	}
	return j
}

func numbers(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// The balance does not depend on how it was found: started from all springs
// acting, the same nuts give the same state.
func TestBalanceIsUnique(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := newModel(someJoint(t))
		if err != nil {
			t.Skip("bolts too close or a joint without support")
		}
		s := m.newState()
		s.copyFrom(&m.start)
		for _, b := range rapid.Permutation(numbers(m.n)).Draw(t, "order") {
			m.tighten(&s, b, m.target[b])
			fresh := m.newState()
			copy(fresh.nut, s.nut)
			fresh.at = m.response(fresh.off)
			if !m.settle(&fresh, func(s *state) bool { m.place(s); return true }) {
				t.Fatal("not in balance from the start")
			}
			for i := range s.down {
				if math.Abs(s.down[i]-fresh.down[i]) > 1e-6*m.closing {
					t.Fatalf("place %d is at %v and from the start at %v", i, s.down[i], fresh.down[i])
				}
			}
		}
	})
}

// The laws of elastic interaction: the bolt turned last is at its load and its
// neighbours are not above theirs (but for a hundredth, where hardly any
// interaction is); a softer seal lets more go; every further pass
// leaves less scatter.
func TestModelKeepsTheLawsOfElasticInteraction(t *testing.T) {
	star := Cross(8)
	scatter := math.Inf(1)
	for _, seal := range []Seal{Rubber, ORing, Flat, Sealant, Metal} {
		j := Joint{Bolts: circle(8, 60), Line: round(60), Cover: Stiff, Seal: seal}
		r, err := Evaluate(j, []Pass{{1, star}})
		if err != nil {
			t.Fatal(err)
		}
		if last := star[7]; math.Abs(r.Final[last]-1) > 1e-9 || r.Final[(last+1)%8] > r.Final[last]+0.01 {
			t.Errorf("%s: the loads are %v after %v", seal, r.Final, star)
		}
		if r.Scatter > scatter {
			t.Errorf("%s: scatter %v, more than with the softer seal, %v", seal, r.Scatter, scatter)
		}
		scatter = r.Scatter
		var passes []Pass
		before := math.Inf(1)
		for range 4 {
			passes = append(passes, Pass{1, star})
			r, err := Evaluate(j, passes)
			if err != nil {
				t.Fatal(err)
			}
			if r.Scatter > before+1e-9 {
				t.Errorf("%s: scatter %v after %d passes, %v before", seal, r.Scatter, len(passes), before)
			}
			before = r.Scatter
		}
	}
}
