package andor

// memo remembers for states of the search a lower bound on the cost still to
// pay. What remains depends only on the wanted undecided facts, on the decided
// facts that they may rest on, and on which undecided facts those rest on in
// turn (a circle must not close). A state is known by a 128-bit hash of that.
type memo struct {
	seen map[[2]uint64]int64
	size int // facts
}

// memoLimit bounds the memory of the table to about 100 MB.
const memoLimit = 1 << 20

func (m *memo) init(facts int) {
	m.seen, m.size = map[[2]uint64]int64{}, facts
}

// key hashes the state of s. It must follow a call of pricer.bound for
// s.goals, whose cone it reads.
func (m *memo) key(s *search) [2]uint64 {
	var k [2]uint64
	mix := func(a, b, c uint64) {
		x := (a*uint64(m.size)+b)*uint64(m.size+1) + c
		k[0] ^= scramble(x)
		k[1] ^= scramble(x ^ 0xa5a5a5a5deadbeef)
	}
	for _, f := range s.goals {
		mix(1, uint64(f), 0)
	}
	for _, f := range s.pricer.cone {
		if s.chosen[f] < 0 {
			continue
		}
		mix(2, uint64(f), 0)
		if s.cyclic[f] {
			for _, g := range s.goals {
				if s.comp[g] == s.comp[f] && s.dependsOn(f, g) {
					mix(3, uint64(f), uint64(g)+1)
				}
			}
		}
	}
	return k
}

func (m *memo) get(k [2]uint64) int64 { return m.seen[k] }

func (m *memo) put(k [2]uint64, togo int64) {
	if old, ok := m.seen[k]; ok && old >= togo || !ok && len(m.seen) >= memoLimit {
		return
	}
	m.seen[k] = togo
}

// scramble is the finaliser of the SplitMix64 generator (Steele, Lea & Flood,
// OOPSLA 2014; constants from memory).
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
