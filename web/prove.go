package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/web/parts"
)

// viewReady is everything the plan needs against what is there: before the
// point of no return, not after it.
func (h *Host) viewReady(s *job.State, shelf garage.Shelf) jobView {
	v := jobView{Title: "Get ready", Invented: s.Invented, Tabs: stageTabs(s, "Ready"), HasSteps: len(s.Steps) > 0, Undo: undoOf(s)}
	if v.HasSteps {
		v.Valley = valleyOf(s)
	}
	rd := job.Ready(s, shelf)
	switch {
	case len(s.Steps) == 0:
		v.Cards = []cardView{{Title: "Nothing planned yet", Text: "Once there is a plan, the tools, parts and litres it needs stand here."}}
		v.Main = h.mainLink(s)
		return v
	case s.Progress.Done == s.Progress.Total:
		v.Beneath = "Every step is done: nothing more is needed for them."
		if list := h.listCard(s, shelf); len(list.Lines) > 0 {
			v.Cards = []cardView{list}
		}
		v.Main = h.mainLink(s)
		return v
	case rd.Missing == 0 && rd.Unknown == 0:
		v.Beneath = "Everything is at hand."
	default:
		v.Beneath = strings.Join(nonEmpty(countText(rd.Missing, "missing"), countText(rd.Unknown, "not known to be enough")), ", ")
	}
	if rd.NoReturn != nil {
		mend := "Get what is missing before that step."
		v.Banner = "Point of no return: after \"" + rd.NoReturn.Name + "\" the vehicle does not drive."
		if s.Ring(rd.NoReturn.Item) != nil {
			v.Banner, mend = noReturnPassed(rd.NoReturn), "What is missing has to be fetched without it."
		}
		if rd.Missing > 0 {
			v.BannerMend = mend
		}
	}
	slices.SortStableFunc(rd.Lists, func(a, b job.ReadyList) int { // what is missing first
		return boolOrder(lacks(a), lacks(b))
	})
	for _, l := range rd.Lists {
		v.Cards = append(v.Cards, readyCard(s, l))
	}
	v.Cards = append(v.Cards, cardView{Title: "To buy or borrow", Text: rd.BuyList(), Share: rd.BuyList(), Links: []parts.Link{
		{Label: "Ready list on paper", Href: jobURL(s.ID, "paper/ready")}, {Label: "My shelf", Href: "/shelf"},
	}})
	if s.Next != nil {
		v.Main = parts.Link{Label: "Start: " + s.Next.Name, Sub: v.Beneath, Href: stepURL(s.ID, s.Next.ID)}
	}
	return v
}

func lacks(l job.ReadyList) bool {
	return l.ID != "spares" && slices.ContainsFunc(l.Lines, func(line job.ReadyLine) bool { return line.Status != job.AtHand })
}

func countText(n int, what string) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d %s", n, what)
}

func readyCard(s *job.State, l job.ReadyList) cardView {
	c := cardView{Title: l.Title}
	order := map[job.ReadyStatus]int{job.Missing: 0, job.NotKnownYet: 1, job.OnOrder: 2, job.AtHand: 3}
	lines := slices.Clone(l.Lines)
	slices.SortStableFunc(lines, func(a, b job.ReadyLine) int { return order[a.Status] - order[b.Status] })
	for i, line := range lines {
		row := lineView{ID: placeOf(line.Key), Name: strings.TrimSpace(line.Name + prefixed(" · ", line.Need)), Tag: string(line.Status)}
		row.Beneath = strings.Join(nonEmpty(
			prefixed("short ", line.Short), prefixed("on the shelf: ", line.OnHand), prefixed("or ", strings.Join(line.Or, ", ")),
			prefixed("for ", strings.Join(line.For, ", ")), line.Note), " · ")
		switch line.Status {
		case job.AtHand:
			row.State = "done"
		case job.Missing:
			row.State = "now"
		default:
			row.State = "open"
		}
		if line.Status != job.AtHand && !s.IsReleased() {
			how := job.How("")
			if line.Status == job.OnOrder {
				how = job.Ordered
			}
			for _, a := range gotActs(s, line.Key, line.Name, how) {
				a.Hidden = append(a.Hidden, parts.Pairs("from", "ready", "at", placeOf(nextOpen(lines, i).Key))...)
				row.Acts = append(row.Acts, a)
			}
		}
		c.Lines = append(c.Lines, row)
	}
	if rows := openingRows(s); l.ID == "containers" && rows != "" {
		c.Links = append(c.Links, parts.Link{Label: "How large each must be", Href: workOutURL(s, "", "catch-containers", "openings", rows)})
	}
	if l.ID == "wrenches" && !s.IsReleased() {
		c.Links = append(c.Links, parts.Link{Label: "Choose the wrench", Href: jobURL(s.ID, "wrench")})
	}
	switch {
	case len(l.Lines) == 0 && l.None:
		c.Text = "None needed."
	case len(l.Lines) == 0 && len(l.NotKnown) == 0:
		c.Text = "None needed by the map."
	case len(l.NotKnown) > 0:
		c.Text = "The map does not say for: " + strings.Join(l.NotKnown, ", ") + "."
		if !l.None && !s.IsReleased() {
			c.Acts = []parts.ActionInfo{{URL: jobURL(s.ID, "none"), Label: "I looked: nothing more", Hidden: parts.Pairs("what", l.ID, "from", "ready")}}
		}
	}
	return c
}

// nextOpen is the line after one that is not at hand either, where the hand goes
// next; the line itself if it was the last.
func nextOpen(lines []job.ReadyLine, at int) job.ReadyLine {
	for _, l := range lines[at+1:] {
		if l.Status != job.AtHand {
			return l
		}
	}
	return lines[at]
}

// viewProve is the tests of what was opened, the tools, and what must be looked
// at again.
func (h *Host) viewProve(s *job.State) jobView {
	v := jobView{Title: "Prove", Invented: s.Invented, Tabs: stageTabs(s, "Prove"), Undo: undoOf(s)}
	open := len(s.OpenTests())
	v.Beneath = fmt.Sprintf("%d of %d tests passed", len(s.Tests)-open, len(s.Tests))
	tests := cardView{Title: "Tests of what was opened"}
	if len(s.Tests) == 0 {
		tests.Text = "They are made from what is opened; nothing is, so far."
	}
	for i := range s.Tests {
		tests.Lines = append(tests.Lines, testLine(s, &s.Tests[i]))
	}
	v.Cards = append(v.Cards, tests, toolsCard(s), h.lookCard(s))
	if !s.IsReleased() {
		v.Main = parts.Link{Label: "Release", Sub: "with what is still open shown", Href: jobURL(s.ID, "release")}
	}
	return v
}

func testLine(s *job.State, t *job.Test) lineView {
	l := lineView{Name: t.Name, Beneath: t.How, Href: jobURL(s.ID, "test") + "?test=" + queryEscape(t.ID), Tag: "to do", State: "open"}
	if limits := limitText(t); limits != "" && !strings.Contains(strings.ToLower(l.Beneath), strings.ToLower(limits)) {
		l.Beneath += " · " + limits
	}
	if t.Danger {
		l.Beneath = "Before the wheels turn · " + l.Beneath
	}
	if n := len(t.Readings); n > 0 {
		last := t.Readings[n-1]
		l.Tag, l.State = strings.TrimSpace(last.Value+" "+last.Unit), "now"
		if last.Pass {
			l.State = "done"
		} else {
			l.Tag += ", fails"
		}
	}
	return l
}

func limitText(t *job.Test) string {
	switch {
	case t.Low != nil && t.High != nil:
		return fmt.Sprintf("%g to %g %s", *t.Low, *t.High, t.Unit)
	case t.Low != nil:
		return fmt.Sprintf("at least %g %s", *t.Low, t.Unit)
	case t.High != nil:
		return fmt.Sprintf("at most %g %s", *t.High, t.Unit)
	}
	return ""
}

// testPage takes one reading of one test.
func testPage(r *http.Request, s *job.State) formView {
	t := s.TestByID(r.FormValue("test"))
	if t == nil {
		return formView{Title: "Test", Lead: "There is no such test in this job: go back to the list of tests.", Action: "Back"}
	}
	f := formView{Title: t.Name, Lead: t.How, Action: "Write it down", Sub: "with the time and who", Hidden: parts.Pairs("test", t.ID)}
	if t.Unit != "" {
		f.Fields = []parts.FieldInfo{{Type: "number", Name: "value", Label: "What does it read?", Unit: t.Unit, Hint: strings.TrimSpace(limitText(t) + prefixed(" · ", t.Where)), Required: true, Focus: true}}
	} else {
		var words []parts.Option
		for _, c := range t.Words {
			words = append(words, parts.Option{Value: c.Text, Label: c.Text})
		}
		f.Fields = []parts.FieldInfo{{Type: "choices", Name: "value", Label: "What did you see?", Options: words, Required: true}}
	}
	f.Fields = append(f.Fields, parts.FieldInfo{Name: "note", Label: "Note"})
	return f
}

func toolsCard(s *job.State) cardView {
	c := cardView{Title: "Tools back"}
	if s.Tools == nil {
		c.Text = "Count the tools back before the engine runs: what is missing may be in it."
	} else {
		c.Facts = []parts.Fact{{Label: "Counted", Value: fmt.Sprint(s.Tools.Counted)}}
		for _, m := range s.Tools.Missing {
			c.Lines = append(c.Lines, lineView{Name: m, Beneath: s.Tools.Declared[m], Tag: "missing", State: "now"})
		}
	}
	if !s.IsReleased() {
		c.Links = []parts.Link{{Label: "Count them", Href: jobURL(s.ID, "tools")}}
	}
	return c
}

func toolsPage(_ *http.Request, s *job.State) formView {
	var carry []string
	seen := map[string]bool{}
	for _, st := range s.Steps {
		if w := st.Details(); w != nil {
			for _, t := range w.Tools.Items {
				if len(t.Any) > 0 && !seen[t.Any[0]] {
					seen[t.Any[0]] = true
					carry = append(carry, t.Any[0])
				}
			}
		}
	}
	return formView{Title: "Tools back", Lead: "Carried to this job: " + strings.Join(carry, ", ") + ".", Action: "Counted", Fields: []parts.FieldInfo{
		{Type: "number", Mode: "numeric", Name: "counted", Label: "How many tools came back?", Required: true, Hint: fmt.Sprintf("%d kinds are on the list.", len(carry))},
		{Type: "area", Name: "missing", Label: "Which are missing?", Hint: "One a line. Leave blank if none is."},
		{Name: "declared", Label: "What became of them?", Hint: "Lent, broken, left at home. Leave blank while looking."},
	}}
}

func (h *Host) lookCard(s *job.State) cardView {
	c := cardView{Title: "Look again"}
	for i := range s.FollowUps {
		f := &s.FollowUps[i]
		l := lineView{Name: f.Title, Beneath: f.DueText() + " · " + string(f.Source) + ", no source", Href: jobURL(s.ID, "look-again") + "?follow=" + queryEscape(f.ID)}
		switch {
		case f.Done != nil:
			l.Tag, l.State, l.Beneath = "looked", "done", f.Done.Found+" · "+h.day(f.DoneAt)
		case f.Due.IsZero():
			l.Tag = "after it is closed"
		case h.passed(f.Due):
			l.Tag, l.State = "due", "now"
		default:
			l.Tag, l.State = h.day(f.Due), "open"
		}
		c.Lines = append(c.Lines, l)
	}
	if len(c.Lines) == 0 {
		c.Text = "What must be looked at again comes from what is opened."
	} else {
		c.Links = []parts.Link{{Label: "Into my calendar", Href: jobURL(s.ID, "follow-ups.ics")}}
	}
	return c
}

func lookPage(r *http.Request, s *job.State) formView {
	f := formView{Title: "Look again", Action: "Write it down", Hidden: parts.Pairs("follow", r.FormValue("follow")), Fields: []parts.FieldInfo{
		{Name: "found", Label: "What did you find?", Required: true, Focus: true, Placeholder: "dry; tightened to the value again"},
		{Name: "odometer", Label: "Odometer"},
	}}
	for i := range s.FollowUps {
		if u := &s.FollowUps[i]; u.ID == r.FormValue("follow") {
			f.Title, f.Lead = u.Title, u.Why+" · "+u.DueText()
		}
	}
	return f
}

// viewRecord is the finished job as it will be kept: release, amendments,
// every line of the history, planned against measured minutes.
func (h *Host) viewRecord(s *job.State) jobView {
	v := jobView{Title: "The record", Invented: s.Invented, Tabs: stageTabs(s, "Record")}
	v.Beneath = strings.Join(nonEmpty(s.Vehicle, s.Title), " · ")
	rel := cardView{Title: "Release"}
	if s.Release != nil {
		rel.Facts = []parts.Fact{{Label: "Who", Value: s.Release.Who}, {Label: "When", Value: h.when(s.Release.At)}}
		if s.Release.Odometer != "" {
			rel.Facts = append(rel.Facts, parts.Fact{Label: "Odometer", Value: s.Release.Odometer})
		}
		rel.Text = s.Release.Statement
		for _, o := range s.Release.Open {
			rel.Lines = append(rel.Lines, lineView{Name: o, Tag: "open at release", State: "open"})
		}
		rel.Links = []parts.Link{{Label: "Amend", Href: jobURL(s.ID, "amend")}}
	} else {
		rel.Text = "Not released yet."
		rel.Links = []parts.Link{{Label: "Release", Href: jobURL(s.ID, "release")}}
	}
	v.Cards = append(v.Cards, rel)
	for _, a := range s.Amendments {
		v.Cards = append(v.Cards, cardView{Title: "Added " + h.when(a.At), Text: a.Text, Facts: []parts.Fact{{Label: "Who", Value: a.Who}}})
	}
	if s.Progress.MeasuredMinutes > 0 {
		v.Cards = append(v.Cards, minutesCard(s))
	}
	hist := cardView{Title: "Everything recorded"}
	for i := len(s.History) - 1; i >= 0; i-- {
		e := s.History[i]
		l := lineView{Name: e.Text, Beneath: strings.Join(nonEmpty(h.when(e.At), e.By), " · ")}
		if e.Undone {
			l.Tag = "taken back"
		}
		hist.Lines = append(hist.Lines, l)
	}
	paper := cardView{Title: "Keep", Links: []parts.Link{{Label: "Record on paper", Href: jobURL(s.ID, "paper/record")}}}
	if s.NoMap || len(s.Links) > 0 {
		paper.Acts = []parts.ActionInfo{{URL: jobURL(s.ID, "keep-map"), Label: "Keep as a map", Sub: "what was in the way of what, for the next time"}}
	}
	v.Cards = dropEmpty(append(v.Cards, paper, hist))
	return v
}

func minutesCard(s *job.State) cardView {
	c := cardView{Title: "Minutes, planned and measured"}
	for _, st := range s.Steps {
		if st.Minutes > 0 {
			beneath := nextWord(st)
			if st.Expected > 0 { // nothing was planned of what was only recorded
				beneath += " · planned " + minutesText(st.Expected)
			}
			c.Lines = append(c.Lines, lineView{Name: st.Name, Beneath: beneath, Tag: minutesText(st.Minutes)})
		}
	}
	return c
}
