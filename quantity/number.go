package quantity

import (
	"math/big"
	"strings"
)

// number is a number as written.
type number struct {
	value    *big.Rat
	text     string   // with a decimal point and no idle zeros in front
	step     *big.Rat // one in the last place
	negative bool
	whole    bool // no decimals, no fraction
	fraction bool // 1/2 or 1 1/2
}

// maxDigits keeps every number within what a float64 holds to the last digit.
const maxDigits = 15

// readNumber reads the number at the start of tidied text and gives what is
// left. The problem is the rest of a sentence about the text. With gaps, spaces
// may stand between groups of three digits.
func readNumber(s string, gaps bool) (n number, rest, problem string) {
	sign := ""
	if s[0] == '-' || s[0] == '+' {
		n.negative = s[0] == '-'
		s = strings.TrimPrefix(s[1:], " ")
	}
	if n.negative {
		sign = "-"
	}
	whole, rest := digits(s)
	if gaps && len(whole) <= 3 && !strings.HasPrefix(whole, "0") {
		for whole != "" && startsGroup(rest) {
			whole, rest = whole+rest[1:4], rest[4:]
		}
	}
	decimals := ""
	if rest != "" && (rest[0] == '.' || rest[0] == ',') {
		mark := rest[:1]
		decimals, rest = digits(rest[1:])
		if problem := checkDecimals(whole, mark, decimals, rest); problem != "" {
			return n, "", problem
		}
	}
	if whole == "" && decimals == "" {
		return n, "", "does not start with a number: write the number, then the unit"
	}
	if exponentAt(rest) {
		return n, "", "has a power of ten in it: write the number out"
	}
	if len(whole)+len(decimals) > maxDigits {
		return n, "", "has more than the 15 digits that can be kept: leave some off"
	}
	if decimals == "" {
		if fraction, after, problem := readFraction(whole, rest); problem != "" || after != rest {
			fraction.negative = n.negative
			fraction.text = sign + fraction.text
			if n.negative && fraction.value != nil {
				fraction.value.Neg(fraction.value)
			}
			return fraction, after, problem
		}
	}
	n.text = strings.TrimLeft(whole, "0")
	if n.text == "" {
		n.text = "0"
	}
	n.whole = decimals == ""
	if !n.whole {
		n.text += "." + decimals
	}
	n.value, _ = new(big.Rat).SetString(n.text)
	n.text = sign + n.text // -0 keeps its sign: it may be the start of -0° 30′
	if n.negative {
		n.value.Neg(n.value)
	}
	n.step = tenth(len(decimals))
	return n, rest, ""
}

// digits splits the plain digits off the front.
func digits(s string) (front, rest string) {
	end := 0
	for end < len(s) && s[end] >= '0' && s[end] <= '9' {
		end++
	}
	return s[:end], s[end:]
}

// startsGroup reports that a further group of three digits follows, as in
// 82 300 (groups of three set apart by a space: the SI Brochure, 5.4.4). The 125
// of 1 125/1000 is the start of a fraction, and no group.
func startsGroup(rest string) bool {
	if rest == "" || rest[0] != ' ' {
		return false
	}
	group, after := digits(rest[1:])
	return len(group) == 3 && !strings.HasPrefix(after, "/")
}

// checkDecimals refuses what could be read two ways: 1,234 is a thousand and
// more to one reader and one and a bit to the next.
func checkDecimals(whole, mark, decimals, rest string) string {
	switch {
	case decimals == "":
		return "stops after the decimal mark: write the decimals or leave the mark off"
	case rest != "" && (rest[0] == ',' || rest[0] == '.' && rest != "." && startsDigit(rest[1:])):
		return "has more than one point or comma in the number: write it without thousands marks"
	case mark == "," && len(decimals) == 3 && len(whole) <= 3 && strings.Trim(whole, "0") != "":
		return "can be read as thousands or as decimals: write " + whole + "." + decimals + " or " + whole + decimals
	}
	return ""
}

func startsDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

// exponentAt reports whether a power of ten follows, as in 1e5.
func exponentAt(rest string) bool {
	if rest == "" || rest[0] != 'e' && rest[0] != 'E' {
		return false
	}
	return startsDigit(strings.TrimLeft(rest[1:], "+-"))
}

// readFraction reads the "/2" of "1/2" or the " 1/2" of "1 1/2", given the
// digits before it. When there is none it gives rest back unchanged.
func readFraction(whole, rest string) (n number, after, problem string) {
	top, tail := whole, rest
	mixed := rest != "" && (rest[0] == ' ' || rest[0] == '-') && startsDigit(rest[1:])
	if mixed {
		top, tail = digits(rest[1:])
	}
	if top == "" || len(tail) < 2 || tail[0] != '/' || !startsDigit(tail[1:]) {
		return n, rest, ""
	}
	bottom, after := digits(tail[1:])
	over, okTop := new(big.Rat).SetString(top)
	under, okBottom := new(big.Rat).SetString(bottom)
	switch {
	case !okTop || !okBottom || len(top) > 4 || len(bottom) > 4:
		return n, "", "has a fraction with more than 4 digits above or below the line: write it as a decimal"
	case under.Sign() == 0:
		return n, "", "has a fraction with zero below the line: check it"
	case mixed && over.Cmp(under) >= 0:
		return n, "", "has a fraction of one or more after a whole number: carry it over"
	}
	trim := func(s string) string {
		if t := strings.TrimLeft(s, "0"); t != "" {
			return t
		}
		return "0"
	}
	n.fraction = true
	n.value = over.Quo(over, under)
	n.text = trim(top) + "/" + trim(bottom)
	n.step = thousandth
	if mixed {
		ahead, _ := new(big.Rat).SetString(whole)
		n.value.Add(n.value, ahead)
		n.text = trim(whole) + " " + n.text
	}
	return n, after, ""
}

// thousandth is the step of a fraction: it is meant exactly, and nobody in a
// shop measures finer than a thousandth of an inch.
var thousandth = tenth(3)

// tenth gives ten to the power of minus places.
func tenth(places int) *big.Rat {
	return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(places)), nil))
}
