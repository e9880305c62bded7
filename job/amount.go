package job

import (
	"math/big"
	"strconv"
	"strings"

	"lastbolt/quantity"
)

// A sum adds up amounts of one thing: volumes, masses, pieces, and counts in
// words ("1 pair"). What cannot be added stays side by side.
type sum struct {
	volume  quantity.Volume
	mass    quantity.Mass
	count   int
	words   []counted
	unknown bool // some of it is needed, how much is not known
}

type counted struct {
	n    *big.Rat
	word string
}

// add takes an amount as text; empty is not known.
func (s *sum) add(text string) {
	text = strings.TrimSpace(text)
	if text == "" {
		s.unknown = true
		return
	}
	if v, err := quantity.ParseVolume(text); err == nil {
		s.volume += v.Value
		return
	}
	if m, err := quantity.ParseMass(text); err == nil {
		s.mass += m.Value
		return
	}
	number, word, _ := strings.Cut(text, " ")
	n, ok := new(big.Rat).SetString(strings.Replace(number, ",", ".", 1))
	if !ok || len(number) > 12 {
		n, word = big.NewRat(1, 1), text
	}
	word = strings.TrimSpace(word)
	for i := range s.words {
		if sameWord(s.words[i].word, word) {
			s.words[i].n.Add(s.words[i].n, n)
			s.words[i].word = longer(s.words[i].word, word)
			return
		}
	}
	s.words = append(s.words, counted{n, word})
}

// sameWord takes a plain plural for the same word: pair, pairs.
func sameWord(x, y string) bool {
	return strings.TrimSuffix(strings.ToLower(x), "s") == strings.TrimSuffix(strings.ToLower(y), "s")
}

func longer(x, y string) string {
	if len(y) > len(x) {
		return y
	}
	return x
}

// String gives the sum: "0.42 L", "2 pairs + 30 g"; one piece of which nothing
// more is known is "".
func (s *sum) String() string {
	var parts []string
	if s.volume > 0 {
		parts = append(parts, volumeText(s.volume))
	}
	if s.mass > 0 {
		unit := quantity.Gram
		if s.mass >= 1 {
			unit = quantity.Kilogram
		}
		parts = append(parts, plainly(unit.Format(s.mass, 3)))
	}
	if s.count > 1 || s.count == 1 && len(parts) > 0 {
		parts = append(parts, strconv.Itoa(s.count))
	}
	for _, w := range s.words {
		n := strings.TrimSuffix(strings.TrimRight(w.n.FloatString(2), "0"), ".")
		parts = append(parts, strings.TrimSpace(n+" "+w.word))
	}
	if s.unknown && len(parts) > 0 {
		parts = append(parts, "an amount not known")
	}
	return strings.Join(parts, " + ")
}

func volumeText(v quantity.Volume) string {
	unit := quantity.Litre
	if v < 0.0005 { // half a litre
		unit = quantity.Millilitre
	}
	return plainly(unit.Format(v, 3))
}

// plainly drops zeros behind the decimal point: "50.0 mL" is no more exact than
// what was added up.
func plainly(text string) string {
	number, unit, _ := strings.Cut(text, " ")
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return number + " " + unit
}

// against compares the need with an amount on the shelf, and says what is
// lacking. Enough is only said where both are known in the same measure.
func (s *sum) against(have string) (ReadyStatus, string) {
	if s.unknown || strings.TrimSpace(have) == "" {
		return NotKnownYet, ""
	}
	var h sum
	h.add(have)
	switch {
	case s.volume > 0 && s.mass == 0 && s.count == 0 && len(s.words) == 0 && h.volume > 0:
		// A millionth of the need is rounding, not lack.
		if lack := s.volume - h.volume; lack > s.volume*1e-6 {
			return Missing, volumeText(lack)
		}
		return AtHand, ""
	case s.mass > 0 && s.volume == 0 && s.count == 0 && len(s.words) == 0 && h.mass > 0:
		if lack := s.mass - h.mass; lack > s.mass*1e-6 {
			return Missing, (&sum{mass: lack}).String()
		}
		return AtHand, ""
	case s.volume == 0 && s.mass == 0 && len(h.words) == 1:
		return s.againstCount(h.words[0])
	}
	return NotKnownYet, ""
}

func (s *sum) againstCount(have counted) (ReadyStatus, string) {
	need := counted{big.NewRat(int64(s.count), 1), ""}
	switch {
	case len(s.words) == 1 && s.count == 0:
		need = s.words[0]
	case len(s.words) > 0:
		return NotKnownYet, ""
	}
	if !sameWord(need.word, have.word) {
		return NotKnownYet, ""
	}
	if lack := new(big.Rat).Sub(need.n, have.n); lack.Sign() > 0 {
		return Missing, (&sum{words: []counted{{lack, need.word}}}).String()
	}
	return AtHand, ""
}
