package fluid

import (
	"fmt"
	"strings"

	"lastbolt/pattern"
)

// A Winter is what SAE J300 asks of a W grade: the greatest viscosity when
// cranking and when pumping, mPa·s at °C, and the least at 100 °C, mm²/s.
type Winter struct {
	Name                string
	Crank, CrankAt      float64
	Pump, PumpAt, Least float64
}

// A Summer is what SAE J300 asks of a grade without a W: the viscosity at
// 100 °C, mm²/s, from Least to below Below, and the least under high shear at
// 150 °C, mPa·s.
type Summer struct {
	Name               string
	Least, Below, HTHS float64
}

// Winters and Summers are SAE J300 (2015; 2021 and 2024 have the same limits)
// as quoted at raso.name and muxxlube.de.
var (
	Winters = []Winter{
		{"0W", 6200, -35, 60000, -40, 3.8}, {"5W", 6600, -30, 60000, -35, 3.8}, {"10W", 7000, -25, 60000, -30, 4.1},
		{"15W", 7000, -20, 60000, -25, 5.6}, {"20W", 9500, -15, 60000, -20, 5.6}, {"25W", 13000, -10, 60000, -15, 9.3}}
	Summers = []Summer{
		{"8", 4.0, 6.1, 1.7}, {"12", 5.0, 7.1, 2.0}, {"16", 6.1, 8.2, 2.3}, {"20", 6.9, 9.3, 2.6}, {"30", 9.3, 12.5, 2.9},
		{"40", 12.5, 16.3, 3.7}, {"50", 16.3, 21.9, 3.7}, {"60", 21.9, 26.1, 3.7}}
)

// thinForty is the high-shear limit of 40 together with 0W, 5W or 10W.
const thinForty = 3.5

// A Grade is an engine oil's grade: either part may be missing, not both.
type Grade struct {
	Winter *Winter
	Summer *Summer
}

func (g Grade) String() string {
	switch {
	case g.Winter == nil:
		return g.Summer.Name
	case g.Summer == nil:
		return g.Winter.Name
	}
	return g.Winter.Name + "-" + g.Summer.Name
}

// HTHS is the least viscosity under high shear, mPa·s; 0 for a W grade alone.
func (g Grade) HTHS() float64 {
	switch {
	case g.Summer == nil:
		return 0
	case g.Summer.Name == "40" && g.Winter != nil && g.Winter.CrankAt <= -25:
		return thinForty
	}
	return g.Summer.HTHS
}

// At100 is the least and the greatest viscosity at 100 °C, mm²/s; the greatest
// is 0 where there is none.
func (g Grade) At100() (least, below float64) {
	if g.Summer != nil {
		return g.Summer.Least, g.Summer.Below
	}
	return g.Winter.Least, 0
}

var gradeForm = pattern.Of(`^(?:SAE)?(\d+W)?[-/ ]?(\d+)?$`)

// GradeOf reads a grade such as 5W-30, SAE 15W40, 10W or 30. The error is the
// rest of a sentence.
func GradeOf(text string) (Grade, error) {
	bare := strings.ToUpper(strings.Join(strings.Fields(text), ""))
	m := gradeForm().FindStringSubmatch(bare)
	if m == nil || m[1]+m[2] == "" {
		return Grade{}, fmt.Errorf("%q is not read as an oil grade; write it as on the can, such as 5W-30", text)
	}
	var g Grade
	for i, w := range Winters {
		if w.Name == m[1] {
			g.Winter = &Winters[i]
		}
	}
	for i, s := range Summers {
		if s.Name == m[2] {
			g.Summer = &Summers[i]
		}
	}
	switch {
	case m[1] != "" && g.Winter == nil:
		return g, fmt.Errorf("SAE J300 knows no grade %s; it has 0W, 5W, 10W, 15W, 20W and 25W (70W and above are gear oils)", m[1])
	case m[2] != "" && g.Summer == nil:
		return g, fmt.Errorf("SAE J300 knows no grade %s for engine oil; it has 8, 12, 16, 20, 30, 40, 50 and 60 (75W-90 and the like are gear oils)", m[2])
	}
	return g, nil
}
