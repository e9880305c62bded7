package garage

import (
	"fmt"
	"strings"

	"lastbolt/fault"
)

// A VIN is a vehicle identification number that reads as one.
type VIN struct {
	Text  string // 17 capitals and digits
	Want  byte   // the check digit that the other 16 places give: 0 to 9 or X
	Given byte   // what is in place 9
}

// Matches reports whether place 9 holds the check digit. Vehicles for North
// America must have one; others need not, so a mismatch is a reason to look
// again and not an error.
func (v VIN) Matches() bool { return v.Want == v.Given }

// Say explains the check digit in a sentence.
func (v VIN) Say() string {
	if v.Matches() {
		return fmt.Sprintf("The check digit in place 9 is %c, as the other places ask for.", v.Given)
	}
	return fmt.Sprintf("Place 9 is %c; the other places would ask for %c. On a vehicle for North America one character is misread; elsewhere place 9 need not be a check digit.", v.Given, v.Want)
}

// The value of each letter and digit, and the weight of each place: 49 CFR
// 565 (2000 edition, section 565.6), tables III and IV. I, O and Q have none.
const vinAlphabet = "0123456789ABCDEFGHJKLMNPRSTUVWXYZ"

var (
	vinValues  = [len(vinAlphabet)]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 7, 9, 2, 3, 4, 5, 6, 7, 8, 9}
	vinWeights = [17]int{8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2}
)

// ReadVIN reads a VIN as somebody wrote it: spaces and hyphens are dropped,
// small letters made capital. What cannot be a VIN is a fault.Bad that names
// the place.
func ReadVIN(s string) (VIN, error) {
	text := strings.ToUpper(strings.NewReplacer(" ", "", "-", "", "\t", "").Replace(s))
	places := []rune(text)
	sum := 0
	for i, r := range places {
		at := strings.IndexRune(vinAlphabet, r)
		switch {
		case strings.ContainsRune("IOQ", r):
			return VIN{}, fault.New(fault.Bad, "Place %d of the VIN is %c, which no VIN has, to keep it from being read as 1 or 0. Look again.", i+1, r)
		case at < 0:
			return VIN{}, fault.New(fault.Bad, "Place %d of the VIN is %q, which is neither a letter nor a digit. Take it out.", i+1, r)
		case i < len(vinWeights):
			sum += vinValues[at] * vinWeights[i]
		}
	}
	if len(places) != len(vinWeights) {
		return VIN{}, fault.New(fault.Bad, "The VIN has %d characters, not 17. Look for what is missing or doubled, or leave it blank: older vehicles have other numbers, which fit into the text about the vehicle.", len(places))
	}
	return VIN{Text: text, Want: "0123456789X"[sum%11], Given: text[8]}, nil
}
