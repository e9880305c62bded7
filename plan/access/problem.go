package access

import (
	"fmt"
	"strings"
)

// A Problem is one thing that is wrong with a map, or (Advice) one thing that
// would make it better. Line and Column start at 1 and count characters; they
// are 0 where the map did not come from a file.
type Problem struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Path   string `json:"path,omitempty"` // "items[3].ways[0].minutes.off"
	What   string `json:"what"`           // what is wrong
	Mend   string `json:"mend"`           // how to mend it
	Advice bool   `json:"advice,omitempty"`
}

// String gives "file:line:column: what; mend". Without a position it starts
// with the path.
func (p Problem) String() string {
	var at string
	switch {
	case p.Line > 0 && p.File != "":
		at = fmt.Sprintf("%s:%d:%d: ", p.File, p.Line, p.Column)
	case p.Line > 0:
		at = fmt.Sprintf("%d:%d: ", p.Line, p.Column)
	case p.Path != "":
		at = p.Path + ": "
	}
	text := at + p.What
	if p.Mend != "" {
		text += "; " + p.Mend
	}
	return text
}

// Problems is the error that Parse gives: everything that is wrong, in the
// order of the file.
type Problems []Problem

// shownProblems is how many an error text lists: more than that is read by
// nobody, and after mending these the rest is a new list anyway.
const shownProblems = 20

// Error lists the first twenty, one a line.
func (p Problems) Error() string {
	var b strings.Builder
	for i, one := range p {
		if i == shownProblems {
			fmt.Fprintf(&b, "\nand %d more", len(p)-i)
			break
		}
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(one.String())
	}
	return b.String()
}

// Errors gives the problems that are not advice.
func (p Problems) Errors() Problems { return p.only(false) }

// Advice gives the problems that are advice.
func (p Problems) Advice() Problems { return p.only(true) }

func (p Problems) only(advice bool) Problems {
	var out Problems
	for _, one := range p {
		if one.Advice == advice {
			out = append(out, one)
		}
	}
	return out
}
