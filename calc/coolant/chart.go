package coolant

import (
	"fmt"
	"math"
	"slices"

	"lastbolt/calc/figure"
	"lastbolt/quantity"
)

// The chart is drawn in a field of 106 by 94 units: 0 to 70 % across, and two
// strips of temperature with the liquid between them left out of scale.
const (
	chartLeft, chartRight = 12.0, 96.0
	boilTop, boilBottom   = 6.0, 30.0 // the upper strip
	iceTop, iceBottom     = 40.0, 80.0

	// Heights of letters; on a phone 360 px wide a unit is 3.4 px.
	chartText, chartFigures = 3.6, 4.4

	// Words stand to the right of a mixture up to this, and to its left above.
	leftOf VolumeShare = 0.35
)

var (
	grid = figure.Pen{Tone: figure.Soft, Width: 0.4}
	here = figure.Pen{Tone: figure.Mark, Width: 2}
)

// A chart is the figure and its scales.
type chart struct {
	*figure.Figure
	foot float64 // °C at the lower edge of the upper strip, which is 30 °C high
}

func (f chart) x(share float64) float64 {
	return chartLeft + (chartRight-chartLeft)*share/float64(MaxShare)
}
func (f chart) hot(c float64) float64  { return boilBottom - (boilBottom-boilTop)*(c-f.foot)/30 }
func (f chart) cold(c float64) float64 { return iceTop - (iceBottom-iceTop)*c/70 }

// Chart draws the freezing and the boiling curve of a glycol with their bands,
// and where a mixture stands on them under an absolute pressure.
func Chart(b Base, v VolumeShare, p quantity.Pressure) *figure.Figure {
	ice, _, promised := Freezing(b, v)
	boil := Boiling(b, v, p)
	f := chart{figure.New("Freezing and boiling of "+b.String(),
		fmt.Sprintf("Two curves over the strength by volume, from 0 to 70 %%, each with the band of its sources. At %.0f %% the first ice is at %.0f to %.0f °C and boiling begins at about %.0f °C.",
			100*float64(v), math.Floor(celsius(ice.Low)), math.Ceil(celsius(ice.High)), celsius(boil.Likely)), 0, 0, 106, 94),
		10 * math.Floor((celsius(Boiling(b, 0, p).Likely)-5)/10)}
	f.axes(b, p)
	f.band(f.hot, func(s float64) Band[quantity.Temperature] { return Boiling(b, VolumeShare(s), p) }, MaxShare)
	f.band(f.cold, func(s float64) Band[quantity.Temperature] {
		band, _, _ := Freezing(b, VolumeShare(s))
		return band
	}, MaxPromised)
	if v <= MaxPromised {
		unsure := f.x(float64(MaxPromised+MaxShare) / 2)
		f.blank(unsure, f.cold(-43), 12.5, 7)
		f.Label(figure.Point{X: unsure, Y: f.cold(-40.5)}, 2.9, figure.Middle, "not")
		f.Label(figure.Point{X: unsure, Y: f.cold(-46)}, 2.9, figure.Middle, "promised")
	}
	at := f.x(float64(v))
	f.Line(here, figure.Point{X: at, Y: boilTop}, figure.Point{X: at, Y: boilBottom})
	f.Line(here, figure.Point{X: at, Y: iceTop}, figure.Point{X: at, Y: iceBottom})
	f.mark(v, f.hot(celsius(boil.Likely)), boilBottom-3.6, fmt.Sprintf("about %s °C", degrees(math.Round(celsius(boil.Likely)))))

	said, from := fmt.Sprintf("%s to %s °C", degrees(math.Floor(celsius(ice.Low))), degrees(math.Ceil(celsius(ice.High)))), ice.Likely
	if v == 0 {
		said = "0 °C"
	}
	if !promised {
		from = ice.High
	}
	beside := iceTop + 4.5
	if v < 0.15 || v > leftOf {
		beside = iceBottom - 4.5 // at the top the curve would run through the words
	}
	f.mark(v, f.cold(celsius(from)), beside, said)
	return f.Figure
}

// axes draws the grid and its figures.
func (f chart) axes(b Base, p quantity.Pressure) {
	for c := f.foot; c <= f.foot+30; c += 10 {
		f.Line(grid, figure.Point{X: chartLeft, Y: f.hot(c)}, figure.Point{X: chartRight, Y: f.hot(c)})
		f.Label(figure.Point{X: chartLeft - 1.5, Y: f.hot(c)}, chartText, figure.End, degrees(c))
	}
	for c := 0.0; c >= -70; c -= 10 {
		f.Line(grid, figure.Point{X: chartLeft, Y: f.cold(c)}, figure.Point{X: chartRight, Y: f.cold(c)})
		f.Label(figure.Point{X: chartLeft - 1.5, Y: f.cold(c)}, chartText, figure.End, degrees(c))
	}
	for s := 0; s <= 70; s += 10 {
		x := f.x(float64(s) / 100)
		f.Line(grid, figure.Point{X: x, Y: boilTop}, figure.Point{X: x, Y: boilBottom})
		f.Line(grid, figure.Point{X: x, Y: iceTop}, figure.Point{X: x, Y: iceBottom})
		f.Label(figure.Point{X: x, Y: iceBottom + 4}, chartText, figure.Middle, fmt.Sprint(s))
	}
	f.Label(figure.Point{X: (chartLeft + chartRight) / 2, Y: iceBottom + 9.5}, chartText, figure.Middle, "% of "+b.String()+" by volume")
	f.Label(figure.Point{X: chartLeft, Y: 3}, chartText, figure.Start, fmt.Sprintf("Boils, °C, at %.0f kPa absolute", p.In(quantity.Kilopascal)))
	f.Label(figure.Point{X: chartLeft, Y: iceTop - 4}, chartText, figure.Start, "First ice, °C")
}

// mark puts a ring on a curve at the mixture, and words at another height.
func (f chart) mark(v VolumeShare, y, beside float64, text string) {
	at := f.x(float64(v))
	f.Disc(figure.Ground, 1, figure.Point{X: at, Y: y}, 1.7)
	f.Circle(here, figure.Point{X: at, Y: y}, 1.5)
	side, anchor := 2.0, figure.Start
	if v > leftOf {
		side, anchor = -2.0, figure.End
	}
	wide := 0.52 * chartFigures * float64(len([]rune(text)))
	f.blank(at+side/2*(1+wide/2), beside, wide+1, 6)
	f.Bold(figure.Point{X: at + side, Y: beside}, chartFigures, anchor, text)
}

// blank hides the grid behind a text.
func (f chart) blank(x, y, wide, high float64) {
	f.Area(figure.Ground, 1, figure.Point{X: x - wide/2, Y: y - high/2}, figure.Point{X: x + wide/2, Y: y - high/2},
		figure.Point{X: x + wide/2, Y: y + high/2}, figure.Point{X: x - wide/2, Y: y + high/2})
}

// band draws a band as an area and its likely value as a line, which ends at a
// share.
func (f chart) band(y func(float64) float64, at func(float64) Band[quantity.Temperature], end VolumeShare) {
	const steps = 70
	var low, high, likely []figure.Point
	for i := range steps + 1 {
		share := float64(MaxShare) * float64(i) / steps
		b := at(share)
		low = append(low, figure.Point{X: f.x(share), Y: y(celsius(b.Low))})
		high = append(high, figure.Point{X: f.x(share), Y: y(celsius(b.High))})
		if share <= float64(end)+1e-9 {
			likely = append(likely, figure.Point{X: f.x(share), Y: y(celsius(b.Likely))})
		}
	}
	slices.Reverse(high)
	f.Area(figure.Soft, 0.35, append(low, high...)...)
	f.Line(figure.Pen{Width: 1.8}, likely...)
}

// degrees prints whole degrees with a true minus.
func degrees(c float64) string {
	if c < 0 {
		return fmt.Sprintf("−%.0f", -c)
	}
	return fmt.Sprintf("%.0f", math.Abs(c))
}
