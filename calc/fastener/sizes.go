package fastener

import (
	"math"
	"strings"

	"lastbolt/quantity"
)

// A metricSize is one row of the general plan of metric threads.
type metricSize struct {
	diameter float64
	coarse   float64 // 0 where there is none
	fine     []float64
}

// metricSizes is the general plan of ISO 261, in mm, as far as a workshop meets
// it (from memory; the coarse pitches are those of ISO 262 and ISO 898-1 too).
var metricSizes = []metricSize{
	{1, 0.25, []float64{0.2}}, {1.1, 0.25, []float64{0.2}}, {1.2, 0.25, []float64{0.2}}, {1.4, 0.3, []float64{0.2}},
	{1.6, 0.35, []float64{0.2}}, {1.8, 0.35, []float64{0.2}}, {2, 0.4, []float64{0.25}}, {2.2, 0.45, []float64{0.25}},
	{2.5, 0.45, []float64{0.35}}, {3, 0.5, []float64{0.35}}, {3.5, 0.6, []float64{0.35}}, {4, 0.7, []float64{0.5}},
	{4.5, 0.75, []float64{0.5}}, {5, 0.8, []float64{0.5}}, {5.5, 0, []float64{0.5}}, {6, 1, []float64{0.75}},
	{7, 1, []float64{0.75}}, {8, 1.25, []float64{1, 0.75}}, {9, 1.25, []float64{1, 0.75}},
	{10, 1.5, []float64{1.25, 1, 0.75}}, {11, 1.5, []float64{1, 0.75}}, {12, 1.75, []float64{1.5, 1.25, 1}},
	{14, 2, []float64{1.5, 1.25, 1}}, {15, 0, []float64{1.5, 1}}, {16, 2, []float64{1.5, 1}}, {17, 0, []float64{1.5, 1}},
	{18, 2.5, []float64{2, 1.5, 1}}, {20, 2.5, []float64{2, 1.5, 1}}, {22, 2.5, []float64{2, 1.5, 1}},
	{24, 3, []float64{2, 1.5, 1}}, {25, 0, []float64{2, 1.5, 1}}, {26, 0, []float64{1.5}}, {27, 3, []float64{2, 1.5, 1}},
	{28, 0, []float64{2, 1.5, 1}}, {30, 3.5, []float64{3, 2, 1.5, 1}}, {32, 0, []float64{2, 1.5}},
	{33, 3.5, []float64{3, 2, 1.5}}, {35, 0, []float64{1.5}}, {36, 4, []float64{3, 2, 1.5}}, {38, 0, []float64{1.5}},
	{39, 4, []float64{3, 2, 1.5}}, {40, 0, []float64{3, 2, 1.5}}, {42, 4.5, []float64{4, 3, 2, 1.5}},
	{45, 4.5, []float64{4, 3, 2, 1.5}}, {48, 5, []float64{4, 3, 2, 1.5}}, {50, 0, []float64{3, 2, 1.5}},
	{52, 5, []float64{4, 3, 2, 1.5}}, {55, 0, []float64{4, 3, 2, 1.5}}, {56, 5.5, []float64{4, 3, 2, 1.5}},
	{58, 0, []float64{4, 3, 2, 1.5}}, {60, 5.5, []float64{4, 3, 2, 1.5}}, {62, 0, []float64{4, 3, 2, 1.5}},
	{64, 6, []float64{4, 3, 2, 1.5}}, {68, 6, []float64{4, 3, 2, 1.5}}, {72, 0, []float64{6, 4, 3, 2, 1.5}},
	{76, 0, []float64{6, 4, 3, 2, 1.5}}, {80, 0, []float64{6, 4, 3, 2, 1.5}}, {90, 0, []float64{6, 4, 3, 2}},
	{100, 0, []float64{6, 4, 3, 2}},
}

// standardPitches are the metric pitches tools exist for (ISO 261), in mm.
var standardPitches = []float64{0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.75, 0.8, 1, 1.25, 1.5, 1.75, 2, 2.5, 3, 3.5, 4, 4.5, 5, 5.5, 6}

// metricPitches gives the pitches of a diameter in mm; coarse is 0 where the
// plan has none.
func metricPitches(diameter float64) (coarse float64, fine []float64, listed bool) {
	for _, row := range metricSizes {
		if same(row.diameter, diameter) {
			return row.coarse, row.fine, true
		}
	}
	return 0, nil, false
}

func nearestMetric(diameter float64) string {
	best := metricSizes[0]
	for _, row := range metricSizes {
		if math.Abs(row.diameter-diameter) < math.Abs(best.diameter-diameter) {
			best = row
		}
	}
	return "M" + number(best.diameter)
}

func pitchList(coarse float64, fine []float64) string {
	var all []string
	if coarse > 0 {
		all = append(all, number(coarse)+" mm (coarse)")
	}
	for _, p := range fine {
		all = append(all, number(p)+" mm")
	}
	return listed(all, "and")
}

// A unifiedRow is one size of the unified series: threads per inch, 0 where the
// series leaves the size out.
type unifiedRow struct {
	size                    string
	inches                  float64
	coarse, fine, extraFine float64
}

// unifiedSizes is the unified coarse, fine and extra-fine series of ASME B1.1
// (from memory).
var unifiedSizes = []unifiedRow{
	{"#0", 0.060, 0, 80, 0}, {"#1", 0.073, 64, 72, 0}, {"#2", 0.086, 56, 64, 0}, {"#3", 0.099, 48, 56, 0},
	{"#4", 0.112, 40, 48, 0}, {"#5", 0.125, 40, 44, 0}, {"#6", 0.138, 32, 40, 0}, {"#8", 0.164, 32, 36, 0},
	{"#10", 0.190, 24, 32, 0}, {"#12", 0.216, 24, 28, 32}, {"1/4", 0.25, 20, 28, 32}, {"5/16", 0.3125, 18, 24, 32},
	{"3/8", 0.375, 16, 24, 32}, {"7/16", 0.4375, 14, 20, 28}, {"1/2", 0.5, 13, 20, 28}, {"9/16", 0.5625, 12, 18, 24},
	{"5/8", 0.625, 11, 18, 24}, {"11/16", 0.6875, 0, 0, 24}, {"3/4", 0.75, 10, 16, 20}, {"13/16", 0.8125, 0, 0, 20},
	{"7/8", 0.875, 9, 14, 20}, {"15/16", 0.9375, 0, 0, 20}, {"1", 1, 8, 12, 20}, {"1 1/16", 1.0625, 0, 0, 18},
	{"1 1/8", 1.125, 7, 12, 18}, {"1 3/16", 1.1875, 0, 0, 18}, {"1 1/4", 1.25, 7, 12, 18}, {"1 5/16", 1.3125, 0, 0, 18},
	{"1 3/8", 1.375, 6, 12, 18}, {"1 7/16", 1.4375, 0, 0, 18}, {"1 1/2", 1.5, 6, 12, 18}, {"1 9/16", 1.5625, 0, 0, 18},
	{"1 5/8", 1.625, 0, 0, 18}, {"1 3/4", 1.75, 5, 0, 0}, {"2", 2, 4.5, 0, 0}, {"2 1/4", 2.25, 4.5, 0, 0},
	{"2 1/2", 2.5, 4, 0, 0}, {"2 3/4", 2.75, 4, 0, 0}, {"3", 3, 4, 0, 0}, {"3 1/4", 3.25, 4, 0, 0},
	{"3 1/2", 3.5, 4, 0, 0}, {"3 3/4", 3.75, 4, 0, 0}, {"4", 4, 4, 0, 0},
}

// constantPitches are threads per inch of the constant-pitch series, and 14 and
// 18, which selected combinations use (1-14 UNS).
var constantPitches = []float64{4, 6, 8, 12, 14, 16, 18, 20, 24, 28, 32}

func unifiedSize(inches float64) (unifiedRow, bool) {
	for _, row := range unifiedSizes {
		if math.Abs(row.inches-inches) < 6e-4 {
			return row, true
		}
	}
	return unifiedRow{}, false
}

func nearestUnified(inches float64) string {
	best := unifiedSizes[0]
	for _, row := range unifiedSizes {
		if math.Abs(row.inches-inches) < math.Abs(best.inches-inches) {
			best = row
		}
	}
	return best.size
}

func (r unifiedRow) pitches() string {
	var all []string
	for _, p := range []struct {
		count float64
		name  string
	}{{r.coarse, "UNC"}, {r.fine, "UNF"}, {r.extraFine, "UNEF"}} {
		if p.count > 0 {
			all = append(all, number(p.count)+" ("+p.name+")")
		}
	}
	return listed(all, "and")
}

// listed joins words with commas and a last word between the last two.
func listed(all []string, word string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " " + word + " " + all[len(all)-1]
}

// Threads lists the coarse and fine threads of a system, small to large.
func Threads(system System) []Thread {
	var all []Thread
	add := func(t Thread, err error) {
		if err != nil {
			panic("fastener: a listed thread is refused: " + err.Error())
		}
		all = append(all, t)
	}
	if system == Metric {
		for _, row := range metricSizes {
			if row.coarse > 0 {
				add(Millimetric(row.diameter, row.coarse))
			}
			for _, p := range row.fine {
				add(Millimetric(row.diameter, p))
			}
		}
		return all
	}
	for _, row := range unifiedSizes {
		for _, count := range []float64{row.coarse, row.fine, row.extraFine} {
			if count > 0 {
				add(perInchThread(row.size, row.inches, count))
			}
		}
	}
	return all
}

// mm makes a length of millimetres; the tables are in them.
func mm(n float64) quantity.Length { return quantity.Millimetres(n) }
