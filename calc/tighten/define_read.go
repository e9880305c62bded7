package tighten

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lastbolt/calc"
	"lastbolt/quantity"
)

// jointInputs ask for a joint; jointFrom reads them.
var jointInputs = []calc.Input{
	{Name: "bolts", Title: "Bolts", Kind: calc.Table, MaxRows: MaxBolts, Optional: true,
		Help: "One bolt a line, x to the right and y down. Without places give the number and the bolt circle instead.",
		Columns: []calc.Input{
			{Name: "x", Title: "x", Kind: "length", Unit: "mm", Min: "-10 m", Max: "10 m"},
			{Name: "y", Title: "y", Kind: "length", Unit: "mm", Min: "-10 m", Max: "10 m"},
			{Name: "length", Title: "Length", Kind: "length", Unit: "mm", Min: "0 mm", Above: true, Max: "5 m", Optional: true},
			{Name: "torque", Title: "Torque", Kind: "torque", Unit: "N·m", Min: "0 N·m", Above: true, Max: "100000 N·m", Optional: true},
			{Name: "diameter", Title: "Thread", Kind: "length", Unit: "mm", Min: "1 mm", Max: "200 mm", Optional: true},
			{Name: "first", Title: "Goes first", Kind: calc.YesNo, Default: "no"},
			{Name: "reach", Title: "Reached from", Kind: calc.Text, Optional: true},
		}},
	{Name: "count", Title: "Number of bolts on a circle", Kind: calc.Count, Min: "1", Max: strconv.Itoa(MaxBolts), Optional: true},
	{Name: "clock", Title: "Clock positions on a circle", Kind: calc.Text, Optional: true,
		Help: "Where the bolts are not evenly spaced: 12, 1:30, 3, 6, 9."},
	{Name: "circle", Title: "Bolt circle, diameter", Kind: "length", Unit: "mm", Min: "1 mm", Max: "10 m", Optional: true},
	{Name: "outline", Title: "Outline of the cover", Kind: calc.Table, MaxRows: 500, Optional: true,
		Help: "Its corners around, in the bolts' x and y.", Columns: placeColumns()},
	{Name: "line", Title: "Line of the seal", Kind: calc.Table, MaxRows: 500, Optional: true,
		Help: "Its corners around. Without it the seal runs from bolt to bolt.", Columns: placeColumns()},
	{Name: "cover", Title: "Cover", Kind: calc.Choice, Default: string(Stiff), Choices: []calc.Option{
		{Value: string(Rigid), Title: "rigid: cannot bend"}, {Value: string(Stiff), Title: "stiff casting: ribbed or about 15 mm"},
		{Value: string(Thin), Title: "thin casting: about 6 mm"}, {Value: string(Sheet), Title: "sheet: pressed steel"}}},
	{Name: "seal", Title: "Seal", Kind: calc.Choice, Default: string(Flat),
		Choices: calc.Options(string(Rubber), string(ORing), string(Flat), string(Sealant), string(Metal))},
	{Name: "dowels", Title: "Sits on dowels", Kind: calc.YesNo, Default: "no"},
}

func placeColumns() []calc.Input {
	return []calc.Input{
		{Name: "x", Title: "x", Kind: "length", Unit: "mm", Min: "-10 m", Max: "10 m"},
		{Name: "y", Title: "y", Kind: "length", Unit: "mm", Min: "-10 m", Max: "10 m"},
	}
}

// jointFrom makes the joint that the inputs describe.
func jointFrom(in calc.In) (Joint, error) {
	j := Joint{Cover: Cover(in.Choice("cover")), Seal: Seal(in.Choice("seal")), Dowels: in.Yes("dowels"),
		Outline: pointsOf(in, "outline"), Line: pointsOf(in, "line")}
	round := in.Has("count") || in.Has("clock")
	switch {
	case in.Has("bolts") && round:
		return j, in.Refuse("bolts", "Bolts: places are given and a number or clock positions too; give one or the other.")
	case in.Has("bolts"):
		for _, row := range in.Rows("bolts") {
			j.Bolts = append(j.Bolts, Bolt{X: row.Length("x"), Y: row.Length("y"), Length: row.Length("length"),
				Torque: row.Torque("torque"), Diameter: row.Length("diameter"), First: row.Yes("first"), Reach: row.Text("reach")})
		}
		return j, nil
	case !round:
		return j, in.Refuse("bolts", "Bolts: nothing is given; give the places of the bolts, or their number and the bolt circle.")
	case in.Has("count") && in.Has("clock"):
		return j, in.Refuse("clock", "Clock positions: a number of bolts is given too; give one or the other.")
	case !in.Has("circle"):
		return j, in.Refuse("circle", "Bolt circle: nothing is given; measure its diameter, from the middle of a bolt to the one opposite.")
	}
	var hours []float64
	if in.Has("clock") {
		var wrong string
		if hours, wrong = readClock(in.Text("clock")); wrong != "" {
			return j, in.Refuse("clock", "Clock positions: %s", wrong)
		}
	} else {
		n := in.Count("count")
		for k := range n {
			hours = append(hours, 12*float64(k)/float64(n))
		}
	}
	radius := in.Length("circle") / 2
	for _, h := range hours {
		p := onCircle(radius, h)
		j.Bolts = append(j.Bolts, Bolt{X: p.X, Y: p.Y})
	}
	if len(j.Line) == 0 && len(j.Bolts) > 2 {
		for k := range 120 {
			j.Line = append(j.Line, onCircle(radius, (float64(k)+0.5)/10))
		}
	}
	return j, nil
}

// onCircle is the place at an hour of the clock.
func onCircle(radius quantity.Length, hour float64) Point {
	s, c := math.Sincos(2 * math.Pi * hour / 12)
	return Point{radius * quantity.Length(s), -radius * quantity.Length(c)}
}

func pointsOf(in calc.In, name string) []Point {
	var all []Point
	if in.Has(name) {
		for _, row := range in.Rows(name) {
			all = append(all, Point{row.Length("x"), row.Length("y")})
		}
	}
	return all
}

// readClock reads clock positions: hours, with minutes behind a colon.
func readClock(text string) (hours []float64, wrong string) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == ' ' }) {
		hour, minute, has := strings.Cut(word, ":")
		h, err := strconv.Atoi(hour)
		m := 0
		if err == nil && has {
			m, err = strconv.Atoi(minute)
		}
		if err != nil || h < 0 || h > 12 || m < 0 || m > 59 {
			return nil, fmt.Sprintf("%q is no place on a clock; write hours as in 12, 1:30, 3.", word)
		}
		hours = append(hours, math.Mod(float64(h)+float64(m)/60, 12))
	}
	if len(hours) == 0 {
		return nil, "there is none; write hours as in 12, 1:30, 3."
	}
	return hours, ""
}

// readSequence reads bolt numbers, from 1, between anything that is no digit.
func readSequence(text string, n int) (seq []int, wrong string) {
	seen := map[int]bool{}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r < '0' || r > '9' }) {
		b, err := strconv.Atoi(word)
		switch {
		case err != nil || b < 1 || b > n:
			return nil, fmt.Sprintf("there is no bolt %s; the bolts are 1 to %d.", word, n)
		case seen[b]:
			return nil, fmt.Sprintf("bolt %d is named twice; name every bolt once.", b)
		}
		seen[b] = true
		seq = append(seq, b-1)
	}
	if len(seq) != n {
		return nil, fmt.Sprintf("it names %d of %d bolts; name every bolt once.", len(seq), n)
	}
	return seq, ""
}

// Written writes a sequence as bolt numbers: 1-4-2-3.
func Written(seq []int) string {
	words := make([]string, len(seq))
	for i, b := range seq {
		words[i] = strconv.Itoa(b + 1)
	}
	return strings.Join(words, "-")
}
