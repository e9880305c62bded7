package paper

import (
	"cmp"
	"fmt"
	"iter"
	"maps"
	"slices"
	"strings"

	"lastbolt/job"
)

// sortedRenewed walks through the renewed pieces by name.
func sortedRenewed(m map[string]bool) iter.Seq2[string, bool] {
	return func(yield func(string, bool) bool) {
		for _, k := range slices.Sorted(maps.Keys(m)) {
			if !yield(k, m[k]) {
				return
			}
		}
	}
}

// differences are counts that did not agree, and disputes, with what was said
// of them.
func (p *recorder) differences() {
	var rows []block
	number := func(n int) string {
		if n < 0 {
			return "not counted"
		}
		return fmt.Sprint(n)
	}
	for _, d := range p.s.Differences {
		rows = append(rows, p.row(fmt.Sprintf("%s, %s: %s out, %s back", d.Name, d.GroupName, number(d.Out), number(d.Back)),
			cmp.Or(d.Explained, "Not explained.")))
	}
	for _, x := range p.s.Conflicts {
		var values []string
		for _, v := range x.Values {
			values = append(values, v.Value+" ("+p.by(v.Who(), v.At)+")")
		}
		settled := "Not settled."
		if x.Resolved != "" {
			settled = joined(" ", "Settled.", x.Why)
		}
		rows = append(rows, p.row("Two records of "+x.Thing, strings.Join(values, "; "), settled))
	}
	if t := p.s.Tools; t != nil {
		text := fmt.Sprintf("Tools counted: %d", t.Counted)
		for _, m := range t.Missing {
			text += "; missing " + m + ": " + cmp.Or(t.Declared[m], "nothing said of it")
		}
		rows = append(rows, p.row(text, p.by(t.By, t.At)))
	} else {
		rows = append(rows, p.row("Tools: not counted"))
	}
	p.section("Counts", rows, "")
}

func (p *recorder) tests() {
	var rows []block
	for _, t := range p.s.Tests {
		if len(t.Readings) == 0 {
			rows = append(rows, p.row(t.Name+": no value recorded", limits(t)))
			continue
		}
		for _, r := range t.Readings {
			pass := "does not pass"
			if r.Pass {
				pass = "passes"
			}
			rows = append(rows, p.row(fmt.Sprintf("%s: %s, %s", t.Name, strings.TrimSpace(r.Value+" "+r.Unit), pass),
				joined(" · ", limits(t), r.Note, p.by(r.By, r.At))))
		}
	}
	p.section("Tests", rows, "No tests.")
}

func (p *recorder) found() {
	var rows []block
	for _, f := range p.s.Found {
		by := ""
		if f.FoundNotDone.By != "" {
			by = "by " + f.FoundNotDone.By
		}
		rows = append(rows, p.row(joined(": ", f.Severity, f.What), joined(" · ", f.Advice, by, p.by(f.By, f.At))))
	}
	p.section("Found, not done", rows, "Nothing is recorded.")
}

func (p *recorder) followUps() {
	var rows []block
	for i := range p.s.FollowUps {
		f := &p.s.FollowUps[i]
		row := joined(": ", f.DueText(), f.Title)
		more := []string{f.Why}
		if f.Done != nil {
			more = append(more, joined(" · ", "Looked at: "+cmp.Or(f.Done.Found, "nothing said"), f.Done.Odometer, p.by(f.DoneBy, f.DoneAt)))
		}
		rows = append(rows, p.row(row, more...))
	}
	p.section("To look at again", rows, "Nothing follows from what was opened.")
}

func (p *recorder) amendments() {
	var rows []block
	for _, a := range p.s.Amendments {
		rows = append(rows, p.row(a.Text, p.by(cmp.Or(a.Who, a.By), a.At)))
	}
	p.section("Added after the release", rows, "")
}

// history is the log, an entry a line. What was undone stays, struck out by a
// word.
func (p *recorder) history() {
	const at = 40.0
	var rows []block
	for _, e := range p.s.History {
		text := joined(" · ", e.Text, e.By)
		if e.Undone {
			text = "(undone) " + text
		}
		rows = append(rows, beside(p.para(styleSmall, p.opt.when(e.At), at-2, 1), indent(at, p.para(styleSmall, text, p.width()-at, 4))))
	}
	for _, pr := range p.s.Problems {
		rows = append(rows, p.para(styleSmall, "Not readable in full: "+pr.Text, p.width(), 4))
	}
	p.section("The log", rows, "")
}

// photos are placed two by two with what is known of them.
func (p *recorder) photos() {
	const between = 6.0
	w := (p.width() - between) / 2
	var cells []block
	for _, ph := range p.s.Photos {
		cells = append(cells, p.photo(ph, w))
	}
	var rows []block
	for i := 0; i < len(cells); i += 2 {
		row := cells[i]
		if i+1 < len(cells) {
			row = beside(row, indent(w+between, cells[i+1]))
		}
		rows = append(rows, stack(row, gap(4)))
	}
	p.section("Photos", rows, "No photos.")
}

// clips are named; to be heard they are in the program and in its exports, by
// the beginning of their hash.
func (p *recorder) clips() {
	var rows []block
	for _, c := range p.s.Clips {
		about := c.Say()
		if st := p.s.StepByID(c.Step); st != nil {
			about += fmt.Sprintf(" (step %d, %s)", p.number[st.ID], st.Name)
		}
		about = strings.ToUpper(about[:1]) + about[1:]
		small := joined(" · ", p.by(c.By, c.At), "file "+c.File[:min(12, len(c.File))]+" of the export")
		rows = append(rows, stack(p.para(styleText, about, p.width(), 3), p.para(styleSmall, small, p.width(), 1), gap(2)))
	}
	p.section("Sound clips", rows, "")
}

func (p *recorder) photo(ph job.Photo, w float64) block {
	const high = 68.0
	about := ph.Note
	if st := p.s.StepByID(ph.Step); st != nil {
		about = joined(": ", fmt.Sprintf("Step %d, %s", p.number[st.ID], st.Name), ph.Note)
	}
	text := stack(p.para(styleText, about, w, 3), p.para(styleSmall, p.by(ph.By, ph.At), w, 1))
	return stack(p.picture(p.shots[ph.File], w, high), gap(1), text)
}
