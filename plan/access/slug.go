package access

import (
	"strings"
	"unicode"
)

// slug makes a name into an id: letters of any script in lower case and
// digits, joined by hyphens. It is "" when the name has neither.
func slug(name string) string {
	var b strings.Builder
	gap := false
	n := 0
	for _, r := range name {
		r = unicode.ToLower(r)
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) {
			gap = true
			continue
		}
		// A mark belongs to the letter before it; alone it is an emoji's
		// variation selector or a stray.
		if unicode.IsMark(r) && (gap || n == 0) || r >= 0xFE00 && r <= 0xFE0F {
			continue
		}
		if gap && n > 0 {
			b.WriteByte('-')
		}
		gap = false
		b.WriteRune(r)
		if n++; n == 40 {
			break
		}
	}
	return b.String()
}

// validID reports a usable id: up to 80 letters, digits, marks, hyphens,
// underscores and points, with a letter or digit in front.
func validID(id string) bool {
	n := 0
	for i, r := range id {
		if n++; n > 80 {
			return false
		}
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			continue
		}
		if i == 0 || !unicode.IsMark(r) && !strings.ContainsRune("-_.", r) {
			return false
		}
	}
	return n > 0
}
