package paper

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"time"

	"lastbolt/job"
)

// Record prints the whole job as it was done: who released it and when, every
// step with its counts and torques, what went wrong, what was measured, what
// was found and left, what to look at again, photos, and the log in full. A
// job not yet released is printed as it stands, and says so.
func Record(s *job.State, opt Options) ([]byte, error) { return record(s, opt, nil) }

func record(s *job.State, opt Options, trace *[]placed) ([]byte, error) {
	d := document{what: "Record", title: s.Title, invented: s.Invented, trace: trace}
	shots := loadPhotos(s, &opt)
	return render(d, &opt, func(c *canvas) {
		p := recorder{c.steps(s), shots}
		c.jobHead(s)
		p.release()
		p.openItems()
		p.stepRecords()
		p.differences()
		p.fluids()
		p.belts()
		p.worked()
		p.tests()
		p.found()
		p.followUps()
		p.amendments()
		p.photos()
		p.clips()
		p.history()
	})
}

type recorder struct {
	*stepper
	shots map[string]shot
}

// section places a title with its first row, then the others. Without rows it
// says what is not there.
func (p *recorder) section(title string, rows []block, none string) {
	if len(rows) == 0 {
		if none == "" {
			return
		}
		rows = []block{p.para(styleText, none, p.width(), 2)}
	}
	p.place(stack(gap(3), p.heading(title, ""), gap(2), rows[0]))
	for _, r := range rows[1:] {
		p.place(r)
	}
}

// row is one entry: what, and beneath it what else is known of it.
func (p *recorder) row(what string, more ...string) block {
	rows := []block{p.para(styleBold, what, p.width(), 4)}
	for _, m := range more {
		rows = append(rows, p.para(styleText, m, p.width(), 12))
	}
	return stack(append(rows, gap(1.4))...)
}

func (p *recorder) by(who string, at time.Time) string {
	return joined(", ", who, p.opt.when(at))
}

// release is the act of handing over, in a frame.
func (p *recorder) release() {
	inner := p.width() - 4
	r := p.s.Release
	if r == nil {
		text := "Not released. This is the job as it stood when it was printed."
		p.place(stack(gap(3), p.framed(p.para(styleName, text, inner, 2), p.width(), 0.8, 2, 1.4)))
		return
	}
	rows := []block{
		p.para(styleName, "Released by "+cmp.Or(r.Who, r.By, "(no name)")+", "+p.opt.when(r.At), inner, 3),
		p.para(styleText, "Odometer: "+cmp.Or(r.Odometer, p.s.Odometer, "not read"), inner, 1),
	}
	if r.Statement != "" {
		rows = append(rows, p.para(styleText, r.Statement, inner, 20))
	}
	p.place(stack(gap(3), p.framed(stack(rows...), p.width(), 0.8)))
}

// openItems are what was open when it was released or, before that, is open
// now.
func (p *recorder) openItems() {
	var rows []block
	if r := p.s.Release; r != nil {
		for _, o := range r.Open {
			rows = append(rows, p.bullet(o))
		}
		p.section("Open at release", rows, "Nothing was open.")
		return
	}
	for _, o := range p.s.OpenItems(p.opt.Now) {
		text := o.Text
		if o.Blocks {
			text += " (stands in the way of the release)"
		}
		rows = append(rows, p.bullet(text))
	}
	p.section("Open now", rows, "Nothing is open.")
}

func (p *recorder) bullet(text string) block {
	return stack(beside(p.para(styleText, "•", 4, 1), indent(4, p.para(styleText, text, p.width()-4, 8))), gap(0.6))
}

// stepRecords are all steps in order, done or not.
func (p *recorder) stepRecords() {
	first := true
	for _, st := range p.s.Steps {
		rows := p.stepRecord(st)
		if first {
			first = false
			rows[0] = stack(gap(3), p.heading("Every step", plural(p.s.Progress.Done, "step done", "steps done")), gap(2), rows[0])
		}
		again := stack(p.para(styleBold, fmt.Sprintf("%d, continued", p.number[st.ID]), p.width(), 1), gap(1))
		p.keep(rows[0], again, rows[1:])
	}
}

func (p *recorder) stepRecord(st *job.Step) []block {
	const at = 14.0
	w := p.width() - at
	n := strconv.Itoa(p.number[st.ID])
	done := "not done"
	if st.IsDone() {
		done = "done " + p.opt.when(st.Finished)
		if st.By != "" {
			done = "done by " + p.by(st.By, st.Finished)
		}
	}
	time := ""
	if st.Minutes > 0 {
		time = minutesText(st.Minutes)
		if st.Expected > 0 {
			time += " (planned " + minutesText(st.Expected) + ")"
		}
	}
	tray := "" // as recorded: a record does not guess
	if st.IsDone() && st.Tray != "" {
		tray = "tray " + trayName(st.Tray)
	}
	unplanned := ""
	if st.Unplanned {
		unplanned = "not in the plan"
	}
	rows := []block{beside(
		p.para(styleBold, n, at-2, 1),
		indent(at, stack(p.para(styleBold, verb(st)+": "+st.Name, w, 3),
			p.para(styleText, joined(" · ", done, time, tray, unplanned), w, 3))))}
	add := func(text string) {
		if text != "" {
			rows = append(rows, indent(at, p.para(styleText, text, w, 6)))
		}
	}
	for _, g := range st.Groups {
		if st.IsDone() || g.OutKnown || g.BackKnown {
			add(p.groupRecord(st, g))
		}
	}
	for _, line := range p.boltRecord(st) {
		add(line)
	}
	for name, isNew := range sortedRenewed(st.Renewed) {
		word := "New: "
		if !isNew {
			word = "The old one fitted again: "
		}
		add(word + name)
	}
	for _, t := range st.Troubles {
		add(troubleText(t))
	}
	for _, note := range st.Notes {
		add("Note: " + note.Text)
	}
	add(st.Note)
	return append(rows, p.rule(p.width()))
}

// groupRecord is a group with its counts and how it was tightened.
func (p *recorder) groupRecord(st *job.Step, g job.Group) string {
	count := func(n int, known bool, word string) string {
		if !known {
			return word + " not counted"
		}
		return fmt.Sprintf("%d %s", n, word)
	}
	out, back := "out", "back"
	if g.Loosen {
		out, back = "loosened", "tight"
	}
	counts := count(g.Out, g.OutKnown, out)
	if st.Closes {
		counts += ", " + count(g.Back, g.BackKnown, back)
	}
	text := g.Name + ": " + counts
	if g.Size != "" {
		text += "; found different: " + g.Size
	}
	if !st.Closes {
		return text
	}
	for _, t := range st.Tightened {
		if t.Group == g.ID {
			return text + "; " + tightenedText(t)
		}
	}
	if st.IsDone() {
		text += "; torque not recorded"
	}
	return text
}

func tightenedText(t job.Tightened) string {
	source, known := sourceWords[t.Source]
	if !known {
		source = "source not known"
	}
	text := "tightened " + t.Value + " (" + source + ")"
	if t.With != "" {
		text += " with " + t.With
	}
	if t.Marked {
		text += ", marked"
	}
	return text
}

func troubleText(t job.Trouble) string {
	text := "Trouble: " + joined(", ", t.What, t.Note)
	if t.Minutes > 0 {
		text += " (" + minutesText(t.Minutes) + ")"
	}
	var needs []string
	for _, n := range t.Needs {
		needs = append(needs, strings.TrimSpace(joined(" ", n.Amount, n.Name, n.Size, n.Number)))
	}
	if len(needs) > 0 {
		text += "; needed " + strings.Join(needs, ", ")
	}
	return text
}
