package job

import "testing"

func TestOdometersAreReadOrLeftAlone(t *testing.T) {
	for _, row := range []struct {
		text string
		km   int
		ok   bool
	}{
		{"84,200 km", 84200, true}, {"84.200 km", 84200, true}, {"84 200 KM", 84200, true}, {"84200km", 84200, true},
		{"84'200 km", 84200, true}, {"1,084,200 km", 1084200, true}, {"100 mi", 161, true}, {"52,319 miles", 84199, true},
		{"84,2 km", 0, false}, {"84.25 km", 0, false}, {"84,200", 0, false}, {"", 0, false}, {"km", 0, false},
		{"-5 km", 0, false}, {"99999999999 km", 0, false}, {"84,200 furlongs", 0, false},
	} {
		if km, ok := kilometres(row.text); km != row.km || ok != row.ok {
			t.Errorf("kilometres(%q) = %d, %t; want %d, %t", row.text, km, ok, row.km, row.ok)
		}
	}
	for n, want := range map[int]string{0: "0", 999: "999", 1000: "1,000", 84280: "84,280", 1234567: "1,234,567"} {
		if got := grouped(n); got != want {
			t.Errorf("grouped(%d) = %q, want %q", n, got, want)
		}
	}
}
