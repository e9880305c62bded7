package quantity

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Unit is one unit of the quantity Q, such as PoundForceFoot of Torque. Units
// are made only in this package and can be compared with ==. The zero Unit
// means that none was chosen: Valid is false, Written.In leaves the conversion
// out, and Of, Count and Format take the base unit.
type Unit[Q Measured] struct {
	scale *scale
}

// scale is what a unit is: base = (number + offset) × factor, both exact. A
// start makes all units and uses few, so what takes time is worked out when it
// is first wanted.
type scale struct {
	symbol  string
	keys    func() []string // spellings accepted, as unitKey leaves them
	anyCase bool            // capitals do not matter (never so with a metric prefix)
	divided bool            // in halves and quarters, so that whole numbers are as exact as fractions
	factor  func() *big.Rat
	offset  func() *big.Rat // of the zero point, in this unit; nil but for °C and °F
}

// newUnit makes a unit from its printed symbol, its size in base units (see
// exact) and the other ways it is written.
func newUnit[Q Measured](symbol, factor string, also ...string) Unit[Q] {
	return Unit[Q]{newScale(symbol, factor, also)}
}

func newScale(symbol, factor string, also []string) *scale {
	return &scale{
		symbol: symbol,
		keys:   sync.OnceValue(func() []string { return unitKeys(symbol, also) }),
		factor: sync.OnceValue(func() *big.Rat { return exact(factor) }),
	}
}

func unitKeys(symbol string, also []string) (keys []string) {
	for _, spelling := range append([]string{symbol}, also...) {
		key, ok := unitKey(spelling)
		if !ok || slices.Contains(keys, key) {
			panic(fmt.Sprintf("quantity: unit %q: spelling %q is wrong or there twice", symbol, spelling))
		}
		keys = append(keys, key)
	}
	return keys
}

// loose lets the unit be written in capitals or small letters.
func (u Unit[Q]) loose() Unit[Q] {
	u.scale.anyCase = true
	return u
}

// inFractions says that the unit is divided into halves, quarters and so on.
func (u Unit[Q]) inFractions() Unit[Q] {
	u.scale.divided = true
	return u
}

// zeroAt sets the number to add to a reading to count from absolute zero.
func (u Unit[Q]) zeroAt(offset string) Unit[Q] {
	u.scale.offset = sync.OnceValue(func() *big.Rat { return exact(offset) })
	return u
}

// exact evaluates decimals joined by * and /, from left to right, without
// rounding: "4.4482216152605*0.3048".
func exact(expression string) *big.Rat {
	value := big.NewRat(1, 1)
	for rest, divide := expression, false; ; {
		end := strings.IndexAny(rest, "*/")
		term := rest
		if end >= 0 {
			term = rest[:end]
		}
		r, ok := new(big.Rat).SetString(term)
		if !ok {
			panic(fmt.Sprintf("quantity: factor %q is not a number", expression))
		}
		if divide {
			r.Inv(r)
		}
		value.Mul(value, r)
		if end < 0 {
			return value
		}
		divide, rest = rest[end] == '/', rest[end+1:]
	}
}

// toBase turns a reading in the unit into base units.
func (s *scale) toBase(n *big.Rat) *big.Rat {
	sum := new(big.Rat).Set(n)
	if s.offset != nil {
		sum.Add(sum, s.offset())
	}
	return sum.Mul(sum, s.factor())
}

// fromBase turns base units into a reading in the unit.
func (s *scale) fromBase(base *big.Rat) *big.Rat {
	n := new(big.Rat).Quo(base, s.factor())
	if s.offset != nil {
		n.Sub(n, s.offset())
	}
	return n
}

// decimal takes a float64 as the shortest decimal that stands for it, so that
// 0.1 is a tenth and 363.15 K is 90 °C, not 89.99999999999998 °C. It reports
// false for what is not a number.
func decimal(x float64) (*big.Rat, bool) {
	return new(big.Rat).SetString(strconv.FormatFloat(x, 'g', -1, 64))
}

func nearest(r *big.Rat) float64 {
	f, _ := r.Float64()
	return f
}

// Of makes the quantity that is n units. Not-a-number and infinities stay so.
func (u Unit[Q]) Of(n float64) Q {
	r, ok := decimal(n)
	if !ok {
		return Q(n)
	}
	return Q(nearest(u.orBase().toBase(r)))
}

// Count gives how many units q is. Not-a-number and infinities stay so.
func (u Unit[Q]) Count(q Q) float64 {
	r, ok := decimal(float64(q))
	if !ok {
		return float64(q)
	}
	return nearest(u.orBase().fromBase(r))
}

func (u Unit[Q]) orBase() *scale {
	if u.scale == nil {
		var q Q
		return q.kind().base()
	}
	return u.scale
}

// Valid reports whether u is a unit at all.
func (u Unit[Q]) Valid() bool { return u.scale != nil }

// String gives the unit's symbol, "N·m".
func (u Unit[Q]) String() string {
	if u.scale == nil {
		return ""
	}
	return u.scale.symbol
}

// Format prints q in unit u, rounded to that many significant digits (at least
// one), without exponent: "8.13 N·m". What is not a finite number prints as
// "not known".
func (u Unit[Q]) Format(q Q, digits int) string {
	r, ok := decimal(float64(q))
	if !ok {
		return "not known"
	}
	s := u.orBase()
	return s.with(significant(s.fromBase(r), max(digits, 1)))
}

// with puts the symbol behind a number; the marks of angle stand close to it.
func (s *scale) with(number string) string {
	if s.symbol == "°" || s.symbol == "′" {
		return number + s.symbol
	}
	return number + " " + s.symbol
}

// significant prints r rounded to so many significant digits.
func significant(r *big.Rat, digits int) string {
	places := digits - 1 - exponent(r)
	text := fixed(r, places)
	if rounded, _ := new(big.Rat).SetString(text); exponent(rounded) > exponent(r) {
		text = fixed(r, places-1) // 9.99 became 10.0
	}
	return text
}

// exponent gives the power of ten of r's first digit, 0 for zero.
func exponent(r *big.Rat) int {
	f := math.Abs(nearest(r))
	if f == 0 {
		return 0
	}
	text := strconv.FormatFloat(f, 'e', -1, 64)
	power, _ := strconv.Atoi(text[strings.IndexByte(text, 'e')+1:])
	return power
}

// fixed prints r with so many decimals; a negative count rounds to tens,
// hundreds and so on. Halves go away from zero; there is no "-0".
func fixed(r *big.Rat, decimals int) string {
	text := ""
	if decimals >= 0 {
		text = r.FloatString(decimals)
	} else {
		ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(-decimals)), nil)
		scaled := new(big.Rat).Quo(r, new(big.Rat).SetInt(ten))
		text = scaled.FloatString(0)
		if text != "0" && text != "-0" {
			text += strings.Repeat("0", -decimals)
		}
	}
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	return text
}

// UnitsOf lists the units of a quantity, the base or commonest first, for
// somebody to choose from.
func UnitsOf[Q Measured]() []Unit[Q] {
	var q Q
	var units []Unit[Q]
	for _, s := range q.kind().scales {
		units = append(units, Unit[Q]{s})
	}
	return units
}

// ParseUnit finds the unit a text names: ParseUnit[Torque]("Nm").
func ParseUnit[Q Measured](symbol string) (Unit[Q], error) {
	var q Q
	text, err := tidy(symbol)
	if err != nil {
		return Unit[Q]{}, err
	}
	s, problem := q.kind().find(text)
	if problem != "" {
		return Unit[Q]{}, fmt.Errorf("%q %s", text, problem)
	}
	return Unit[Q]{s}, nil
}

// MarshalText writes the symbol; the zero Unit writes nothing.
func (u Unit[Q]) MarshalText() ([]byte, error) { return []byte(u.String()), nil }

// UnmarshalText reads a symbol; empty text is the zero Unit.
func (u *Unit[Q]) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*u = Unit[Q]{}
		return nil
	}
	read, err := ParseUnit[Q](string(text))
	if err == nil {
		*u = read
	}
	return err
}
