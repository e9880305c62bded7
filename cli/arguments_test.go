package cli

import (
	"slices"
	"strings"
	"testing"
)

func TestTheUsualPartOfACommandIsMeantWhereNoneIsNamed(t *testing.T) {
	for typed, want := range map[string]string{
		"jobs":                    "jobs list",
		"jobs --all":              "jobs list --all",
		"jobs show 0":             "jobs show 0",
		"jobs --dir x show 0":     "jobs --dir x show 0",
		"jobs --help":             "jobs --help",
		"--dir jobs backup to":    "--dir jobs backup make to",
		"--dir=x storage":         "--dir=x storage show",
		"backup verify there":     "backup verify there",
		"backup --database=u to":  "backup make --database=u to",
		"calc jobs":               "calc jobs",
		"--dir":                   "--dir",
		"":                        "",
		"storage copy --to there": "storage copy --to there",
	} {
		if got := withUsual(strings.Fields(typed)); !slices.Equal(got, strings.Fields(want)) {
			t.Errorf("%q is taken as %q, want %q", typed, got, want)
		}
	}
}

func TestNamesComeWithCommasOrOneAtATime(t *testing.T) {
	var c commands
	if command, status := parse(&c, strings.Fields("plan m.yaml --already a,b --already c --tools x,y --tools z target=reseal"), Env{}); command == nil {
		t.Fatalf("not understood, status %d", status)
	}
	if got := []string(c.Plan.Already); !slices.Equal(got, []string{"a", "b", "c"}) {
		t.Errorf("items off already are %q", got)
	}
	if got := c.Plan.Tools; !slices.Equal(got, []string{"x,y", "z"}) {
		t.Errorf("tools are %q: their names may hold a comma", got)
	}
	if got := c.Plan.Limit.String(); got != "10s" {
		t.Errorf("the usual limit is %s", got)
	}
}
