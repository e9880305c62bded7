package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"sort"
	"strings"
	"time"
)

// event is one line of `go test -json`, as described by `go doc test2json`
// and, for the build events, `go help buildjson`.
type event struct {
	Action      string
	Package     string
	ImportPath  string // of build-output and build-fail
	Test        string
	Elapsed     float64 // seconds
	Output      string
	FailedBuild string
}

// outcome of a test. A larger value wins when the same test ran more than
// once, for instance plainly and again under the race detector.
type outcome int

const (
	unfinished outcome = iota // began and never ended: the process died
	skipped
	passed
	failed
)

type testKey struct{ pkg, test string }

type testResult struct {
	outcome outcome
	output  []string
	reason  string // why it skipped
}

type check struct {
	name    string
	outcome outcome
	reason  string
}

// tally counts what happened over all steps.
type tally struct {
	tests  map[testKey]*testResult
	broken map[string]bool // packages that failed with no failing test: build, panic, timeout
	checks []check
}

func newTally() *tally {
	return &tally{tests: map[testKey]*testResult{}, broken: map[string]bool{}}
}

// check records a step that is a single yes or no.
func (t *tally) check(name string, o outcome, reason string) {
	t.checks = append(t.checks, check{name, o, reason})
}

// read consumes the output of one `go test -json` run, printing one line a
// package and the whole output of what failed. It reports whether anything in
// this run failed.
func (t *tally) read(in io.Reader, out io.Writer) (anyFailed bool, err error) {
	run := &reading{tally: t, out: out, tests: map[testKey]*testResult{}, builds: map[string][]string{}}
	lines := bufio.NewReaderSize(in, 1<<16)
	for {
		line, err := lines.ReadString('\n')
		if line != "" {
			var e event
			if json.Unmarshal([]byte(line), &e) != nil || e.Action == "" {
				fmt.Fprint(out, line) // the go command itself speaking
			} else {
				run.take(e)
			}
		}
		if err == io.EOF {
			run.close()
			return run.anyFailed, nil
		}
		if err != nil {
			return run.anyFailed, fmt.Errorf("reading test output: %w", err)
		}
	}
}

// reading is the state of one run; its results join the tally package by
// package, the graver outcome winning.
type reading struct {
	*tally
	out    io.Writer
	tests  map[testKey]*testResult
	builds map[string][]string // compiler output by import path

	anyFailed bool
}

func (r *reading) take(e event) {
	key := testKey{e.Package, e.Test}
	switch e.Action {
	case "build-output":
		r.builds[e.ImportPath] = append(r.builds[e.ImportPath], e.Output)
	case "run":
		r.tests[key] = &testResult{}
	case "output":
		r.test(key).output = append(r.test(key).output, e.Output)
	case "pass", "fail", "skip":
		o := map[string]outcome{"pass": passed, "fail": failed, "skip": skipped}[e.Action]
		if e.Test == "" {
			r.endPackage(e, o)
			return
		}
		res := r.test(key)
		res.outcome = o
		if o == skipped {
			res.reason = skipReason(res.output)
		}
		if o == failed {
			r.show(e.Test, res)
		}
	}
}

func (r *reading) test(key testKey) *testResult {
	res := r.tests[key]
	if res == nil {
		res = &testResult{}
		r.tests[key] = res
	}
	return res
}

func (r *reading) show(name string, res *testResult) {
	fmt.Fprintf(r.out, "--- output of %s\n%s", name, strings.Join(res.output, ""))
}

func (r *reading) endPackage(e event, o outcome) {
	count, anyFailed := 0, false
	for key, res := range r.tests {
		if key.pkg != e.Package || key.test == "" {
			continue
		}
		if res.outcome == unfinished {
			res.outcome = failed
			r.show(key.test, res)
		}
		count++
		anyFailed = anyFailed || res.outcome == failed
		r.merge(key, res)
	}
	r.anyFailed = r.anyFailed || anyFailed || o == failed
	if o == failed && !anyFailed {
		r.broken[e.Package] = true
		for _, text := range r.builds[e.FailedBuild] {
			fmt.Fprint(r.out, text)
		}
		r.show(e.Package, r.test(testKey{e.Package, ""}))
	}
	word := map[outcome]string{passed: "ok  ", failed: "FAIL", skipped: "-   "}[o]
	note := fmt.Sprintf("%d tests", count)
	if count == 0 {
		note = "no tests"
	}
	if o != failed && count == 0 {
		return // silence about packages without tests
	}
	fmt.Fprintf(r.out, "%s %-32s %6.1fs  %s\n", word, e.Package, e.Elapsed, note)
}

func (r *reading) merge(key testKey, res *testResult) {
	old := r.tally.tests[key]
	if old == nil || res.outcome > old.outcome {
		r.tally.tests[key] = res
	}
}

// close counts tests of packages whose end never came as failed.
func (r *reading) close() {
	for key, res := range r.tests {
		if key.test != "" && res.outcome == unfinished {
			res.outcome = failed
			r.anyFailed = true
			r.merge(key, res)
		}
	}
}

// skipReason is the text a test gave to Skip: its output without the
// framework's own lines and without the file and line in front.
func skipReason(output []string) string {
	var words []string
	for _, line := range output {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "===") || strings.HasPrefix(line, "---") {
			continue
		}
		if _, after, ok := strings.Cut(line, ".go:"); ok {
			if _, text, ok := strings.Cut(after, ": "); ok {
				line = text
			}
		}
		words = append(words, line)
	}
	if len(words) == 0 {
		return "no reason given"
	}
	return strings.Join(words, " ")
}

// counts returns the totals. A test with subtests is counted through them, so
// that nothing counts twice, unless it failed while all of them passed.
func (t *tally) counts() (pass, fail, skip int) {
	parents := map[testKey]bool{}
	failedBelow := map[testKey]bool{}
	for key, res := range t.tests {
		for name := key.test; ; {
			cut := strings.LastIndex(name, "/")
			if cut < 0 {
				break
			}
			name = name[:cut]
			above := testKey{key.pkg, name}
			parents[above] = true
			failedBelow[above] = failedBelow[above] || res.outcome == failed
		}
	}
	for key, res := range t.tests {
		if parents[key] && (res.outcome != failed || failedBelow[key]) {
			continue
		}
		count(res.outcome, &pass, &fail, &skip)
	}
	for _, c := range t.checks {
		count(c.outcome, &pass, &fail, &skip)
	}
	return pass, fail + len(t.broken), skip
}

func count(o outcome, pass, fail, skip *int) {
	switch o {
	case passed:
		*pass++
	case skipped:
		*skip++
	default:
		*fail++
	}
}

func (t *tally) failed() int {
	_, fail, _ := t.counts()
	return fail
}

// summary prints what was skipped and why, what failed, and the totals.
func (t *tally) summary(out io.Writer, took time.Duration) {
	why := map[string][]string{}
	var bad []string
	for key, res := range t.tests {
		name := strings.TrimPrefix(key.pkg, "lastbolt/") + " " + key.test
		switch res.outcome {
		case skipped:
			why[res.reason] = append(why[res.reason], name)
		case failed:
			bad = append(bad, name)
		}
	}
	for _, c := range t.checks {
		switch c.outcome {
		case skipped:
			why[c.reason] = append(why[c.reason], c.name)
		case failed:
			bad = append(bad, c.name+": "+c.reason)
		}
	}
	for pkg := range t.broken {
		bad = append(bad, pkg+" (did not build, panicked or ran out of time)")
	}
	list(out, "Skipped", why)
	if len(bad) > 0 {
		sort.Strings(bad)
		fmt.Fprintf(out, "\nFailed:\n  %s\n", strings.Join(bad, "\n  "))
	}
	pass, fail, skip := t.counts()
	fmt.Fprintf(out, "\nTook %s.\n%d passed, %d failed, %d skipped\n", took.Round(time.Second), pass, fail, skip)
}

func list(out io.Writer, title string, why map[string][]string) {
	if len(why) == 0 {
		return
	}
	fmt.Fprintf(out, "\n%s:\n", title)
	reasons := make([]string, 0, len(why))
	for reason := range why {
		reasons = append(reasons, reason)
	}
	slices.Sort(reasons)
	for _, reason := range reasons {
		names := why[reason]
		slices.Sort(names)
		fmt.Fprintf(out, "  %d: %s\n     %s\n", len(names), reason, strings.Join(names, ", "))
	}
}
