package job_test

import (
	"strings"
	"testing"

	"lastbolt/job"
)

func TestVINsAreCheckedAndExplained(t *testing.T) {
	for _, row := range []struct {
		name, vin string
		ok        bool
		place     int
		digit     string
		says      string // part of the problem or the note
	}{
		// The worked example of 49 CFR 565 texts, from memory: the sum is 351.
		{"worked example", "1M8GDM9AXKP042788", true, 0, "X", "is right"},
		// The usual test number, from memory: all ones give 89, which leaves 1.
		{"all ones", "11111111111111111", true, 0, "1", "is right"},
		{"small letters, spaces and dashes", " 1m8gd-m9axk p042788 ", true, 0, "X", "is right"},
		{"one character wrong", "1M8GDM9AXKP042789", false, 9, "1", "comes to 1"},
		// By hand: 351 - (4*6 + 2*5) + (2*6 + 4*5) = 349, which leaves 8.
		{"two swapped", "1M8GDM9AXKP024788", false, 9, "8", "two are swapped"},
		// By hand: the sum is 385, 35 times 11.
		{"a region without check digit", "SXXAA11ZZ9B123456", true, 0, "0", "proves nothing"},
		{"letter I", "1M8GDM9AXKPI42788", false, 12, "", "most likely the digit 1"},
		{"letter O", "1M8GDM9AXKPO42788", false, 12, "", "most likely the digit 0"},
		{"letter Q", "QM8GDM9AXKP042788", false, 1, "", "most likely the digit 0"},
		{"no letter at all", "1M8GDM9AXKP04278é", false, 17, "", "only capital letters"},
		{"too short", "1M8GDM9AXKP04278", false, 0, "", "has 16 characters"},
		{"too long", "1M8GDM9AXKP0427888", false, 0, "", "has 18 characters"},
		{"blank", "  ", true, 0, "", ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			got := job.CheckVIN(row.vin)
			if got.OK != row.ok || got.Place != row.place || got.Digit != row.digit || !strings.Contains(got.Problem+got.Note, row.says) {
				t.Errorf("CheckVIN(%q) = %+v, want ok %t, place %d, digit %q, says %q", row.vin, got, row.ok, row.place, row.digit, row.says)
			}
			if got.OK == (got.Problem != "") {
				t.Errorf("ok %t with the problem %q", got.OK, got.Problem)
			}
		})
	}
	if w := job.CheckVIN("1M8GDM9AXKP042788").Working; !strings.Contains(w, "351") || !strings.Contains(w, "leaves 10") {
		t.Errorf("the working is %q, want the sum 351 and the rest 10", w)
	}
}

func TestAnySingleWrongDigitIsFound(t *testing.T) {
	const vin = "11111111111111111"
	for i := range vin {
		for d := '2'; d <= '9'; d++ {
			wrong := vin[:i] + string(d) + vin[i+1:]
			if i == 0 && d > '5' {
				continue // another region, where the digit proves nothing
			}
			if got := job.CheckVIN(wrong); got.OK {
				t.Errorf("CheckVIN(%q) finds nothing wrong", wrong)
			}
		}
	}
}
