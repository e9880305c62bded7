package fastener

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"lastbolt/pattern"
)

// The spellings of a thread, after tidying: a metric one, a unified one with
// its threads per inch, and a unified one that leaves them to the series.
var (
	metricSpelling  = pattern.Of(`^M ?(\d+(?:\.\d+)?)(?: ?[×X*-] ?(\d+(?:\.\d+)?)| (COARSE|FINE))?(?: ?[×X*] ?(\d+(?:\.\d+)?))?( ?-? ?\d[EGFH](?:\d[EGFH])?| ?-? ?6AZ| ?-?LH)?$`)
	unifiedSpelling = pattern.Of(`^(#|NO\.? ?|N°)?((?:\d+[ -])?\d+/\d+|\d*\.\d+|\d+)(?:"| ?IN)? ?[-×X] ?(\d+(?:\.\d+)?)(?: ?TPI)?(?: ?-?(UNC|UNF|UNEF|UNS|UN|UNRC|UNRF|UNR|\d+UN|UNJC|UNJF|NC|NF))?(?: ?- ?[123][AB])?$`)
	seriesSpelling  = pattern.Of(`^(#|NO\.? ?)?((?:\d+[ -])?\d+/\d+|\d*\.\d+|\d+)(?:"| ?IN)? ?-?(UNC|UNF|UNEF|NC|NF)$`)
)

// maxThreadText is the longest spelling read, in letters.
const maxThreadText = 40

// ParseThread reads a thread as it is written on a drawing, a bag or a tap:
// "M8", "m8x1", "M10 × 1,25", "M8x1.25-6g", "5/16-18 UNC", "1/2-20", "#10-32",
// "1 1/8-7", "1/4 UNF". A metric thread without a pitch is the coarse one. The
// error is a sentence without its full stop: what is wrong and what there is.
func ParseThread(text string) (Thread, error) {
	if utf8.RuneCountInString(text) > maxThreadText {
		return Thread{}, fmt.Errorf("that is too long for a thread; write it as in M8, M8×1 or 5/16-18 UNC")
	}
	tidy := tidyThread(text)
	if m := metricSpelling().FindStringSubmatch(tidy); m != nil {
		return readMetric(m)
	}
	if m := unifiedSpelling().FindStringSubmatch(tidy); m != nil {
		return readUnified(m)
	}
	if m := seriesSpelling().FindStringSubmatch(tidy); m != nil {
		return readSeries(m)
	}
	if strings.HasPrefix(tidy, "G") || strings.HasPrefix(tidy, "R") || strings.Contains(tidy, "NPT") || strings.Contains(tidy, "BS") {
		return Thread{}, fmt.Errorf("%q is a pipe or Whitworth thread, which is not known here; write a metric or unified one", text)
	}
	return Thread{}, fmt.Errorf("%q is not a thread; write it as in M8, M8×1, 5/16-18 UNC or #10-32", text)
}

// tidyThread brings the spellings together: capitals, points, one kind of dash.
func tidyThread(text string) string {
	text = strings.ToUpper(strings.Join(strings.Fields(text), " "))
	text = strings.NewReplacer(",", ".", "–", "-", "−", "-", "‑", "-", "MM", "", "½", " 1/2", "¼", " 1/4", "¾", " 3/4",
		"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "″", `"`, "”", `"`).Replace(text)
	return strings.TrimSpace(strings.Join(strings.Fields(text), " "))
}

func readMetric(m []string) (Thread, error) {
	diameter, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return Thread{}, fmt.Errorf("%q is not a diameter", m[1])
	}
	coarse, fine, listed := metricPitches(diameter)
	if m[2] != "" {
		pitch, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			return Thread{}, fmt.Errorf("%q is not a pitch", m[2])
		}
		return Millimetric(diameter, pitch)
	}
	switch {
	case !listed:
		if !(diameter > 0) {
			return Thread{}, fmt.Errorf("a thread needs a diameter above nothing")
		}
		return Thread{}, fmt.Errorf("there is no thread M%s; the nearest is %s", m[1], nearestMetric(diameter))
	case m[3] == "FINE" && len(fine) == 1:
		return Millimetric(diameter, fine[0])
	case m[3] == "FINE":
		return Thread{}, fmt.Errorf("as a fine thread M%s is not one only; it has %s", m[1], pitchList(coarse, fine))
	case coarse == 0:
		return Thread{}, fmt.Errorf("there is no coarse M%s; it has %s", m[1], pitchList(coarse, fine))
	}
	return Millimetric(diameter, coarse)
}

func readUnified(m []string) (Thread, error) {
	count, err := strconv.ParseFloat(m[3], 64)
	if err != nil || count == 0 {
		return Thread{}, fmt.Errorf("%q is not a number of threads per inch", m[3])
	}
	size, diameter, err := unifiedDiameter(m[1], m[2], count)
	if err != nil {
		return Thread{}, err
	}
	t, err := perInchThread(size, diameter, count)
	if err != nil {
		return t, err
	}
	want := map[string]Series{"UNC": Coarse, "UNRC": Coarse, "UNJC": Coarse, "NC": Coarse,
		"UNF": Fine, "UNRF": Fine, "UNJF": Fine, "NF": Fine}[m[4]]
	if want != "" && want != t.Series {
		row, _ := unifiedSize(diameter)
		return Thread{}, fmt.Errorf("%s %s does not have %s threads per inch; %s has %s", row.size, m[4], m[3], row.size, row.pitches())
	}
	return t, nil
}

func readSeries(m []string) (Thread, error) {
	_, diameter, err := unifiedDiameter(m[1], m[2], 0)
	if err != nil {
		return Thread{}, err
	}
	row, listed := unifiedSize(diameter)
	if !listed {
		return Thread{}, fmt.Errorf("there is no unified thread of %s in; the nearest is %s", number(diameter), nearestUnified(diameter))
	}
	count := map[string]float64{"UNC": row.coarse, "NC": row.coarse, "UNF": row.fine, "NF": row.fine, "UNEF": row.extraFine}[m[3]]
	if count == 0 {
		return Thread{}, fmt.Errorf("there is no %s %s; %s has %s", row.size, m[3], row.size, row.pitches())
	}
	return perInchThread(row.size, diameter, count)
}

// unifiedDiameter reads a size in inches or a numbered one. A bare whole number
// is a numbered size when that size has so many threads per inch ("10-32"), and
// inches otherwise ("1-8").
func unifiedDiameter(mark, text string, count float64) (size string, inches float64, err error) {
	if whole, bad := strconv.Atoi(text); bad == nil && whole >= 0 && whole <= 12 {
		size, inches = "#"+text, 0.060+0.013*float64(whole)
		row, listed := unifiedSize(inches)
		if mark != "" || listed && count > 0 && anySame(count, []float64{row.coarse, row.fine, row.extraFine}) {
			return size, inches, nil
		}
	}
	if mark != "" {
		return "", 0, fmt.Errorf("%s%s is not a numbered size; they are #0 to #12", mark, text)
	}
	inches = 0
	for part := range strings.FieldsSeq(strings.ReplaceAll(text, "-", " ")) {
		top, bottom, fraction := strings.Cut(part, "/")
		n, err := strconv.ParseFloat(top, 64)
		if err != nil {
			return "", 0, fmt.Errorf("%q is not a size in inches", text)
		}
		if fraction {
			d, err := strconv.ParseFloat(bottom, 64)
			if err != nil || d == 0 {
				return "", 0, fmt.Errorf("%q is not a size in inches", text)
			}
			n /= d
		}
		inches += n
	}
	if inches <= 0 {
		return "", 0, fmt.Errorf("a thread needs a diameter above nothing")
	}
	return text, inches, nil
}
