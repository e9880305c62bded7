package main

import (
	"fmt"
	"io"
	"strings"
	"time"
	"unicode/utf8"
)

// best runs f until it has run for a while or often enough, and returns the
// shortest time of one run.
func best(f func()) time.Duration {
	const enough, most = 500 * time.Millisecond, 50
	least := time.Duration(1<<63 - 1)
	for total, n := time.Duration(0), 0; n < most && (n < 1 || total < enough); n++ {
		start := time.Now()
		f()
		took := time.Since(start)
		least = min(least, took)
		total += took
	}
	return least
}

// ms prints a time in milliseconds with three significant digits.
func ms(d time.Duration) string {
	v := float64(d.Microseconds()) / 1000
	switch {
	case v < 10:
		return fmt.Sprintf("%.2f", v)
	case v < 100:
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// grid prints rows in columns; the first is set left, the others right.
type grid struct{ rows [][]string }

func (g *grid) add(cells ...string) { g.rows = append(g.rows, cells) }

func (g *grid) print(w io.Writer) {
	var width []int
	for _, row := range g.rows {
		for i, c := range row {
			if i == len(width) {
				width = append(width, 0)
			}
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	for _, row := range g.rows {
		for i, c := range row {
			pad := strings.Repeat(" ", width[i]-utf8.RuneCountInString(c))
			switch {
			case i == 0:
				fmt.Fprint(w, c, pad)
			default:
				fmt.Fprint(w, "  ", pad, c)
			}
		}
		fmt.Fprintln(w)
	}
}
