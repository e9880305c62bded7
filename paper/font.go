package paper

import (
	_ "embed"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font/sfnt"
)

// The type is Atkinson Hyperlegible Next; its licence (SIL OFL 1.1) lies beside
// it.
var (
	//go:embed fonts/regular.ttf
	regularTTF []byte
	//go:embed fonts/bold.ttf
	boldTTF []byte
)

// missing stands for a sign that the type does not have. It is one of the
// type's own, so that it can be seen, searched and copied.
const missing = '◊'

// letters are the signs both weights have.
var letters = sync.OnceValue(func() map[rune]bool {
	has := map[rune]bool{}
	regular, err1 := sfnt.Parse(regularTTF)
	bold, err2 := sfnt.Parse(boldTTF)
	if err1 != nil || err2 != nil {
		panic("paper: the built-in type cannot be read") // a broken build
	}
	var buf sfnt.Buffer
	for r := rune(' '); r < 0x3000; r++ {
		x, err1 := regular.GlyphIndex(&buf, r)
		y, err2 := bold.GlyphIndex(&buf, r)
		has[r] = x != 0 && y != 0 && err1 == nil && err2 == nil
	}
	return has
})

// likeness are signs that have a plain twin in the type.
var likeness = map[rune]rune{
	'\u202f': ' ', '\u2002': ' ', '\u2003': ' ', '\u2007': ' ', '\u3000': ' ', '\t': ' ', '\r': ' ',
	'\u2010': '-', '\u2011': '-', '\u2012': '–', '\u2015': '—', '′': '\'', '″': '"', 'Ω': 'Ω', 'µ': 'μ',
	'⋅': '·', '●': '•', '\u02bc': '’',
}

// printable makes a text that the type can set: one sign for each it lacks,
// nothing for signs that cannot be seen (joiners, directions, skin tones).
// Lines stay lines. It reports whether a sign was missing.
func printable(s string) (text string, lacking bool) {
	has := letters()
	var out strings.Builder
	for _, r := range s {
		if twin, ok := likeness[r]; ok && (!has[r] || twin == ' ') {
			r = twin
		}
		switch {
		case r == '\n' || has[r] && r != missing:
			out.WriteRune(r)
		case r == missing:
			out.WriteRune(r)
		case unseen(r):
		default:
			out.WriteRune(missing)
			lacking = true
		}
	}
	return out.String(), lacking
}

func unseen(r rune) bool {
	return unicode.In(r, unicode.Cf, unicode.Cc, unicode.Mn, unicode.Variation_Selector) || r >= 0x1f3fb && r <= 0x1f3ff
}
