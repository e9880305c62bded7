package tighten

import "math"

// A Run is an order put through the model.
type Run struct {
	Steps  []Step
	Passes []PassResult
	// Peak and Mean are the worst and the average unevenness over the steps.
	Peak, Mean float64
	// Final is the preload each bolt ends with, as part of its target; Scatter the
	// root mean square of what is missing or over, Lowest the least.
	Final           []float64
	Scatter, Lowest float64
	// Cost is what Plan makes small: the worst and the average unevenness over the
	// steps, tilt counting double (with dowels three times), and half the scatter,
	// most of which a pass around mends.
	Cost float64
}

// A Step is the joint after one bolt was turned. Unevenness is the root mean
// square over the seal line of how far the pressure is from what it is under the
// same load with all bolts pulled at once, as part of the final mean pressure;
// its square is the sum of those of Tilt (the part that is a plane) and
// Bend (the rest).
type Step struct {
	Pass, Bolt             int
	Unevenness, Tilt, Bend float64
	Lifted                 float64 // part of the seal line without pressure
}

// A PassResult is the joint during and after a pass.
type PassResult struct {
	Share      float64
	Peak, Mean float64 // unevenness over the pass
	End        float64 // unevenness after it
	Scatter    float64 // of the preload, as part of the share of this pass
	Lowest     float64 // preload as part of the share of this pass
}

// unevenness gives the squares of tilt and bend of a state.
func (m *model) unevenness(s *state) (tilt, bend float64) {
	var sum, square, tx, ty float64
	down := s.down[:m.m]
	for i, w := range m.weight {
		sum += w * max(0, down[i])
	}
	for i, w := range m.weight {
		d := max(0, down[i]) - sum*m.ideal[i]
		square += w * d * d
		tx += m.tiltX[i] * d
		ty += m.tiltY[i] * d
	}
	f := 1 / (m.closing * m.closing)
	tilt = (tx*tx + ty*ty) * f
	return tilt, max(0, square*f-tilt)
}

// Tilt counts double in what a search makes small, three times with dowels: a
// cover that comes down on one side pushes the seal out of its place.
const (
	tiltFactor   = 2
	dowelsFactor = 3
	// scatterCounts is small because a last pass around mends most of the scatter.
	scatterCounts = 0.5
)

// rough is the unevenness a search makes small.
func (m *model) rough(s *state) float64 {
	tilt, bend := m.unevenness(s)
	return math.Sqrt(m.tiltCounts*tilt + bend)
}

func (m *model) step(s *state, pass, bolt int) Step {
	tilt, bend := m.unevenness(s)
	st := Step{Pass: pass, Bolt: bolt, Unevenness: math.Sqrt(tilt + bend), Tilt: math.Sqrt(tilt), Bend: math.Sqrt(bend)}
	for i, w := range m.weight {
		if s.down[i] < -m.small {
			st.Lifted += w
		}
	}
	return st
}

// run puts an order through the model.
func (m *model) run(passes []Pass) *Run {
	r := &Run{}
	s := m.newState()
	s.copyFrom(&m.start)
	peak, sum := 0.0, 0.0
	for p, pass := range passes {
		result := PassResult{Share: pass.Share}
		for _, b := range pass.Sequence {
			m.tighten(&s, b, pass.Share*m.target[b])
			st := m.step(&s, p, b)
			r.Steps = append(r.Steps, st)
			result.Peak, result.End = max(result.Peak, st.Unevenness), st.Unevenness
			result.Mean += st.Unevenness / float64(len(pass.Sequence))
			cost := m.rough(&s)
			peak, sum = max(peak, cost), sum+cost
		}
		result.Scatter, result.Lowest = m.scatter(&s, pass.Share)
		r.Passes = append(r.Passes, result)
		r.Peak = max(r.Peak, result.Peak)
	}
	for _, st := range r.Steps {
		r.Mean += st.Unevenness / float64(len(r.Steps))
	}
	for b := range m.n {
		r.Final = append(r.Final, m.force(&s, b)/m.target[b])
	}
	r.Scatter, r.Lowest = m.scatter(&s, 1)
	r.Cost = peak + sum/float64(len(r.Steps)) + scatterCounts*r.Scatter
	return r
}

// scatter gives the root mean square deviation of the preloads from a share of
// their targets, and the lowest, as parts of the share.
func (m *model) scatter(s *state, share float64) (rms, lowest float64) {
	lowest = math.Inf(1)
	for b, t := range m.target {
		f := m.force(s, b) / (t * share)
		rms += (f - 1) * (f - 1) / float64(m.n)
		lowest = min(lowest, f)
	}
	return math.Sqrt(rms), lowest
}
