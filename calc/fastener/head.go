package fastener

import (
	"fmt"

	"lastbolt/quantity"
)

// A headRow is what the standards give for one metric size, in mm; 0 is none.
type headRow struct {
	size                            float64
	iso, din, japan, smallF, flange float64 // across flats of hexagon heads
	socketHead, key                 float64 // ISO 4762: head diameter, key
	hexFace, socketFace, flangeFace float64 // least diameter of the bearing face
	fine, medium, coarse            float64 // clearance holes
}

// headTable: across flats of ISO 4014/4017, older DIN 931/933, the small series
// usual on Japanese vehicles, small flange heads (ISO 4162) and full ones (ISO
// 15071, DIN 6921); ISO 4762; bearing faces of ISO 4014 grade A, ISO 4762 and DIN
// 6921; holes of ISO 273. Holes M5 to M16 and hexagons to M12 were seen in
// published tables, the rest is from memory.
var headTable = []headRow{
	{1.6, 3.2, 3.2, 0, 0, 0, 3, 1.5, 2.27, 2.72, 0, 1.7, 1.8, 2},
	{2, 4, 4, 0, 0, 0, 3.8, 1.5, 3.07, 3.48, 0, 2.2, 2.4, 2.6},
	{2.5, 5, 5, 0, 0, 0, 4.5, 2, 4.07, 4.18, 0, 2.7, 2.9, 3.1},
	{3, 5.5, 5.5, 5.5, 0, 0, 5.5, 2.5, 4.57, 5.07, 0, 3.2, 3.4, 3.6},
	{4, 7, 7, 7, 0, 0, 7, 3, 5.88, 6.53, 0, 4.3, 4.5, 4.8},
	{5, 8, 8, 8, 7, 8, 8.5, 4, 6.88, 8.03, 9.8, 5.3, 5.5, 5.8},
	{6, 10, 10, 10, 8, 10, 10, 5, 8.88, 9.38, 12.2, 6.4, 6.6, 7},
	{7, 11, 11, 0, 0, 0, 0, 0, 9.63, 0, 0, 7.4, 7.6, 8},
	{8, 13, 13, 12, 10, 13, 13, 6, 11.63, 12.33, 15.8, 8.4, 9, 10},
	{10, 16, 17, 14, 13, 15, 16, 8, 14.63, 15.33, 19.6, 10.5, 11, 12},
	{12, 18, 19, 17, 15, 18, 18, 10, 16.63, 17.23, 23.8, 13, 13.5, 14.5},
	{14, 21, 22, 19, 18, 21, 21, 12, 19.64, 20.17, 27.6, 15, 15.5, 16.5},
	{16, 24, 24, 22, 21, 24, 24, 14, 22.49, 23.17, 31.9, 17, 17.5, 18.5},
	{18, 27, 27, 24, 0, 0, 27, 14, 25.34, 25.87, 0, 19, 20, 21},
	{20, 30, 30, 27, 0, 30, 30, 17, 28.19, 28.87, 39.9, 21, 22, 24},
	{22, 34, 32, 30, 0, 0, 33, 17, 31.71, 31.81, 0, 23, 24, 26},
	{24, 36, 36, 32, 0, 0, 36, 19, 33.61, 34.81, 0, 25, 26, 28},
	{27, 41, 41, 36, 0, 0, 40, 19, 38, 38.61, 0, 28, 30, 32},
	{30, 46, 46, 41, 0, 0, 45, 22, 42.75, 43.61, 0, 31, 33, 35},
	{33, 50, 50, 0, 0, 0, 50, 24, 46.55, 48.61, 0, 34, 36, 38},
	{36, 55, 55, 0, 0, 0, 54, 27, 51.11, 52.54, 0, 37, 39, 42},
	{39, 60, 60, 0, 0, 0, 0, 0, 55.86, 0, 0, 40, 42, 45},
	{42, 65, 65, 0, 0, 0, 63, 32, 59.95, 61.34, 0, 43, 45, 48},
	{45, 70, 70, 0, 0, 0, 0, 0, 64.7, 0, 0, 46, 48, 52},
	{48, 75, 75, 0, 0, 0, 72, 36, 69.45, 70.34, 0, 50, 52, 56},
	{52, 80, 80, 0, 0, 0, 0, 0, 74.2, 0, 0, 54, 56, 62},
	{56, 85, 85, 0, 0, 0, 84, 41, 78.66, 82.26, 0, 58, 62, 66},
	{64, 95, 95, 0, 0, 0, 96, 46, 88.16, 94.26, 0, 66, 70, 74},
}

// inchHeads are the across-flats of hexagon cap screws (ASME B18.2.1, from
// memory), by nominal size, both in inches.
var inchHeads = map[float64]float64{
	0.25: 7. / 16, 0.3125: 1. / 2, 0.375: 9. / 16, 0.4375: 5. / 8, 0.5: 3. / 4, 0.5625: 13. / 16, 0.625: 15. / 16,
	0.75: 1.125, 0.875: 1.3125, 1: 1.5, 1.125: 1.6875, 1.25: 1.875, 1.375: 2.0625, 1.5: 2.25,
}

func headOf(t Thread) (headRow, bool) {
	if t.System == Metric {
		for _, row := range headTable {
			if same(row.size, t.Major.In(quantity.Millimetre)) {
				return row, true
			}
		}
	}
	return headRow{}, false
}

// A Head is a kind of bolt head or nut by the face it bears with.
type Head string

// The heads.
const (
	Hex    Head = "hex"
	Socket Head = "socket"
	Flange Head = "flange"
)

// FrictionDiameter is the mean diameter of the ring that rubs under a head: half
// the sum of the bearing face and the hole, as VDI 2230 has it. Sizes outside the
// table take 1.45·d for the face (1.9·d for a flange) and 1.1·d for the hole.
func FrictionDiameter(t Thread, head Head) quantity.Length {
	face, hole := BearingFace(t, head), ClearanceHole(t, "medium")
	return (face + hole) / 2
}

// BearingFace is the outside diameter of the ring under a head.
func BearingFace(t Thread, head Head) quantity.Length {
	row, ok := headOf(t)
	face := map[Head]float64{Hex: row.hexFace, Socket: row.socketFace, Flange: row.flangeFace}[head]
	if ok && face > 0 {
		return mm(face)
	}
	if head == Flange {
		return 1.9 * t.Major
	}
	return 1.45 * t.Major
}

// ClearanceHole is the hole a bolt passes through: fit is "fine", "medium" or
// "coarse" of ISO 273; 1.05, 1.1 and 1.2 times the diameter outside its table.
func ClearanceHole(t Thread, fit string) quantity.Length {
	row, ok := headOf(t)
	switch {
	case ok && fit == "fine":
		return mm(row.fine)
	case ok && fit == "coarse":
		return mm(row.coarse)
	case ok:
		return mm(row.medium)
	}
	return t.Major * quantity.Length(map[string]float64{"fine": 1.05, "medium": 1.1, "coarse": 1.2}[fit])
}

// A HeadSize is one tool size that bolts of a thread are found with.
type HeadSize struct {
	Flats quantity.Length // across flats, or the key of a socket head
	Kind  string          // "hexagon", "older hexagon", "small hexagon", "small flange", "flange"
}

// HeadSizes lists the hexagons bolts of a thread are found with.
func HeadSizes(t Thread) []HeadSize {
	var all []HeadSize
	add := func(flats float64, kind string) {
		if flats == 0 {
			return
		}
		for _, h := range all {
			if same(h.Flats.In(quantity.Millimetre), flats) {
				return
			}
		}
		all = append(all, HeadSize{mm(flats), kind})
	}
	if t.System == Unified {
		add(inchHeads[t.Major.In(quantity.Inch)]*25.4, "hexagon")
		return all
	}
	row, _ := headOf(t)
	add(row.iso, "hexagon")
	add(row.din, "older hexagon")
	add(row.japan, "small hexagon")
	add(row.smallF, "small flange")
	add(row.flange, "flange")
	return all
}

// headsText lists head sizes: "13 mm, 12 mm (small hexagon)".
func headsText(t Thread) string {
	var all []string
	for _, h := range HeadSizes(t) {
		text := lengthText(h.Flats)
		if t.System == Unified {
			text = h.Flats.Format(quantity.Inch, 4)
		}
		if h.Kind != "hexagon" {
			text += fmt.Sprintf(" (%s)", h.Kind)
		}
		all = append(all, text)
	}
	return listed(all, "and")
}
