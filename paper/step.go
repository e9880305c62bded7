package paper

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"lastbolt/job"
	"lastbolt/plan/access"
)

// Where things of a step stand, from the left margin.
const (
	tickSide  = 8.0
	numberAt  = 10.5
	stepAt    = 23.0
	countWide = 28.0
)

// A stepper lays out the steps of one job.
type stepper struct {
	*canvas
	s      *job.State
	number map[string]int
	tray   map[string]string
	told   map[string]int // the step at which a caution stands in full, by its id
}

func (c *canvas) steps(s *job.State) *stepper {
	return &stepper{c, s, numbers(s), trays(s), map[string]int{}}
}

func (p *stepper) inner() float64 { return p.width() - stepAt }

// step is one step as a head (box, number, name) and rows below it.
func (p *stepper) step(st *job.Step) (head block, rows []block) {
	n := strconv.Itoa(p.number[st.ID])
	name := p.para(styleName, capital(st.Name), p.inner(), 3)
	head = beside(
		p.tick(tickSide, st.IsDone()),
		block{tickSide, func(x, y float64) { p.lineIn(x+numberAt, y+0.6, stepAt-numberAt-2, "L", styleHead, n) }},
		indent(stepAt, stack(gap(0.9), name, p.para(styleText, p.facts(st), p.inner(), 3), gap(0.8))),
	)
	add := func(b block) {
		if b.h > 0 {
			rows = append(rows, indent(stepAt, b))
		}
	}
	for _, b := range p.cautions(st) {
		add(stack(b, gap(1.4)))
	}
	for _, b := range p.before(st) {
		add(b)
	}
	for _, g := range st.Groups {
		add(p.group(st, g))
	}
	if len(st.Groups) == 0 {
		add(p.noGroups(st))
	}
	for _, b := range append(p.boltMap(st), p.after(st)...) {
		add(b)
	}
	rows = append(rows, p.rule(p.width()))
	return head, rows
}

// facts is the line under the name: what to do, from where, how long, tools.
func (p *stepper) facts(st *job.Step) string {
	parts := []string{verb(st)}
	if pl := st.Planned; pl != nil {
		if pl.Hands != "" {
			parts = append(parts, "hands: "+strings.ReplaceAll(pl.Hands, "-", " "))
		}
		if pl.People > 1 {
			parts = append(parts, fmt.Sprintf("%d people", pl.People))
		}
	}
	if st.Expected > 0 {
		parts = append(parts, "about "+minutesText(st.Expected))
	}
	if st.Unplanned {
		parts = append(parts, "not in the plan")
	}
	if st.Critical != "" {
		parts = append(parts, "safety: "+st.Critical)
	}
	if st.IsDone() {
		done := "done " + p.opt.when(st.Finished)
		if st.By != "" {
			done += " by " + st.By
		}
		parts = append(parts, done)
	}
	return strings.Join(parts, " · ")
}

// before is what has to be known before the first bolt: tools, tray, fluids,
// pieces to renew, notes.
func (p *stepper) before(st *job.Step) []block {
	var out []block
	say := func(label, text string) {
		if text != "" {
			out = append(out, p.labelled(label, text))
		}
	}
	way, work := st.Details(), workOf(p.s, st)
	if way != nil {
		say("Tools", toolsText(way.Tools))
		switch {
		case st.Opens:
			for _, f := range way.Fluids.Items {
				say("Comes out", p.fluid(f))
			}
			say("Use", consumables(way.Consumables, "off"))
			out = append(out, p.seals(st)...)
			say("Mind", way.Notes)
			for _, t := range way.Trouble {
				say("Often", oftenText(t))
			}
		case st.Closes:
			out = append(out, p.renew(st)...)
			out = append(out, p.seals(st)...)
			say("Use", consumables(way.Consumables, "back"))
			say("Mind", way.Back.Notes)
			if way.Back.Ground {
				say("Where", "wheels on the ground")
			}
		}
	}
	if st.Fluid != "" {
		out = append(out, p.refill(st.Fluid)...)
	}
	if work != nil {
		say("Tools", toolsText(work.Tools))
		for _, piece := range work.Parts.Items {
			out = append(out, p.tickLine("Part: "+pieceText(piece), false))
		}
		say("Use", consumables(work.Consumables, ""))
		say("Mind", work.Notes)
	}
	return out
}

// labelled is a short word and what it says.
func (p *stepper) labelled(label, text string) block {
	const labelWidth = 25.0
	return beside(p.para(styleBold, label, labelWidth-1, 1), indent(labelWidth, p.para(styleText, text, p.inner()-labelWidth, 6)))
}

func (p *stepper) fluid(f access.Fluid) string {
	text := f.Name + ", amount not known"
	if !f.Amount.IsZero() {
		text = f.Amount.In(p.opt.Units.Volume) + " of " + f.Name
	}
	if f.From != "" {
		text += ", from the " + f.From
	}
	if f.Reuse {
		text += "; catch it clean, it goes back in"
	}
	return text
}

// refill says what came out of where, and leaves room for what went in.
func (p *stepper) refill(fluid string) []block {
	var out []block
	for _, st := range p.s.Steps {
		way := st.Details()
		if way == nil || !st.Opens {
			continue
		}
		for _, f := range way.Fluids.Items {
			if f.Name == fluid {
				out = append(out, p.labelled("Let out", p.fluid(f)))
			}
		}
	}
	return append(out, stack(gap(0.8), p.writeIn("went in", "", 60), gap(1)))
}

// oftenText is what tends to go wrong, and how often by the map.
func oftenText(t access.Trouble) string {
	text := fmt.Sprintf("%s (about %.0f times in 100)", t.What, max(t.Odds*100, 1))
	var needs []string
	for _, n := range t.Needs {
		needs = append(needs, pieceText(n))
	}
	if len(needs) > 0 {
		text += "; then: " + strings.Join(needs, ", ")
	}
	return text
}

// consumables lists what is used up on one side of the valley; "" for both.
func consumables(l access.List[access.Consumable], side string) string {
	var parts []string
	for _, u := range l.Items {
		if side == "" || cmp.Or(u.For, "back") == side {
			parts = append(parts, strings.TrimSpace(u.Name+" "+u.Amount))
		}
	}
	return strings.Join(parts, ", ")
}

// renew are the pieces to be fitted new, each with a box.
func (p *stepper) renew(st *job.Step) []block {
	var out []block
	for _, piece := range p.s.Renewals(st) {
		isNew, said := st.Renewed[piece.Name]
		text := "New: " + pieceText(piece)
		if said && !isNew {
			text += " (the old one was fitted again)"
		}
		out = append(out, p.tickLine(text, isNew))
	}
	return out
}

func (p *stepper) tickLine(text string, done bool) block {
	const side = 5.0
	return stack(beside(p.tick(side, done), indent(side+2.5, p.para(styleText, text, p.inner()-side-3, 3))), gap(1))
}

// group is one group of fasteners: how many of what, the torque on the way
// back, and boxes to write the counts in.
func (p *stepper) group(st *job.Step, g job.Group) block {
	count := "?"
	switch {
	case st.Closes && g.OutKnown && !g.Loosen:
		count = strconv.Itoa(g.Out)
	case g.Want > 0:
		count = strconv.Itoa(g.Want)
	case g.OutKnown:
		count = strconv.Itoa(g.Out)
	}
	textWidth := p.inner() - countWide - 3
	torque := gap(0)
	if st.Closes && g.Fastener.Tightens() {
		textWidth -= torqueWidth + 2
		torque = p.torque(g.Fastener.Torque)
	}
	what := stack(p.para(styleBold, count+" × "+g.Name, textWidth, 3), p.para(styleSmall, p.opt.threadText(g.Fastener), textWidth, 2))
	for _, note := range groupNotes(st, g) {
		what = stack(what, p.para(styleSmall, note, textWidth, 2))
	}
	parts := []block{what, indent(p.inner()-countWide, p.counts(st, g))}
	if torque.h > 0 {
		parts = append(parts, indent(textWidth+2, torque))
	}
	return stack(gap(0.8), beside(parts...), gap(1))
}

func groupNotes(st *job.Step, g job.Group) []string {
	var notes []string
	if g.Size != "" {
		notes = append(notes, "found different: "+g.Size)
	}
	switch {
	case g.Loosen && st.Opens:
		notes = append(notes, "crack loose, leave in")
	case g.Loosen:
		notes = append(notes, "stayed in: tighten")
	case g.Replace && st.Closes:
		notes = append(notes, "single use: fit new ones")
	case g.Replace:
		notes = append(notes, "single use: new ones on the way back")
	}
	if n := g.Fastener.Notes; n != "" {
		notes = append(notes, n)
	}
	return notes
}

// counts are the boxes for a group's counts. On the way up the count out is
// shown or, where it was not yet recorded, left to be carried over.
func (p *stepper) counts(st *job.Step, g job.Group) block {
	value := func(n int, known bool) string {
		if !known {
			return ""
		}
		return strconv.Itoa(n)
	}
	out, back := "out", "back"
	if g.Loosen {
		out, back = "loose", "tight"
	}
	box := func(word, value string) block { // boxes in line below each other
		return beside(stack(gap(1.9), p.para(styleText, word, countWide-16, 1)), indent(countWide-16, p.writeIn("", value, 16)))
	}
	if st.Opens {
		return box(out, value(g.Out, g.OutKnown))
	}
	return stack(box(out, value(g.Out, g.OutKnown)), gap(1), box(back, value(g.Back, g.BackKnown)))
}

// noGroups says whether there is nothing to count or whether nobody said.
func (p *stepper) noGroups(st *job.Step) block {
	if st.Condition || !st.Opens && !st.Closes {
		return gap(0)
	}
	way := st.Details()
	if st.NoGroups || way != nil && way.Fasteners.None() {
		return p.para(styleText, "No fasteners.", p.inner(), 1)
	}
	return beside(p.para(styleText, "Fasteners not known: count them.", p.inner()-countWide-3, 2),
		indent(p.inner()-countWide, p.counts(st, job.Group{})))
}

// after is what follows the hands: tray, wait, what was recorded.
func (p *stepper) after(st *job.Step) []block {
	var out []block
	if tray := p.tray[st.ID]; tray != "" || st.Opens && pieces(st) > 0 {
		word := "Tray"
		if st.Closes {
			word = "From tray"
		}
		out = append(out, p.writeIn(word, tray, 48))
	}
	if st.Planned != nil && st.Planned.Wait != nil {
		out = append(out, stack(gap(1), p.wait(st.Planned.Wait)))
	}
	for _, n := range st.Notes {
		out = append(out, p.labelled("Note", n.Text))
	}
	for _, t := range st.Troubles {
		out = append(out, p.labelled("Trouble", joined(": ", t.What, t.Note)))
	}
	return out
}

func (p *stepper) wait(w *access.Wait) block {
	text := p.para(styleText, "Then wait: "+waitText(w), p.inner()-72, 3)
	return beside(text, indent(p.inner()-70, p.writeIn("from", "", 34)), indent(p.inner()-34, p.writeIn("until", "", 34)))
}

// capital makes the first letter large: fluids are named in small letters.
func capital(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(r)) + s[size:]
}

// joined joins what is not empty.
func joined(by string, parts ...string) string {
	var out []string
	for _, s := range parts {
		if s != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, by)
}
