package ui

import (
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	blockPattern = regexp.MustCompile(`(?s)(:root[^{]*)\{([^{}]*)\}`)
	colorPattern = regexp.MustCompile(`--([a-z-]+):\s*(#[0-9a-f]{6});`)
)

// themes reads the colours of every theme from the style sheet.
func themes(t *testing.T) map[string]map[string]string {
	t.Helper()
	text, err := os.ReadFile("css/tokens.css")
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]string{
		":root":                    "light",
		`:root[data-theme="dark"]`: "dark",
		`:root[data-theme="sun"]`:  "sun",
		`:root:not([data-theme="light"]):not([data-theme="sun"])`: "dark by device",
	}
	found := map[string]map[string]string{}
	for _, block := range blockPattern.FindAllStringSubmatch(string(text), -1) {
		name, ok := names[strings.TrimSpace(block[1])]
		colors := colorPattern.FindAllStringSubmatch(block[2], -1)
		if !ok || len(colors) == 0 {
			continue
		}
		found[name] = map[string]string{}
		for _, c := range colors {
			found[name][c[1]] = c[2]
		}
	}
	if len(found) != len(names) {
		t.Fatalf("found the themes %v, want %d", slices.Sorted(maps.Keys(found)), len(names))
	}
	return found
}

// contrast is the ratio of WCAG 2.2: (lighter + 0.05) ÷ (darker + 0.05) of the
// relative luminances.
func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
		if err != nil {
			t.Fatalf("%q is no colour: %v", hex, err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

func TestContrastFormulaGivesTheKnownRatios(t *testing.T) {
	tests := []struct {
		a, b string
		want float64 // black on white by definition; #767676 is the usual example of just 4.5 (from memory)
	}{
		{"#000000", "#ffffff", 21}, {"#ffffff", "#ffffff", 1}, {"#767676", "#ffffff", 4.54},
	}
	for _, tt := range tests {
		if got := contrast(t, tt.a, tt.b); math.Abs(got-tt.want) > 0.005 {
			t.Errorf("contrast of %s on %s = %.3f, want %.2f", tt.a, tt.b, got, tt.want)
		}
	}
}

func TestColoursCanBeReadInEveryTheme(t *testing.T) {
	pairs := []struct {
		front string
		on    []string
		least float64
	}{
		{"ink", []string{"ground", "card", "warn"}, 7},
		{"soft", []string{"ground", "card", "warn"}, 7},
		{"on-main", []string{"main"}, 7},
		{"on-main-soft", []string{"main"}, 7},
		{"mark", []string{"ground", "card", "warn"}, 4.5},
		{"on-mark", []string{"mark"}, 4.5},
		{"done", []string{"ground", "card"}, 4.5},
		{"on-done", []string{"done"}, 4.5},
	}
	for theme, color := range themes(t) {
		for _, p := range pairs {
			for _, on := range p.on {
				if color[p.front] == "" || color[on] == "" {
					t.Fatalf("%s has no %s or no %s", theme, p.front, on)
				}
				got := contrast(t, color[p.front], color[on])
				t.Logf("%-14s %-12s on %-6s %5.2f", theme, p.front, on, got)
				if got < p.least {
					t.Errorf("%s: %s on %s has %.2f : 1, want at least %v", theme, p.front, on, got, p.least)
				}
			}
		}
	}
}

func TestDarkIsTheSameHoweverItIsChosen(t *testing.T) {
	all := themes(t)
	if !maps.Equal(all["dark"], all["dark by device"]) {
		t.Errorf("dark chosen %v, dark by device %v", all["dark"], all["dark by device"])
	}
}
