package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"lastbolt/plan/andor"
)

// Models of a removal instance for general-purpose solvers. Costs are whole
// numbers in what these print; quarters of a minute become quarters there.

// writeLP writes a mixed-integer model in CPLEX LP form: x for each method, y
// for each part, z for each resource, and an order variable u for each part,
// which forbids circles. The ways of one part exclude each other, so the needs
// of all of them that name the same part share one row: a tighter relaxation,
// and several times faster for all three solvers, than a row for each way.
func writeLP(out io.Writer, in *andor.Instance) error {
	w := bufio.NewWriter(out)
	var terms []string
	for i, m := range in.Methods {
		terms = append(terms, fmt.Sprintf("%g x%d", m.Cost, i))
	}
	for r, c := range in.Resources {
		terms = append(terms, fmt.Sprintf("%g z%d", c, r))
	}
	fmt.Fprintf(w, "Minimize\n obj: %s\nSubject To\n", strings.Join(terms, "\n + "))
	for _, t := range in.Targets {
		fmt.Fprintf(w, " g%d: y%d = 1\n", t, t)
	}
	for p := range in.Parts {
		writePart(w, in, p)
	}
	fmt.Fprintln(w, "Bounds")
	for p := range in.Parts {
		fmt.Fprintf(w, " 0 <= u%d <= %d\n", p, in.Parts)
	}
	fmt.Fprintln(w, "Binary")
	for i := range in.Methods {
		fmt.Fprintf(w, " x%d\n", i)
	}
	for p := range in.Parts {
		fmt.Fprintf(w, " y%d\n", p)
	}
	for r := range in.Resources {
		fmt.Fprintf(w, " z%d\n", r)
	}
	fmt.Fprintln(w, "End")
	return w.Flush()
}

// writePart writes the rows of one part.
func writePart(w io.Writer, in *andor.Instance, p int) {
	var ways []string
	needs, uses := map[int][]string{}, map[int][]string{}
	for i, m := range in.Methods {
		if m.Part != p {
			continue
		}
		x := fmt.Sprintf("x%d", i)
		ways = append(ways, x)
		for _, q := range m.Needs {
			needs[q] = append(needs[q], x)
			fmt.Fprintf(w, " u%d_%d_%d: u%d - u%d - %d x%d >= %d\n", p, i, q, p, q, in.Parts, i, 1-in.Parts)
		}
		for _, r := range m.Resources {
			uses[r] = append(uses[r], x)
		}
	}
	if len(ways) == 0 {
		fmt.Fprintf(w, " c%d: y%d = 0\n", p, p)
		return
	}
	fmt.Fprintf(w, " c%d: %s - y%d = 0\n", p, strings.Join(ways, " + "), p)
	for q := range in.Parts {
		if xs := needs[q]; xs != nil {
			fmt.Fprintf(w, " n%d_%d: %s - y%d <= 0\n", p, q, strings.Join(xs, " + "), q)
		}
	}
	for r := range in.Resources {
		if xs := uses[r]; xs != nil {
			fmt.Fprintf(w, " w%d_%d: %s - z%d <= 0\n", p, r, strings.Join(xs, " + "), r)
		}
	}
}

// aspScale makes the costs of the test instances whole numbers.
const aspScale = 4

// writeASP writes a logic program whose stable models are the orderable
// selections: stability forbids circles.
func writeASP(out io.Writer, in *andor.Instance) error {
	w := bufio.NewWriter(out)
	for i, m := range in.Methods {
		fmt.Fprintf(w, "part(%d,%d). cost(%d,%d).\n", i, m.Part, i, int(m.Cost*aspScale))
		for _, q := range m.Needs {
			fmt.Fprintf(w, "need(%d,%d).\n", i, q)
		}
		for _, r := range m.Resources {
			fmt.Fprintf(w, "tool(%d,%d).\n", i, r)
		}
	}
	for r, c := range in.Resources {
		fmt.Fprintf(w, "tc(%d,%d).\n", r, int(c*aspScale))
	}
	for _, t := range in.Targets {
		fmt.Fprintf(w, "target(%d).\n", t)
	}
	fmt.Fprint(w, `{pick(M)} :- part(M,_).
off(P) :- pick(M), part(M,P), off(Q) : need(M,Q).
:- pick(M), need(M,Q), not off(Q).
:- target(P), not off(P).
use(T) :- pick(M), tool(M,T).
#minimize{C,m,M : pick(M), cost(M,C); C,t,T : use(T), tc(T,C)}.
#show pick/1.
`)
	return w.Flush()
}
