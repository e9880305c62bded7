package web

import (
	"math"
	"strings"
	"testing"

	"lastbolt/job"
	"lastbolt/quantity"
)

func TestPlacesAreReadInMillimetresAndByTheClock(t *testing.T) {
	width := quantity.MustParse[quantity.Length]("100 mm")
	m := &job.BoltMap{Aspect: 1, From: &job.Point{}, To: &job.Point{X: 1}, Distance: width}
	for line, want := range map[string]struct {
		x, y   float64
		length string
	}{
		"20, 15":              {20, 15, ""},
		"20,5 ; 15,25":        {20.5, 15.25, ""},
		"130 22 35 mm":        {130, 22, "35 mm"},
		"  12.5 mm, 8 mm, 25": {12.5, 8, "25 mm"},
		"20 x 15":             {20, 15, ""},
		"12 on 80":            {50, 10, ""},
		"3:00 on 80":          {90, 50, ""},
		"6 o'clock on ø 80":   {50, 90, ""},
		"1:30 on 80, 50 mm":   {50 + 40*math.Sqrt2/2, 50 - 40*math.Sqrt2/2, "50 mm"},
		"-4, 12":              {-4, 12, ""},
	} {
		p, err := readPlace(line)
		if err != nil {
			t.Errorf("%q: %v", line, err)
			continue
		}
		at, length := p.on(m), ""
		if p.length != nil {
			length = p.length.String()
		}
		if math.Abs(at.X*100-want.x) > 1e-9 || math.Abs(at.Y*100-want.y) > 1e-9 || length != want.length {
			t.Errorf("%q is read as %.3f, %.3f, %q; want %v", line, at.X*100, at.Y*100, length, want)
		}
	}
	for _, line := range []string{"", "20", "20,15", "a, b", "13 on 80", "1:75 on 80", "3 on 0", "20, 15, long"} {
		if p, err := readPlace(line); err == nil {
			t.Errorf("%q is read as %+v", line, p)
		} else if !strings.HasSuffix(err.Error(), ".") {
			t.Errorf("%q: %q is not a sentence", line, err)
		}
	}
}

func FuzzPlace(f *testing.F) {
	for _, line := range []string{"20, 15", "1:30 on 90, 25 mm", "9e9, 1", "12 on 1e400", "-0 ; -0 x"} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		p, err := readPlace(line)
		if err == nil && (math.IsNaN(p.x) || math.IsNaN(p.y)) {
			t.Errorf("%q gives %+v", line, p)
		}
	})
}
