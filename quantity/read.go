package quantity

import (
	"fmt"
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// reading is a quantity as read from a text.
type reading struct {
	base     *big.Rat // exact, in base units
	text     string   // as written, in the house spelling
	scale    *scale   // the unit, the finest when there are several
	step     *big.Rat // one in the last digit written, in base units
	fraction bool     // meant exactly: a fraction, or whole inches
}

// maxRunes is far more than any quantity needs; it keeps error sentences short.
const maxRunes = 60

// read reads a number and a unit, or a chain of them.
func (k *kind) read(s string) (reading, error) {
	text, err := tidy(s)
	if err != nil {
		return reading{}, err
	}
	if text == "" {
		return reading{}, fmt.Errorf("nothing is written here: write for example %s", k.example)
	}
	out, problem := k.readParts(text)
	if problem != "" {
		return reading{}, fmt.Errorf("%q %s", text, problem)
	}
	return out, nil
}

// readParts reads tidied text; problem is the rest of a sentence about it.
func (k *kind) readParts(text string) (out reading, problem string) {
	out.base = new(big.Rat)
	place := -1 // of the last unit in the chain
	for rest := text; rest != ""; {
		n, after, problem := readNumber(rest, len(k.chain) == 0) // 1 200 min may lack its hours
		if problem != "" {
			return out, problem
		}
		unit := after
		rest = ""
		if len(k.chain) > 0 {
			if end := strings.IndexFunc(after, unicode.IsDigit); end >= 0 {
				unit, rest = after[:end], after[end:]
			}
		}
		s, problem := k.unitOf(n, unit)
		if problem != "" {
			return out, problem
		}
		if out.text != "" || rest != "" {
			if place, problem = k.follow(place, s, n, rest == ""); problem != "" {
				return out, problem
			}
		}
		out.add(n, s)
	}
	switch {
	case k.unsigned && out.text[0] == '-':
		return out, "has a minus sign, which a " + k.name + " never has: write it without"
	case k.absolute && out.base.Sign() < 0:
		return out, "is colder than absolute zero, -273.15 °C: check the number and the unit"
	}
	return out, ""
}

// unitOf finds the unit behind a number, with a sentence of its own for the
// commonest slips: none at all, and a gap inside the number.
func (k *kind) unitOf(n number, unit string) (*scale, string) {
	unit = strings.TrimSpace(unit)
	if unit == "" {
		return nil, fmt.Sprintf("has no unit after %s: write for example %s", n.text, k.example)
	}
	if first, _ := utf8.DecodeRuneInString(unit); unicode.IsDigit(first) {
		return nil, "has two numbers one after the other: write the number without a gap, and one unit"
	}
	s, problem := k.find(unit)
	if problem != "" {
		problem = fmt.Sprintf("cannot be read: %q %s", unit, problem)
	}
	return s, problem
}

// follow checks that a part of a chain is finer than the one before, that only
// the last has decimals, and that it does not fill the unit before it.
func (k *kind) follow(place int, s *scale, n number, last bool) (int, string) {
	here := -1
	for i, link := range k.chain {
		if link == s {
			here = i
		}
	}
	if here <= place {
		return here, fmt.Sprintf("has its parts in the wrong order: write for example %s", k.example)
	}
	if !last && !n.whole {
		return here, fmt.Sprintf("has a part of a unit (%s) before a smaller unit: write whole numbers there", n.text)
	}
	if place >= 0 {
		if n.negative {
			return here, "has a minus sign in the middle: write it once, in front"
		}
		size := new(big.Rat).Mul(n.value, s.factor())
		if size.Cmp(k.chain[place].factor()) >= 0 {
			return here, fmt.Sprintf("has %s, a whole %s or more: carry it over", s.with(n.text), k.chain[place].symbol)
		}
	}
	return here, ""
}

// add appends one number and unit.
func (r *reading) add(n number, s *scale) {
	value := s.toBase(n.value)
	printed := n.text
	if r.text != "" {
		if strings.HasPrefix(r.text, "-") {
			value.Neg(value)
		}
		sixty := new(big.Rat).Quo(r.scale.factor(), s.factor()).Cmp(big.NewRat(60, 1)) == 0
		if sixty && (len(printed) == 1 || printed[1] == '.') {
			printed = "0" + printed // 1 h 05 min, but 2 d 3 h
		}
		r.text += " "
	}
	step := n.step
	if n.whole && s.divided {
		step = thousandth
	}
	r.base.Add(r.base, value)
	r.text += s.with(printed)
	r.scale, r.fraction = s, n.fraction || n.whole && s.divided
	r.step = new(big.Rat).Mul(step, s.factor())
}

// tidy brings the many ways of typing the same marks to one: plain spaces,
// minus signs, fractions as digits and a slash, upright quotes.
func tidy(s string) (string, error) {
	if !utf8.ValidString(s) {
		return "", fmt.Errorf("the text holds bytes that are not letters: type it again")
	}
	if utf8.RuneCountInString(s) > maxRunes {
		return "", fmt.Errorf("the text is too long for a quantity (more than %d letters): write a number and its unit", maxRunes)
	}
	return strings.Join(strings.Fields(marks.Replace(s)), " "), nil
}

// marks maps them; strings.Fields knows the many spaces.
var marks = strings.NewReplacer(
	"\u2212", "-", "\u2010", "-", "\u2011", "-", "\u2013", "-",
	"\u2044", "/",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
	"\u2033", "\"", "\u201d", "\"", "\u2019", "'",
	"℃", "°C", "℉", "°F", "º", "°", "˚", "°", "\u03bc", "µ", "ℓ", "L",
	"²", "2", "³", "3",
	"\u200b", "", "\u2060", "", "\ufeff", "",
)

// joiners may stand between the parts of a unit.
const joiners = "·⋅•∙*×.-_"

// unitKey strips what may stand between the parts of a unit, so that N·m, N.m,
// N-m and Nm are one. It reports false where a joiner joins nothing.
func unitKey(s string) (string, bool) {
	s = strings.TrimSuffix(strings.TrimSpace(marks.Replace(s)), ".") // "in." is an abbreviation
	var key strings.Builder
	joined := false
	for i, r := range s {
		switch {
		case r == ' ' || r == '^':
		case strings.ContainsRune(joiners, r):
			if joined || i == 0 && r != '-' {
				return "", false
			}
			joined = true
		default:
			joined = false
			key.WriteRune(r)
		}
	}
	return key.String(), !joined
}
