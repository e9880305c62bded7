package job

import (
	"fmt"
	"strings"
)

// A VINCheck says whether a vehicle identification number can be right.
type VINCheck struct {
	VIN string // in capitals, without spaces and dashes
	OK  bool   // nothing speaks against it
	// Problem is what is wrong, in a sentence; Note is what is worth knowing
	// although nothing is wrong. Place is the position (1 to 17) of the first
	// character that cannot be right, 0 for none.
	Problem string
	Note    string
	Place   int
	// Digit is what the check digit (the ninth character) comes to, and Working
	// how; both are empty when the rest cannot be right.
	Digit   string
	Working string
}

// vinValues are the values of the letters A to Z and vinWeights the weights of
// the 17 places for the check digit, 49 CFR 565.15(c), tables III to V. I, O
// and Q have none: they are not used, ISO 3779.
const vinValues = "12345678.12345.7.923456789"

var vinWeights = [17]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}

// CheckVIN reads a VIN as written and checks it. Empty text is no VIN and
// nothing wrong.
func CheckVIN(text string) VINCheck {
	v := VINCheck{VIN: strings.ToUpper(strings.NewReplacer(" ", "", "-", "", "\t", "").Replace(strings.TrimSpace(text)))}
	if v.VIN == "" {
		v.OK = true
		return v
	}
	if v.letters() && v.length() {
		v.digit()
	}
	v.OK = v.Problem == ""
	return v
}

func (v *VINCheck) letters() bool {
	for i, r := range []rune(v.VIN) {
		if r >= '0' && r <= '9' || r >= 'A' && r <= 'Z' && !strings.ContainsRune("IOQ", r) {
			continue
		}
		v.Place = i + 1
		switch r {
		case 'I':
			v.Problem = fmt.Sprintf("Place %d is the letter I, which a VIN never has: it is most likely the digit 1.", v.Place)
		case 'O', 'Q':
			v.Problem = fmt.Sprintf("Place %d is the letter %c, which a VIN never has: it is most likely the digit 0.", v.Place, r)
		default:
			v.Problem = fmt.Sprintf("Place %d is %q, and a VIN has only capital letters and digits.", v.Place, r)
		}
		return false
	}
	return true
}

func (v *VINCheck) length() bool {
	n := len(v.VIN)
	if n == 17 {
		return true
	}
	v.Problem = fmt.Sprintf("It has %d characters, and a VIN has 17.", n)
	if n < 17 && n > 4 {
		v.Note = "Vehicles made before 1981 have shorter numbers: write the number into the vehicle's name instead."
	}
	return false
}

// digit works out the check digit. North America requires it (places of
// manufacture 1 to 5); China does likewise. Elsewhere the ninth place may hold
// anything, so that a difference there is worth a note and no more.
func (v *VINCheck) digit() {
	sum := 0
	for i := range 17 {
		sum += vinValue(v.VIN[i]) * vinWeights[i]
	}
	v.Digit = "0123456789X"[sum%11 : sum%11+1]
	v.Working = fmt.Sprintf("Values of the characters times the weights of their places: %d. Divided by 11 leaves %d, so the ninth character is %s (49 CFR 565.15).", sum, sum%11, v.Digit)
	have := v.VIN[8:9]
	first := v.VIN[0]
	required := first >= '1' && first <= '5' || first == 'L'
	switch {
	case have == v.Digit && required:
		v.Note = "The check digit is right."
	case have == v.Digit:
		v.Note = "The check digit is right, though this region does not require one."
	case required:
		v.Place = 9
		v.Problem = fmt.Sprintf("The check digit, place 9, is %s and comes to %s: one character is wrong or two are swapped.", have, v.Digit)
	default:
		v.Note = fmt.Sprintf("Place 9 is %s and a check digit would be %s. Vehicles of this region need not have one, so this proves nothing: compare it with the plate.", have, v.Digit)
	}
}

func vinValue(c byte) int {
	if c >= '0' && c <= '9' {
		return int(c - '0')
	}
	return int(vinValues[c-'A'] - '0')
}
