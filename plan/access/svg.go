package access

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// An svg collects a drawing. Colours are presentation attributes, which any
// style sheet of the page overrules by the classes:
//
//	map-ground, map-box, map-box map-condition, map-soft, map-target,
//	map-chosen, map-line, map-text, map-small, map-area
type svg struct {
	b      strings.Builder
	linked bool // its boxes lead somewhere
}

const (
	inkColour    = "#1b2428"
	softColour   = "#55646b"
	cardColour   = "#fbfaf5"
	groundColour = "#efece3"
	lineColour   = "#8b918d" // 3:1 on the ground, for boxes not in the plan
	fontFamily   = "Atkinson Hyperlegible Next, system-ui, sans-serif"
)

// px writes a length with at most one decimal.
func px(f float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(f, 'f', 1, 64), ".0")
}

func (s *svg) printf(format string, args ...any) { fmt.Fprintf(&s.b, format, args...) }

// open starts the drawing; width and height are in px. One with links is a
// group: what is inside a picture cannot be reached by those who do not see it.
func (s *svg) open(width, height float64, title, about string) {
	role := "img"
	if s.linked {
		role = "group"
	}
	s.printf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" role="%s" class="map-drawing" font-family="%s">`, px(width), px(height), px(width), px(height), role, fontFamily)
	s.printf("\n<title>%s</title>\n<desc>%s</desc>\n", xmlText(title), xmlText(about))
	s.printf(`<rect class="map-ground" width="%s" height="%s" fill="%s"/>`+"\n", px(width), px(height), groundColour)
}

func (s *svg) close() []byte {
	s.b.WriteString("</svg>\n")
	return []byte(s.b.String())
}

// text writes one line; anchor is start, middle or end.
func (s *svg) text(class string, x, y, size float64, weight int, anchor, colour, text string) {
	s.printf(`<text class="%s" x="%s" y="%s" font-size="%s" font-weight="%d" text-anchor="%s" fill="%s">%s</text>`+"\n", class, px(x), px(y), px(size), weight, anchor, colour, xmlText(text))
}

// line draws a path of a link, with the pattern of its kind.
func (s *svg) line(d string, kind linkKind, strong bool, title string) {
	colour, width := softColour, 1.2
	class := "map-line"
	if strong {
		colour, width, class = inkColour, 2.2, "map-line map-chosen"
	}
	dash := ""
	switch kind {
	case sometimes:
		dash = ` stroke-dasharray="7 5"`
	case stillFitted:
		dash = ` stroke-dasharray="1.5 4.5" stroke-linecap="round"`
	}
	s.printf(`<path class="%s" d="%s" fill="none" stroke="%s" stroke-width="%s"%s>`, class, d, colour, px(width), dash)
	s.printf("<title>%s</title></path>\n", xmlText(title))
}

// arrow draws a small filled head that ends at x, y and points right or down.
func (s *svg) arrow(x, y float64, down, strong bool) {
	colour := softColour
	if strong {
		colour = inkColour
	}
	d := fmt.Sprintf("M%s %sl-7 -4v8z", px(x), px(y))
	if down {
		d = fmt.Sprintf("M%s %sl-4 -7h8z", px(x), px(y))
	}
	s.printf(`<path class="map-head" d="%s" fill="%s"/>`+"\n", d, colour)
}

func xmlText(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '&':
			b.WriteString("&amp;")
		case r == '<':
			b.WriteString("&lt;")
		case r == '>':
			b.WriteString("&gt;")
		case r == '"':
			b.WriteString("&#34;")
		case r < ' ' && r != '\t' && r != '\n' || r == 0xfffe || r == 0xffff:
			b.WriteByte(' ')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// textWidth estimates a text's width in ems: the drawing cannot measure type.
// The figures are those of a wide sans serif in bold, so that boxes are large
// enough in whatever face a viewer has.
func textWidth(s string) float64 {
	w := 0.0
	for _, r := range s {
		switch {
		case unicode.IsMark(r) || r == 0x200d || r >= 0xfe00 && r <= 0xfe0f:
		case r >= 0x1100 && (unicode.Is(unicode.Han, r) || unicode.Is(unicode.Hiragana, r) || unicode.Is(unicode.Katakana, r) || unicode.Is(unicode.Hangul, r) || r >= 0x1f000):
			w += 1.05
		case strings.ContainsRune("iljtfr.,:;|!'I ()[]", r):
			w += 0.40
		case strings.ContainsRune("mwMW@%—", r):
			w += 1.0
		case unicode.IsUpper(r) || unicode.IsDigit(r):
			w += 0.74
		default:
			w += 0.64
		}
	}
	return w
}

// wrap breaks a text into at most so many lines of a width in ems, the last
// shortened with … when it does not fit.
func wrap(text string, width float64, lines int) []string {
	var out []string
	line := ""
	for _, wd := range strings.Fields(text) {
		for _, part := range breakWord(wd, width) {
			switch joined := line + " " + part; {
			case line == "":
				line = part
			case textWidth(joined) <= width:
				line = joined
			default:
				out = append(out, line)
				line = part
			}
		}
	}
	if line != "" {
		out = append(out, line)
	}
	if len(out) > lines {
		last := []rune(out[lines-1])
		for len(last) > 0 && textWidth(string(last)+"…") > width {
			last = last[:len(last)-1]
		}
		out = append(out[:lines-1:lines-1], strings.TrimRight(string(last), " ,")+"…")
	}
	return out
}

// shorten is wrap to one line.
func shorten(text string, width float64) string {
	return strings.Join(wrap(text, width, 1), "")
}

// breakWord cuts a word that is wider than a line.
func breakWord(word string, width float64) []string {
	if textWidth(word) <= width {
		return []string{word}
	}
	var out []string
	part := ""
	for _, r := range word {
		if textWidth(part+string(r)) > width && part != "" {
			out = append(out, part)
			part = ""
		}
		part += string(r)
	}
	return append(out, part)
}
