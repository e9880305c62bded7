package coolant

import (
	"fmt"
	"math"

	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

// The chart is drawn in a field of 100 by 84 units: 0 to 70 % across, and two
// strips of temperature with the liquid between them left out of scale.
const (
	chartLeft, chartRight = 12.0, 96.0
	boilTop, boilBottom   = 6.0, 30.0 // the upper strip
	iceTop, iceBottom     = 38.0, 76.0
)

var grid = figure.Pen{Tone: figure.Soft, Width: 0.4}

// Chart draws the freezing and the boiling curve of a glycol with their bands,
// and where a mixture stands on them under an absolute pressure.
func Chart(b Base, v VolumeShare, p quantity.Pressure) *figure.Figure {
	ice, _, promised := Freezing(b, v)
	boil := Boiling(b, v, p)
	f := figure.New("Freezing and boiling of "+b.String(),
		fmt.Sprintf("Two curves over the strength by volume, from 0 to 70 %%, each with the band of its sources. At %.0f %% the first ice is at %.0f to %.0f °C and boiling begins at about %.0f °C.",
			100*float64(v), celsius(ice.Low), celsius(ice.High), celsius(boil.Likely)), 0, 0, 104, 86)
	// The upper strip is 70 °C high and moves with the pressure.
	foot := 10 * math.Floor((celsius(Boiling(b, 0, p).Likely)-5)/10)
	x := func(share float64) float64 { return chartLeft + (chartRight-chartLeft)*share/float64(MaxShare) }
	hot := func(c float64) float64 { return boilBottom - (boilBottom-boilTop)*(c-foot)/30 }
	cold := func(c float64) float64 { return iceTop - (iceBottom-iceTop)*c/70 }

	for c := foot; c <= foot+30; c += 10 {
		f.Line(grid, figure.Point{X: chartLeft, Y: hot(c)}, figure.Point{X: chartRight, Y: hot(c)})
		f.Label(figure.Point{X: chartLeft - 1.5, Y: hot(c)}, 2.8, figure.End, degrees(c))
	}
	for c := 0.0; c >= -70; c -= 10 {
		f.Line(grid, figure.Point{X: chartLeft, Y: cold(c)}, figure.Point{X: chartRight, Y: cold(c)})
		f.Label(figure.Point{X: chartLeft - 1.5, Y: cold(c)}, 2.8, figure.End, degrees(c))
	}
	for s := 0.0; s < 0.71; s += 0.1 {
		f.Line(grid, figure.Point{X: x(s), Y: boilTop}, figure.Point{X: x(s), Y: boilBottom})
		f.Line(grid, figure.Point{X: x(s), Y: iceTop}, figure.Point{X: x(s), Y: iceBottom})
		f.Label(figure.Point{X: x(s), Y: iceBottom + 3}, 2.8, figure.Middle, fmt.Sprintf("%.0f", 100*s))
	}
	f.Label(figure.Point{X: (chartLeft + chartRight) / 2, Y: iceBottom + 7}, 2.8, figure.Middle, "% of "+b.String()+" by volume")
	f.Label(figure.Point{X: chartLeft, Y: 2.5}, 2.8, figure.Start, fmt.Sprintf("Boils, °C, at %.0f kPa absolute", p.In(quantity.Kilopascal)))
	f.Label(figure.Point{X: chartLeft, Y: iceTop - 3.5}, 2.8, figure.Start, "First ice, °C")

	drawBand(f, x, hot, func(s float64) Band[quantity.Temperature] { return Boiling(b, VolumeShare(s), p) }, 1)
	drawBand(f, x, cold, func(s float64) Band[quantity.Temperature] {
		band, _, _ := Freezing(b, VolumeShare(s))
		return band
	}, float64(MaxPromised)/float64(MaxShare))
	if v <= MaxPromised {
		unsure := x((float64(MaxPromised) + float64(MaxShare)) / 2)
		blank(f, unsure, cold(-45), 11, 5)
		f.Label(figure.Point{X: unsure, Y: cold(-43)}, 2.4, figure.Middle, "not")
		f.Label(figure.Point{X: unsure, Y: cold(-47.5)}, 2.4, figure.Middle, "promised")
	}

	at := x(float64(v))
	f.Line(figure.Now, figure.Point{X: at, Y: boilTop}, figure.Point{X: at, Y: boilBottom})
	f.Line(figure.Now, figure.Point{X: at, Y: iceTop}, figure.Point{X: at, Y: iceBottom})
	mark := func(y, beside float64, text string) {
		f.Disc(figure.Ground, 1, figure.Point{X: at, Y: y}, 1.7)
		f.Circle(figure.Now, figure.Point{X: at, Y: y}, 1.5)
		side, anchor := 2.0, figure.Start
		if v > 0.45 {
			side, anchor = -2.0, figure.End
		}
		wide := 0.5 * 3.4 * float64(len([]rune(text)))
		blank(f, at+side/2*(1+wide/2), beside, wide+1, 4.6)
		f.Bold(figure.Point{X: at + side, Y: beside}, 3.4, anchor, text)
	}
	mark(hot(celsius(boil.Likely)), boilBottom-3, fmt.Sprintf("about %s °C", degrees(math.Round(celsius(boil.Likely)))))
	said, from := fmt.Sprintf("%s to %s °C", degrees(math.Round(celsius(ice.Low))), degrees(math.Round(celsius(ice.High)))), ice.Likely
	if v == 0 {
		said = "0 °C"
	}
	if !promised {
		from = ice.High
	}
	beside := iceTop + 4
	if v < 0.15 {
		beside = iceBottom - 4 // the curve itself runs near the top here
	}
	mark(cold(celsius(from)), beside, said)
	return f
}

// blank hides the grid behind a text.
func blank(f *figure.Figure, x, y, wide, high float64) {
	f.Area(figure.Ground, 1, figure.Point{X: x - wide/2, Y: y - high/2}, figure.Point{X: x + wide/2, Y: y - high/2},
		figure.Point{X: x + wide/2, Y: y + high/2}, figure.Point{X: x - wide/2, Y: y + high/2})
}

// drawBand draws the band as an area and the likely value as a heavy line, the
// latter up to a share of the whole width.
func drawBand(f *figure.Figure, x, y func(float64) float64, band func(float64) Band[quantity.Temperature], promised float64) {
	const steps = 70
	var low, high, likely []figure.Point
	for i := 0; i <= steps; i++ {
		share := float64(MaxShare) * float64(i) / steps
		b := band(share)
		low = append(low, figure.Point{X: x(share), Y: y(celsius(b.Low))})
		high = append([]figure.Point{{X: x(share), Y: y(celsius(b.High))}}, high...)
		if float64(i) <= promised*steps+1e-9 {
			likely = append(likely, figure.Point{X: x(share), Y: y(celsius(b.Likely))})
		}
	}
	f.Area(figure.Soft, 0.35, append(low, high...)...)
	f.Line(figure.Heavy, likely...)
}

// degrees prints whole degrees with a true minus.
func degrees(c float64) string {
	if c < 0 {
		return fmt.Sprintf("−%.0f", -c)
	}
	return fmt.Sprintf("%.0f", math.Abs(c))
}
