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

func TestWhatIsNotUnderstoodIsSaidInOneSentence(t *testing.T) {
	for typed, want := range map[string]string{
		"plann demo":            "there is no command plann; perhaps plan is meant",
		"frobnicate":            "there is no command frobnicate",
		"jobs --from x":         `--from takes a whole number of 0 or more, not "x"`,
		"plan demo --limit x":   `--limit takes a time, as in 10s or 5m, not "x"`,
		"jobs zzz":              "jobs has no part zzz: it has list, show",
		"map starters brakes":   "brakes is one word too many",
		"plan":                  "MAP is missing",
		"sweep --everything":    "there is no option --everything",
		"help plann":            "there is no command plann; perhaps plan is meant",
		"--dir d jobs --nope x": "there is no option --nope",
	} {
		var said strings.Builder
		var c commands
		command, status := parse(&c, strings.Fields(typed), Env{Err: &said})
		first, _, _ := strings.Cut(said.String(), "\n")
		if command != nil || status != exitUsage || first != "lastbolt: "+want {
			t.Errorf("%q: status %d, %q; want %q", typed, status, first, want)
		}
	}
}
