package draw

import (
	"strings"
	"unicode"
)

// Advance widths in thousandths of the type size, read from Atkinson
// Hyperlegible Next 400 and 700: printable ASCII, then U+00A0 to U+00FF.
var (
	asciiRegular = [95]int{280, 286, 301, 651, 592, 919, 731, 160, 299, 299, 485, 606, 210, 362, 210, 387, 632, 632, 632, 632, 632, 632, 632, 632, 632, 632, 210, 210, 553, 628, 553, 480, 778, 626, 613, 645, 669, 569, 552, 694, 694, 392, 512, 631, 541, 824, 693, 714, 592, 724, 614, 592, 558, 690, 593, 856, 623, 575, 607, 317, 387, 344, 552, 372, 243, 525, 566, 485, 564, 538, 314, 558, 550, 252, 245, 492, 262, 845, 550, 548, 566, 574, 349, 471, 326, 540, 461, 684, 481, 449, 460, 344, 237, 344, 555}
	asciiBold    = [95]int{312, 303, 390, 765, 610, 969, 725, 210, 335, 335, 485, 595, 271, 373, 272, 440, 632, 632, 632, 632, 632, 632, 632, 632, 632, 632, 272, 272, 569, 612, 569, 547, 781, 678, 643, 658, 688, 597, 566, 718, 701, 424, 561, 663, 552, 858, 717, 746, 629, 756, 650, 610, 607, 686, 644, 886, 685, 650, 618, 340, 440, 344, 582, 400, 288, 552, 596, 510, 596, 563, 365, 593, 571, 300, 259, 555, 318, 882, 571, 576, 596, 599, 376, 508, 376, 567, 530, 740, 539, 521, 505, 381, 254, 381, 537}
	latinRegular = [96]int{280, 286, 485, 610, 580, 575, 237, 528, 368, 798, 371, 562, 602, 0, 798, 356, 352, 579, 382, 383, 243, 0, 509, 240, 265, 256, 380, 562, 816, 820, 867, 450, 626, 626, 626, 626, 626, 626, 891, 645, 569, 569, 569, 569, 392, 392, 392, 392, 689, 693, 714, 714, 714, 714, 714, 532, 714, 690, 690, 690, 690, 575, 592, 582, 525, 525, 525, 525, 525, 525, 866, 485, 538, 538, 538, 538, 252, 252, 252, 266, 565, 550, 548, 548, 548, 548, 548, 606, 548, 540, 540, 540, 540, 449, 566, 449}
	latinBold    = [96]int{312, 303, 510, 634, 593, 650, 254, 555, 432, 798, 390, 649, 615, 0, 798, 383, 394, 611, 402, 407, 288, 0, 521, 294, 297, 284, 403, 649, 846, 852, 921, 526, 678, 678, 678, 678, 678, 678, 966, 658, 597, 597, 597, 597, 424, 424, 424, 424, 708, 717, 746, 746, 746, 746, 746, 536, 746, 686, 686, 686, 686, 650, 629, 621, 552, 552, 552, 552, 552, 552, 878, 510, 563, 563, 563, 563, 300, 300, 300, 314, 588, 571, 576, 576, 576, 576, 576, 595, 576, 567, 567, 567, 567, 521, 596, 521}
)

// Widths for characters outside the tables, on the wide side because they come
// from a fallback font: the widest of the latin-ext set, and a full-width sign.
const (
	otherWidth = 985
	fullWidth  = 1000
	emojiWidth = 1400
)

// Height of a line of text above and below its baseline, in type sizes: the
// tallest letters with an accent, and the deepest tails.
const (
	textAbove = 0.82
	textBelow = 0.24
)

// TextWidth is the width of s set in the given size, in the unit of size.
func TextWidth(s string, size float64, bold bool) float64 {
	total := 0
	for _, r := range s {
		total += advance(r, bold)
	}
	return float64(total) * size / 1000
}

func advance(r rune, bold bool) int {
	ascii, latin := &asciiRegular, &latinRegular
	if bold {
		ascii, latin = &asciiBold, &latinBold
	}
	switch {
	case r >= 32 && r < 127:
		return ascii[r-32]
	case r >= 0xA0 && r <= 0xFF:
		return latin[r-0xA0]
	case r == '…' && bold:
		return 780
	case r == '…':
		return 670
	case joins(r):
		return 0
	case r >= 0x1F000:
		return emojiWidth
	case r >= 0x2E80:
		return fullWidth
	}
	return otherWidth
}

// joins reports whether r belongs to the character before it.
func joins(r rune) bool {
	return unicode.In(r, unicode.Mn, unicode.Me) || r == '\u200d' || r >= 0xFE00 && r <= 0xFE0F || r >= 0x1F3FB && r <= 0x1F3FF
}

// oneLine takes line breaks, control characters and runs of spaces out of a
// name somebody typed.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r):
			return ' '
		case r == unicode.ReplacementChar || unicode.Is(unicode.Cf, r) && r != '\u200d':
			return -1 // also direction overrides, which would turn the rest of the line
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

// shorten cuts s to at most the given width and ends it with an ellipsis. It
// never parts a character from its accents. The result is empty when fewer
// than least characters would be left.
func shorten(s string, size float64, bold bool, width float64, least int) string {
	if TextWidth(s, size, bold) <= width {
		return s
	}
	room := width - TextWidth("…", size, bold)
	cut, count, used := 0, 0, 0.0
	joined := false
	for i, r := range s {
		used += float64(advance(r, bold)) * size / 1000
		if used > room {
			break
		}
		if !joins(r) && !joined {
			// everything before i is whole
			cut = i
			count++
		}
		joined = r == '\u200d'
	}
	if count-1 < least {
		return ""
	}
	return strings.TrimRight(s[:cut], " ,.-") + "…"
}
