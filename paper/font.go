package paper

import (
	_ "embed"
	"iter"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font/sfnt"
)

// The type is Atkinson Hyperlegible Next (SIL OFL 1.1). It has no Greek, no
// Cyrillic and few signs of arithmetic: those are set in a part of DejaVu Sans.
// Both licences lie beside them.
var (
	//go:embed fonts/regular.ttf
	regularTTF []byte
	//go:embed fonts/bold.ttf
	boldTTF []byte
	//go:embed fonts/signs.ttf
	signsTTF []byte
	//go:embed fonts/signs-bold.ttf
	signsBoldTTF []byte
)

// The names the two are known by within a document.
const (
	letterType = "page"
	signType   = "signs"
)

// missing stands for a sign that the type does not have. It is one of the
// type's own, so that it can be seen, searched and copied.
const missing = '◊'

// letters are the signs both weights of the type have; signs those of the type
// that stands in.
var (
	letters = sync.OnceValue(func() map[rune]bool { return inBoth(regularTTF, boldTTF) })
	signs   = sync.OnceValue(func() map[rune]bool { return inBoth(signsTTF, signsBoldTTF) })
)

func inBoth(one, other []byte) map[rune]bool {
	has := map[rune]bool{}
	a, err1 := sfnt.Parse(one)
	b, err2 := sfnt.Parse(other)
	if err1 != nil || err2 != nil {
		panic("paper: the built-in type cannot be read") // a broken build
	}
	var buf sfnt.Buffer
	for r := rune(' '); r < 0x3000; r++ {
		x, err1 := a.GlyphIndex(&buf, r)
		y, err2 := b.GlyphIndex(&buf, r)
		if x != 0 && y != 0 && err1 == nil && err2 == nil {
			has[r] = true
		}
	}
	return has
}

// runs yields the parts of a printable text that are set in one type each.
func runs(text string) iter.Seq2[string, string] {
	return func(yield func(family, part string) bool) {
		has, start, family := letters(), 0, letterType
		for i, r := range text {
			now := letterType
			if !has[r] {
				now = signType
			}
			if now != family {
				if start < i && !yield(family, text[start:i]) {
					return
				}
				start, family = i, now
			}
		}
		if start < len(text) {
			yield(family, text[start:])
		}
	}
}

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
	has, stands := letters(), signs()
	var out strings.Builder
	for _, r := range s {
		if twin, ok := likeness[r]; ok && (!has[r] || twin == ' ') {
			r = twin
		}
		switch {
		case r == '\n' || (has[r] || stands[r]) && r != missing:
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
