package seal

import (
	_ "embed"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"lastbolt/quantity"
)

// The inch sizes. Inside diameters and tolerances of AS568 as a public listing
// gives them, its rows -284, -319 and -377 mended: they break the step of their
// neighbours, and their inch and millimetre columns contradict each other.
//
//go:embed as568.csv
var inchTable string

// inchRings reads the table of inch sizes once.
var inchRings = sync.OnceValue(func() []Ring {
	var rings []Ring
	for line := range strings.Lines(inchTable) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		fields := strings.Split(line, ",")
		var thou [4]quantity.Length
		for i := range thou {
			n, err := strconv.Atoi(fields[i+1])
			if err != nil {
				panic("seal: the table of inch sizes: " + err.Error())
			}
			thou[i] = quantity.Length(float64(n) * 25.4 / 1e6)
		}
		standard := AS568
		if fields[0][0] == '9' {
			standard = Boss
		}
		rings = append(rings, Ring{Name: "AS568-" + fields[0], Standard: standard,
			Inside: Toleranced{thou[0], thou[1]}, Section: Toleranced{thou[2], thou[3]}})
	}
	return rings
})

// The general metric sizes of ISO 3601-1: inside diameters in millimetres and
// the sections each is made in, as the public listing of its equal GB/T
// 3452.1-2005, series G, has them.
var isoSizes = []struct {
	sections []float64
	insides  []float64
}{
	{[]float64{1.8}, []float64{1.8, 2, 2.24, 2.5, 2.8, 3.15, 3.55, 3.75, 4, 4.5, 4.87, 5, 5.15, 5.3, 5.6, 6, 6.3, 6.7, 6.9}},
	{[]float64{1.8, 2.65}, []float64{7.1, 7.5, 8, 8.5, 8.75, 9, 9.5, 10, 10.6, 11.2, 11.8, 12.5, 13.2, 14, 15, 16, 17}},
	{[]float64{1.8, 2.65, 3.55}, []float64{18, 19, 20, 21, 22.4, 23.6, 25, 25.8, 26.5, 28, 30}},
	{[]float64{2.65, 3.55, 5.3}, []float64{31.5, 32.5, 33.5, 34.5, 35.5, 36.5, 37.5, 38.7}},
	{[]float64{2.65, 3.55, 5.3, 7}, []float64{40, 41.2, 42.5, 43.7, 45, 46.2, 47.5, 48.7, 50}},
	{[]float64{3.55, 5.3, 7}, []float64{51.5, 53, 54.5, 56, 58, 60, 61.5, 63, 65, 67, 69, 71, 73, 75, 77.5, 80, 85, 90, 95, 100, 106, 109, 112}},
	{[]float64{3.55, 5.3}, []float64{82.5, 87.5, 92.5, 97.5, 103}},
	{[]float64{5.3, 7}, []float64{115, 118, 122, 125, 128, 132, 136, 140, 145, 150, 155, 160, 165, 170, 175, 180, 185, 190, 195,
		200, 206, 212, 218, 224, 230, 236, 243, 250, 258, 265, 272, 280, 290, 300, 307, 315}},
	{[]float64{7}, []float64{325, 335, 345, 355, 365, 375, 387, 400}},
}

// The sizes of JIS B 2401, series P (moving and static) and G (static): inside
// diameters and sections in millimetres as a public listing has them. They are
// common on vehicles made in Japan. Their tolerances are here those of ISO
// 3601-1 class B.
var jisSizes = []struct {
	section float64
	names   string
	insides []float64
}{
	{1.9, "P3 P4 P5 P6 P7 P8 P9 P10", []float64{2.8, 3.8, 4.8, 5.8, 6.8, 7.8, 8.8, 9.8}},
	{2.4, "P10A P11 P11.2 P12 P14 P16 P18 P20 P22", []float64{9.8, 10.8, 11, 11.8, 13.8, 15.8, 17.8, 19.8, 21.8}},
	{3.5, "P22A P24 P25 P26 P28 P29 P30 P32 P34 P36 P38 P40",
		[]float64{21.8, 23.8, 24.4, 25.8, 27.8, 28.8, 29.8, 31.5, 33.5, 35.5, 37.5, 39.5}},
	{3.5, "G25 G30 G35 G40 G45 G50 G55 G60", []float64{24.4, 29.4, 34.4, 39.4, 44.4, 49.4, 54.4, 59.4}},
	{5.7, "G65 G70 G75 G80 G85 G90 G95 G100", []float64{64.4, 69.4, 74.4, 79.4, 84.4, 89.4, 94.4, 99.4}},
}

// Trade sizes: sections sold in assortments and the inside diameters of each,
// in whole or half millimetres. Common practice, no standard.
var tradeSizes = []struct{ section, from, to, step float64 }{
	{1, 2, 20, 0.5}, {1.5, 2, 30, 0.5}, {2, 2, 12, 0.5}, {2, 13, 60, 1}, {2.5, 5, 70, 1}, {3, 6, 100, 1},
	{3.5, 10, 100, 1}, {4, 10, 120, 1}, {5, 20, 150, 1}, {6, 30, 200, 2},
}

// ClassB gives the tolerance of the inside diameter after ISO 3601-1 class B:
// ± (0.009·d^0.95 + 0.11) mm, d in millimetres. The source prints the exponent
// 0.93, but all eight values it tabulates fit 0.95 alone.
func ClassB(inside quantity.Length) quantity.Length {
	return quantity.Length(0.009*math.Pow(mm(inside), 0.95)+0.11) * millimetre
}

// SectionTolerance gives the tolerance of the section after ISO 3601-1, by its
// bands up to 8.4 mm; thicker cord is taken as ± 2 % (estimate).
func SectionTolerance(section quantity.Length) quantity.Length {
	for _, band := range []struct{ to, tolerance float64 }{{2.25, 0.08}, {3.15, 0.09}, {4.5, 0.10}, {6.3, 0.13}, {8.4, 0.15}} {
		if mm(section) <= band.to+1e-9 {
			return quantity.Length(band.tolerance) * millimetre
		}
	}
	return section * 0.02
}

// metricRing makes a ring from millimetres with the tolerances of ISO 3601-1
// class B.
func metricRing(standard Standard, name string, inside, section float64) Ring {
	id, cs := quantity.Length(inside)*millimetre, quantity.Length(section)*millimetre
	if name == "" {
		name = fmt.Sprintf("%s %g × %g", standard, inside, section)
		if standard == NoSize || standard == Trade {
			name = fmt.Sprintf("%g × %g", inside, section)
		}
	}
	return Ring{Name: name, Standard: standard, Inside: Toleranced{id, ClassB(id)}, Section: Toleranced{cs, SectionTolerance(cs)}}
}

// allRings gathers the tables once.
var allRings = sync.OnceValue(func() []Ring {
	rings := append([]Ring{}, inchRings()...)
	for _, group := range isoSizes {
		for _, inside := range group.insides {
			for _, section := range group.sections {
				rings = append(rings, metricRing(ISO, "", inside, section))
			}
		}
	}
	for _, group := range jisSizes {
		for i, name := range strings.Fields(group.names) {
			rings = append(rings, metricRing(JIS, "JIS "+name, group.insides[i], group.section))
		}
	}
	for _, group := range tradeSizes {
		for inside := group.from; inside <= group.to; inside += group.step {
			rings = append(rings, metricRing(Trade, "", inside, group.section))
		}
	}
	sortRings(rings)
	return rings
})

// jisNamed finds a ring of JIS B 2401 by its name: "P22A".
func jisNamed(name string) (Ring, bool) {
	for _, r := range allRings() {
		if r.Standard == JIS && r.Name == "JIS "+name {
			return r, true
		}
	}
	return Ring{}, false
}
