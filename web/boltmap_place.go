package web

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lastbolt/job"
	"lastbolt/pattern"
	"lastbolt/quantity"
)

// A writtenPlace is a bolt's place as typed: millimetres from the left and the
// top of the sheet, or a place by the clock on a circle about its middle.
type writtenPlace struct {
	x, y   float64 // mm; of a clock place from the middle
	clock  bool
	length *quantity.Written[quantity.Length]
}

const numberPattern = `(-?\d+(?:[.,]\d+)?)`

var (
	placeXY    = pattern.Of(`^` + numberPattern + `\s*(?:mm)?(?:\s*[;x×/]\s*|\s*,\s+|\s+)` + numberPattern + `\s*(?:mm)?(?:\s*[,;]?\s+(\S.*))?$`)
	placeClock = pattern.Of(`(?i)^(\d{1,2})(?:[:.](\d{2}))?\s*(?:o'?clock)?\s*on\s*(?:[ø⌀]\s*)?` + numberPattern + `\s*(?:mm)?(?:\s*[,;]?\s+(\S.*))?$`)
)

// readPlace reads one line of places.
func readPlace(line string) (writtenPlace, error) {
	line = strings.TrimSpace(line)
	var p writtenPlace
	length := ""
	if m := placeClock().FindStringSubmatch(line); m != nil {
		hour, _ := strconv.Atoi(m[1])
		minute, _ := strconv.Atoi(m[2])
		across := decimal(m[3])
		if hour > 12 || minute > 59 || across <= 0 {
			return p, wrongPlace()
		}
		angle := (float64(hour%12) + float64(minute)/60) * math.Pi / 6
		p = writtenPlace{x: across / 2 * math.Sin(angle), y: -across / 2 * math.Cos(angle), clock: true}
		length = m[4]
	} else if m := placeXY().FindStringSubmatch(line); m != nil {
		p = writtenPlace{x: decimal(m[1]), y: decimal(m[2])}
		length = m[3]
	} else {
		return p, wrongPlace()
	}
	if length != "" {
		l, err := readLength(length)
		if err != nil {
			return p, err
		}
		p.length = &l
	}
	return p, nil
}

func decimal(text string) float64 {
	n, _ := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	return n
}

func wrongPlace() error {
	return &job.Error{Code: job.CodeWrong, Text: "This is not a place: write millimetres from the left and from the top, as in 20, 15, or a place by the clock and the circle it is on, as in 1:30 on 90."}
}

// on is the place on a map's picture, which has a scale.
func (p writtenPlace) on(m *job.BoltMap) job.Point {
	mm := m.MM()
	if p.clock {
		return job.Point{X: 0.5 + p.x/mm, Y: m.Aspect/2 + p.y/mm}
	}
	return job.Point{X: p.x / mm, Y: p.y / mm}
}

// placeText writes a bolt's place as [readPlace] reads it.
func placeText(m *job.BoltMap, b *job.Bolt) string {
	mm := m.MM()
	if mm == 0 {
		return ""
	}
	return fmt.Sprintf("%.2f, %.2f", b.At.X*mm, b.At.Y*mm)
}
