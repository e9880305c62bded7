package web

import (
	"strings"

	"lastbolt/web/parts"
)

// An editView is a page with one long form in sections.
type editView struct {
	Title, Lead string
	Error, Mend string
	Problems    []problemView
	Look        parts.Link // where to see what stands in the way
	URL         string
	File        bool
	Hidden      []parts.Pair
	Sections    []sectionView
	Action, Sub string
	Back        parts.Link
}

// A problemView is one thing that is wrong: what, where, how to mend it.
type problemView struct{ What, Where, Line, Mend string }

// A sectionView is a part of a form; Folded ones open on a tap, and by
// themselves when something in them is wrong.
type sectionView struct {
	Title, Hint, Sum string
	Folded           bool
	Ticks            bool // boxes to tick, two beside each other on a desk
	Code             bool // holds the text of a file
	Cells            []cell
	Rows             []rowForm
	More             string // the list that can have another row
}

// Open reports that a folded section must show itself.
func (s sectionView) Open() bool {
	for _, c := range s.Cells {
		if c.Error != "" {
			return true
		}
	}
	for _, r := range s.Rows {
		for _, c := range r.Cells {
			if c.Error != "" || r.Opened {
				return true
			}
		}
	}
	return false
}

// Wrong leads to every field that something is wrong with.
func (e editView) Wrong() []parts.Link {
	var out []parts.Link
	add := func(before string, list []cell) {
		for _, c := range list {
			if c.Error == "" {
				continue
			}
			at := "#f-" + c.Name
			if c.Type == "check" || c.Type == "choices" {
				at = "#e-" + c.Name // only its sentence can be jumped to
			}
			out = append(out, parts.Link{Label: before + c.Label, Sub: c.Error, Href: at})
		}
	}
	for _, s := range e.Sections {
		add("", s.Cells)
		for _, r := range s.Rows {
			add(s.Title+", "+r.Legend+": ", r.Cells)
		}
	}
	return out
}

// A rowForm is one thing of a list: a group of fasteners, a piece, a fluid.
type rowForm struct {
	Legend string
	Opened bool // just asked for
	Hidden []parts.Pair
	Cells  []cell
}

// A size is the width of a field beside others.
type size string

const (
	full  size = "full"
	half  size = "half"
	third size = "third"
	rest  size = "rest" // what a third leaves
)

type cell struct {
	parts.FieldInfo
	Size size
}

func (c cell) class() string {
	if c.Size == "" {
		return "is-full"
	}
	return "is-" + string(c.Size)
}

// rowsToShow is how many rows of a list the page has: what is filled in, one
// blank, and two more when they were asked for.
func (t *typed) rowsToShow(list string) int {
	n := t.rows(list)
	if t.Get("more") == list {
		return n + 2
	}
	if n > 0 && !t.rowFilled(rowPrefix(list, n-1)) {
		return n
	}
	return n + 1
}

// row fills the cells of one row, and adds the tick that takes it out.
func (t *typed) row(row, legend string, cells ...cell) rowForm {
	list, _, _ := strings.Cut(row, ".")
	f := rowForm{Legend: legend, Opened: t.Get("more") == list}
	filled := t.rowFilled(row)
	if !filled {
		f.Legend = legend + ", blank"
	}
	for _, c := range cells {
		c.FieldInfo = t.field(c.FieldInfo)
		f.Cells = append(f.Cells, c)
	}
	if t.Has(row + "id") {
		f.Hidden = parts.Pairs(row+"id", t.Get(row+"id"))
	}
	if filled {
		f.Cells = append(f.Cells, cell{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: row + "gone", Label: "Take this out"})})
	}
	return f
}

func countSum(n int, one, many string) string {
	if n == 0 {
		return "none written down"
	}
	return plural(n, one, many)
}
