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
		"convert 8":             "there is no command convert, but a calculation: lastbolt calc convert",
		"jobs --from x":         `--from takes a whole number of 0 or more, not "x"`,
		"plan demo --limit x":   `--limit takes a time, as in 10s or 5m, not "x"`,
		"jobs zzz":              "jobs has no part zzz: it has list, show",
		"map starters brakes":   "brakes is one word too many",
		"plan":                  "MAP is missing; for example: lastbolt plan demo oil-cooler=reseal",
		"paper sheet":           "JOB is missing; for example: lastbolt paper sheet JOB -o sheet.pdf, with an id that lastbolt jobs lists",
		"backup":                "TO is missing; for example: lastbolt backup copy-of-today",
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

// Each command without a word more either is understood or says what one can
// type, and that is understood.
func TestWhoLeavesAWordOutIsGivenAnExampleThatWorks(t *testing.T) {
	var all []string
	for _, name := range partsOf() {
		all = append(all, name)
		for _, part := range partsOf(name) {
			all = append(all, name+" "+part)
		}
	}
	given := map[string]bool{}
	for _, typed := range all {
		var said strings.Builder
		var c commands
		parse(&c, strings.Fields(typed), Env{Err: &said})
		first, _, _ := strings.Cut(said.String(), "\n")
		if !strings.Contains(first, "is missing") {
			continue
		}
		_, example, _ := strings.Cut(first, "; for example: lastbolt ")
		example, _, _ = strings.Cut(example, ", with ")
		given["lastbolt "+example] = true
		var said2 strings.Builder
		var c2 commands
		if command, status := parse(&c2, strings.Fields(example), Env{Err: &said2}); command == nil || example == "" {
			t.Errorf("%q: its example %q is not understood: status %d, %s", typed, example, status, said2.String())
		}
	}
	for command, example := range examples {
		if example, _, _ = strings.Cut(example, ", with "); !given[example] {
			t.Errorf("the example of %q is shown to nobody", command)
		}
	}
}
