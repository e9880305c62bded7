// Command testrun is what `make test` runs: every check and every test, one
// after another, ending in a summary of what was skipped and why and one plain
// line of totals. It exits 1 when anything failed.
//
// Usage:
//
//	testrun            every default step
//	testrun STEP...    the named steps only
//
// Start reading at [steps]. The program decides nothing about what a test
// means; it runs commands, counts, and repeats what they said.
package main

import (
	"fmt"
	"os"
	"strings"
	"time"
)

func main() {
	if err := os.Chdir(moduleRoot()); err != nil {
		fmt.Fprintln(os.Stderr, "testrun:", err)
		os.Exit(2)
	}
	chosen, err := choose(steps(), os.Args[1:])
	if err != nil {
		fmt.Fprintln(os.Stderr, "testrun:", err)
		os.Exit(2)
	}
	r := &runner{out: os.Stdout, tally: newTally()}
	began := time.Now()
	for _, s := range chosen {
		fmt.Fprintf(r.out, "\n== %s: %s\n", s.name, s.why)
		start := time.Now()
		s.run(r)
		fmt.Fprintf(r.out, "   %s took %s\n", s.name, time.Since(start).Round(100*time.Millisecond))
	}
	r.tally.summary(r.out, time.Since(began))
	if r.tally.failed() > 0 {
		os.Exit(1)
	}
}

// choose picks the steps named in args, in the table's order, or the default
// steps when none is named.
func choose(all []step, args []string) ([]step, error) {
	wanted := map[string]bool{}
	for _, a := range args {
		wanted[a] = true
	}
	var chosen []step
	var names []string
	for _, s := range all {
		names = append(names, s.name)
		if wanted[s.name] || len(args) == 0 && !s.extra {
			chosen = append(chosen, s)
		}
		delete(wanted, s.name)
	}
	for name := range wanted {
		return nil, fmt.Errorf("there is no step %q; the steps are %s", name, strings.Join(names, ", "))
	}
	return chosen, nil
}
