package belt_test

import (
	"strings"
	"testing"

	"lastbolt/calc/belt"
	"lastbolt/quantity"
)

func TestMarkingsAreRead(t *testing.T) {
	for _, c := range []struct {
		text, profile, which string
		ribs                 int
		length               float64 // mm
	}{
		{"6PK1200", "PK", "effective", 6, 1200},
		{"6 pk 1200", "PK", "effective", 6, 1200},
		{"5-PJ-0610", "PJ", "effective", 5, 610},
		{"6DPK1195", "PK", "effective", 6, 1195},
		{"4EPK0890", "PK", "effective", 4, 890},
		{"K060955", "PK", "effective", 6, 2425.7},
		{"180J6", "PJ", "effective", 6, 457.2},
		{"B112", "B", "inside", 0, 2844.8},
		{"AX48", "A", "inside", 0, 1219.2},
		{"SPZ1250", "SPZ", "datum", 0, 1250},
		{"XPA1000", "XPA", "datum", 0, 1000},
		{"AVX10x825", "AV10", "outside", 0, 825},
		{"10×825 La", "AV10", "outside", 0, 825},
		{"13x1000Li", "13 wide", "inside", 0, 1000},
		{"3V500", "3V", "outside", 0, 1270},
	} {
		m, err := belt.ReadMarking(c.text)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		if m.Profile != c.profile || m.Which != c.which || m.Ribs != c.ribs {
			t.Errorf("%s: %+v, want %s %s %d ribs", c.text, m, c.profile, c.which, c.ribs)
		}
		near(t, c.text+" mm", m.Length.In(quantity.Millimetre), c.length, 1e-9)
	}
}

func FuzzMarking(f *testing.F) {
	for _, s := range []string{"6PK1200", "K060955", "955K6", "B112", "SPZ1250", "AVX10x825", "13x1000Li", "", "PK", "99PK99999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := belt.ReadMarking(text)
		if err != nil {
			return
		}
		if m.Length <= 0 || m.Length > 3000 || m.Ribs < 0 || m.Ribs > 40 || m.Which == "" || m.Profile == "" {
			t.Errorf("%q is read as %+v", text, m)
		}
		again, err := belt.ReadMarking(strings.ToLower(" " + text))
		if err != nil || again != m {
			t.Errorf("%q in small letters is read as %+v, %v; before %+v", text, again, err, m)
		}
	})
}

func FuzzRouting(f *testing.F) {
	for _, s := range []string{"", "crank > alternator", "crank, idler (back), alternator", "crank > nobody", "> > >", "crank (ribs) (back)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		d, _ := frontDrive()
		r, err := d.ReadRouting(text)
		if err != nil {
			return
		}
		back, err := d.ReadRouting(d.Order(r))
		if len(r) > 0 && err != nil {
			t.Fatalf("%q is read and written as %q, which is not read: %v", text, d.Order(r), err)
		}
		for i := range back {
			if len(r) > 0 && back[i] != r[i] && r[i].Side != belt.Ribs {
				t.Errorf("%q: %v comes back as %v", text, r[i], back[i])
			}
		}
	})
}
