package opening

import "math"

// quantile80 is the standard normal quantile of 0.8 (tables; 0.841621).
const quantile80 = 0.8416212335729143

// Spread gives the minutes within which the plan ends with even odds, and with
// four chances in five.
//
// Every step's hand minutes are taken as a beta distribution by the three
// figures of its span: mean (low + 4·likely + high)/6, variance
// ((high − low)/6)² (the PERT convention; Malcolm, Roseboom, Clark & Fazar,
// Operations Research 7 (1959) 646; from memory). Trouble of m minutes at odds
// p adds the mean p·m and the variance p·(1−p)·m². Means and variances of
// steps add up, as if they were independent; set-ups and idle minutes are
// counted as they stand.
// The sum is read as lognormal with that mean and variance (the moments of
// Fenton, IRE Trans. Communication Systems 8 (1960) 57; from memory), which keeps it
// positive and leans it to the late side.
//
// Steps that go wrong together, and waits that catch up with late steps, are
// not seen: the true spread is wider on the first count, narrower on the
// second.
func (p *Plan) Spread() (p50, p80 float64) {
	mean, variance := p.Minutes, 0.0
	for i := range p.Steps {
		s := &p.Steps[i]
		d := (s.Span.High - s.Span.Low) / 6
		variance += d*d + s.TroubleVar
	}
	return quantiles(mean, variance)
}

func quantiles(mean, variance float64) (p50, p80 float64) {
	if mean <= 0 {
		return 0, 0
	}
	s2 := math.Log1p(variance / (mean * mean))
	mu := math.Log(mean) - s2/2
	return math.Exp(mu), math.Exp(mu + quantile80*math.Sqrt(s2))
}
