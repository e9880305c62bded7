package web

import (
	"net/http/httptest"
	"testing"
)

func TestSeldomInputsFoldUntilFilled(t *testing.T) {
	d, err := calculations.Find("o-ring-gland")
	if err != nil {
		t.Fatal(err)
	}
	folded := func(query string) (names map[string]bool, total int) {
		v := viewCalculation(d, httptest.NewRequest("GET", "/work-out/o-ring-gland"+query, nil))
		names = map[string]bool{}
		for _, f := range v.Seldom {
			names[f.Name] = true
		}
		return names, len(v.Seldom) + len(v.Fields)
	}
	for _, c := range []struct {
		name, query string
		want        bool
	}{
		{"a blank one is folded", "", true},
		{"one left at what is taken anyway is folded", "?width_tolerance=0+mm", true},
		{"a filled one is in sight", "?width_tolerance=0.1", false},
		{"a wrong one is in sight", "?width_tolerance=-1", false},
	} {
		names, total := folded(c.query)
		if names["width_tolerance"] != c.want {
			t.Errorf("%s: folded is %t", c.name, !c.want)
		}
		if total != len(d.Inputs) {
			t.Errorf("%s: %d fields for %d inputs", c.name, total, len(d.Inputs))
		}
	}
}
