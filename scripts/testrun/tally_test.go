package main

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

func TestTallyCounts(t *testing.T) {
	tests := []struct {
		name             string
		runs             []string // each one go test -json stream
		pass, fail, skip int
	}{
		{"one of each", []string{`
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"pass","Package":"p","Test":"TestA"}
{"Action":"run","Package":"p","Test":"TestB"}
{"Action":"fail","Package":"p","Test":"TestB"}
{"Action":"run","Package":"p","Test":"TestC"}
{"Action":"skip","Package":"p","Test":"TestC"}
{"Action":"fail","Package":"p"}`}, 1, 1, 1},
		{"a parent counts through its subtests", []string{`
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"run","Package":"p","Test":"TestA/x"}
{"Action":"run","Package":"p","Test":"TestA/y"}
{"Action":"pass","Package":"p","Test":"TestA/x"}
{"Action":"fail","Package":"p","Test":"TestA/y"}
{"Action":"fail","Package":"p","Test":"TestA"}
{"Action":"fail","Package":"p"}`}, 1, 1, 0},
		{"a parent that fails by itself counts", []string{`
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"run","Package":"p","Test":"TestA/x"}
{"Action":"pass","Package":"p","Test":"TestA/x"}
{"Action":"fail","Package":"p","Test":"TestA"}
{"Action":"fail","Package":"p"}`}, 1, 1, 0},
		{"the graver outcome of two runs wins, counted once", []string{`
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"pass","Package":"p","Test":"TestA"}
{"Action":"pass","Package":"p"}`, `
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"fail","Package":"p","Test":"TestA"}
{"Action":"fail","Package":"p"}`}, 0, 1, 0},
		{"a test that never ended failed", []string{`
{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"fail","Package":"p"}`}, 0, 1, 0},
		{"a stream cut off in a test failed", []string{`
{"Action":"run","Package":"p","Test":"TestA"}`}, 0, 1, 0},
		{"a package that does not build failed", []string{`
{"Action":"build-output","ImportPath":"p [p.test]","Output":"p.go:1:1: wrong\n"}
{"Action":"build-fail","ImportPath":"p [p.test]"}
{"Action":"fail","Package":"p","FailedBuild":"p [p.test]"}`}, 0, 1, 0},
		{"a package without tests is nothing", []string{`
{"Action":"skip","Package":"p"}`}, 0, 0, 0},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			tally := newTally()
			for _, run := range test.runs {
				if _, err := tally.read(strings.NewReader(run[1:]), &bytes.Buffer{}); err != nil {
					t.Fatal(err)
				}
			}
			pass, fail, skip := tally.counts()
			if pass != test.pass || fail != test.fail || skip != test.skip {
				t.Errorf("got %d passed, %d failed, %d skipped; want %d, %d, %d",
					pass, fail, skip, test.pass, test.fail, test.skip)
			}
		})
	}
}

func TestSummaryNamesReasonsAndEndsInTotals(t *testing.T) {
	tally := newTally()
	stream := `{"Action":"run","Package":"lastbolt/x","Test":"TestA"}
{"Action":"output","Package":"lastbolt/x","Test":"TestA","Output":"=== RUN   TestA\n"}
{"Action":"output","Package":"lastbolt/x","Test":"TestA","Output":"    x_test.go:12: no solver: install one\n"}
{"Action":"output","Package":"lastbolt/x","Test":"TestA","Output":"--- SKIP: TestA (0.00s)\n"}
{"Action":"skip","Package":"lastbolt/x","Test":"TestA"}
{"Action":"pass","Package":"lastbolt/x"}
`
	if _, err := tally.read(strings.NewReader(stream), &bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	tally.check("format", failed, "gofmt would change a.go")
	tally.check("vet", passed, "")
	var out bytes.Buffer
	tally.summary(&out, time.Second)
	for _, want := range []string{"1: no solver: install one", "x TestA", "format: gofmt would change a.go"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the summary does not contain %q:\n%s", want, out.String())
		}
	}
	if !strings.HasSuffix(out.String(), "\n1 passed, 1 failed, 1 skipped\n") {
		t.Errorf("the last line is not the totals alone:\n%s", out.String())
	}
}

func TestEachRunReportsItsOwnFailure(t *testing.T) {
	const broken = `{"Action":"fail","Package":"p","FailedBuild":"p"}` + "\n"
	const fine = `{"Action":"run","Package":"q","Test":"TestA"}` + "\n" +
		`{"Action":"pass","Package":"q","Test":"TestA"}` + "\n" + `{"Action":"pass","Package":"q"}` + "\n"
	tally := newTally()
	for i, run := range []struct {
		stream string
		want   bool
	}{{broken, true}, {broken, true}, {fine, false}} {
		got, err := tally.read(strings.NewReader(run.stream), &bytes.Buffer{})
		if err != nil || got != run.want {
			t.Errorf("run %d: failed %v, %v; want %v", i, got, err, run.want)
		}
	}
}

func TestFailureShowsItsOutput(t *testing.T) {
	stream := `{"Action":"run","Package":"p","Test":"TestA"}
{"Action":"output","Package":"p","Test":"TestA","Output":"    a_test.go:3: got 1, want 2\n"}
{"Action":"fail","Package":"p","Test":"TestA"}
{"Action":"build-output","ImportPath":"q [q.test]","Output":"q.go:1:1: wrong\n"}
{"Action":"fail","Package":"q","FailedBuild":"q [q.test]"}
words of the go command
`
	var out bytes.Buffer
	if _, err := newTally().read(strings.NewReader(stream), &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"a_test.go:3: got 1, want 2", "q.go:1:1: wrong", "words of the go command"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("output lacks %q:\n%s", want, out.String())
		}
	}
}
