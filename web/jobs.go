package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/opening"
	"lastbolt/web/parts"
	"lastbolt/web/ui"
)

func queryEscape(s string) string { return url.QueryEscape(s) }

// page is the frame of an ordinary page.
func (h *Host) page(r *http.Request, section parts.Section, title string) parts.PageInfo {
	return parts.PageInfo{Title: title, Section: section, Theme: ui.Theme(r), Toast: r.URL.Query().Get("said")}
}

// jobFrame is the frame of a page inside a job: one thing to do, the place in
// the top line, live updates, the screen kept on.
func (h *Host) jobFrame(r *http.Request, s *job.State, title string) parts.PageInfo {
	p := h.page(r, parts.Jobs, title)
	p.Focus = true
	p.Place, p.PlaceNote = placeWords(s)
	p.PlaceHref = jobURL(s.ID, "")
	p.Live = jobURL(s.ID, "live")
	if left := s.Progress.RemainingMinutes; left > 0 && s.Plan != nil && !s.IsReleased() {
		p.Aside = minutesText(left) + " to go"
	}
	return p
}

func placeWords(s *job.State) (place, note string) {
	place = s.Vehicle
	if place == "" {
		place = "Vehicle"
	}
	note = s.Title
	if note == "" {
		note = s.Complaint
	}
	return place, note
}

const jobsAPage = 50

func (h *Host) listJobs(w http.ResponseWriter, r *http.Request) {
	if r.URL.Query().Get("show") == "due" {
		h.listDue(w, r)
		return
	}
	q := job.Query{Text: strings.TrimSpace(r.URL.Query().Get("q")), Limit: jobsAPage + 1}
	released := r.URL.Query().Get("show") == "released"
	q.Closed = released || q.Text != ""
	q.Vehicle = r.URL.Query().Get("vehicle")
	q.Offset = numberFrom(r.URL.Query().Get("from"))
	if released {
		q.Stage = string(job.StageReleased)
	}
	list, err := h.Book.Summaries(r.Context(), q)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := jobsView{
		Title: "Jobs in hand", Query: q.Text,
		EmptyTitle: "No job in hand", EmptyText: "Start one with a map of the vehicle, or without: record as you go, and keep the map.",
		Other: parts.Link{Label: "Released jobs", Href: "/jobs?show=released"},
	}
	if h.Room != nil {
		v.Storage = parts.Link{Label: "Storage", Href: "/storage"}
	}
	if released {
		v.Title, v.EmptyTitle, v.EmptyText = "Released jobs", "Nothing released yet", "A job comes here when the vehicle is handed over."
		v.Other = parts.Link{Label: "Jobs in hand", Href: "/jobs"}
	}
	if q.Text != "" && len(list) == 0 {
		v.EmptyTitle, v.EmptyText = "Nothing found", "No job speaks of \""+q.Text+"\"."
	}
	if len(list) > jobsAPage {
		list = list[:jobsAPage]
		next := r.URL.Query()
		next.Set("from", fmt.Sprint(q.Offset+jobsAPage))
		v.Older = parts.Link{Label: "Older jobs", Href: "/jobs?" + next.Encode()}
	}
	for _, s := range list {
		v.Rows = append(v.Rows, h.jobRow(s))
	}
	if q.Text == "" && q.Offset == 0 && !released {
		more := false
		if v.Due, more, err = h.dueRows(r.Context(), 0, dueFirst); err != nil {
			h.fail(w, r, err)
			return
		}
		if more {
			v.AllDue = parts.Link{Label: "All that is due", Href: "/jobs?show=due"}
		}
	}
	h.show(w, r, http.StatusOK, jobsPage(h.page(r, parts.Jobs, v.Title), v))
}

// dueAhead is how many days ahead of its day something due is shown.
const dueAhead = 7

// dueFirst is how many things due stand above the jobs in hand; the page of what
// is due has all of them.
const dueFirst = 20

// dueRows are the things due soon or overdue, earliest first, of released jobs
// too: a follow-up comes due when the vehicle has long been handed over. More says
// that there are others behind them.
func (h *Host) dueRows(ctx context.Context, from, most int) (rows []rowView, more bool, err error) {
	list, err := h.Book.Summaries(ctx, job.Query{Closed: true, DueBy: h.today().AddDate(0, 0, dueAhead+1).Add(-1), Offset: from, Limit: most + 1})
	if err != nil {
		return nil, false, err
	}
	if more = len(list) > most; more {
		list = list[:most]
	}
	for _, s := range list {
		row := rowView{Href: jobURL(s.ID, "prove"), Name: s.DueWhat, Beneath: jobName(s), Tag: "due " + h.day(s.Due)}
		if h.passed(s.Due) {
			row.State = "now"
		}
		rows = append(rows, row)
	}
	return rows, more, nil
}

// listDue is the page of everything that is due.
func (h *Host) listDue(w http.ResponseWriter, r *http.Request) {
	from := numberFrom(r.URL.Query().Get("from"))
	rows, more, err := h.dueRows(r.Context(), from, jobsAPage)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := jobsView{
		Title: "Due", Rows: rows, EmptyTitle: "Nothing is due", EmptyText: "What is to be looked at again stands here from a week before its day.",
		Other: parts.Link{Label: "Jobs in hand", Href: "/jobs"},
	}
	if more {
		v.Older = parts.Link{Label: "Due later", Href: fmt.Sprintf("/jobs?show=due&from=%d", from+jobsAPage)}
	}
	h.show(w, r, http.StatusOK, jobsPage(h.page(r, parts.Jobs, v.Title), v))
}

func (h *Host) jobRow(s job.Summary) rowView {
	row := rowView{Href: jobURL(s.ID, ""), Name: jobName(s), Tag: stageName(job.Stage(s.Stage))}
	var beneath []string
	if s.Next != "" {
		beneath = append(beneath, "Next: "+s.Next)
	} else if s.Complaint != "" {
		beneath = append(beneath, s.Complaint)
	}
	if s.Owed > 0 {
		beneath = append(beneath, plural(s.Owed, "thing is off", "things are off"))
	}
	beneath = append(beneath, "last touched "+h.when(s.Touched))
	row.Beneath = strings.Join(beneath, " · ")
	switch {
	case s.Paused:
		row.Tag, row.State = "Paused", "open"
	case !s.Released.IsZero():
		row.State = "done"
	}
	return row
}

func jobName(s job.Summary) string {
	name := s.Title
	if name == "" {
		name = s.Complaint
	}
	if s.Vehicle != "" {
		name = s.Vehicle + " · " + name
	}
	return strings.TrimSuffix(name, " · ")
}

// load folds a job's log.
func (h *Host) load(ctx context.Context, id string) (*job.State, error) { return h.Book.Load(ctx, id) }

// stageTabs are the stages as links, in the order of a job's life.
func stageTabs(s *job.State, current string) []parts.Tab {
	tabs := []parts.Tab{
		{Label: "Job", Href: jobURL(s.ID, "")},
		{Label: "Plan", Href: jobURL(s.ID, "plan")},
		{Label: "Ready", Href: jobURL(s.ID, "ready")},
		{Label: "Steps", Href: jobURL(s.ID, "steps")},
		{Label: "Prove", Href: jobURL(s.ID, "prove")},
		{Label: "Record", Href: jobURL(s.ID, "record")},
	}
	if s.Progress.Total > 0 {
		tabs[3].Count = fmt.Sprintf("%d of %d", s.Progress.Done, s.Progress.Total)
	}
	for i := range tabs {
		tabs[i].Current = strings.EqualFold(tabs[i].Label, current)
	}
	tabs[5].Done = s.IsReleased()
	return tabs
}

// viewJob is the first page of a job, also after months: what is off, what is
// where, what must be ordered, what is due, and what comes next.
func (h *Host) viewJob(s *job.State, shelf garage.Shelf) jobView {
	v := jobView{Title: s.Title, Invented: s.Invented, Tabs: stageTabs(s, "Job"), HasSteps: len(s.Steps) > 0, Undo: undoOf(s)}
	if v.Title == "" {
		v.Title = s.Complaint
	}
	v.Beneath = strings.Join(nonEmpty(s.Vehicle, s.Odometer, stageName(s.Stage), "begun "+h.day(s.Started)), " · ")
	if v.HasSteps {
		v.Valley = valleyOf(s)
	}
	v.Main = h.mainLink(s)
	if s.Pause != nil {
		v.Banner = "Paused " + h.when(s.Pause.From) + prefixed(", until ", s.Pause.Until) + prefixed(": ", s.Pause.Why) + "."
		if len(s.Pause.MustNotStart) > 0 {
			v.BannerMend = "Must not be started: " + strings.Join(s.Pause.MustNotStart, "; ") + "."
		}
	}
	v.Cards = append(v.Cards, h.openCards(s)...)
	v.Cards = append(v.Cards, h.disputeCards(s)...)
	v.Cards = append(v.Cards, workedCards(s, "")...)
	v.Cards = append(v.Cards, boltCards(s)...)
	v.Cards = append(v.Cards, sealCards(s)...)
	v.Cards = append(v.Cards, workCard(s), h.listCard(s, shelf), h.foundCard(s), h.jobCard(s))
	v.Cards = dropEmpty(v.Cards)
	return v
}

// mainLink is the one thing to do next.
func (h *Host) mainLink(s *job.State) parts.Link {
	switch {
	case s.IsReleased():
		return parts.Link{Label: "The record", Sub: "released " + h.day(s.Release.At), Href: jobURL(s.ID, "record")}
	case s.Pause != nil || len(s.Confirm) > 0 || s.Next != nil && h.resumption(s).Needed:
		return parts.Link{Label: "Go on", Sub: "look at the last steps again first", Href: jobURL(s.ID, "resume")}
	case s.Stage == job.StagePlan && s.NoMap:
		return parts.Link{Label: "Something comes off", Sub: "record as you go", Href: jobURL(s.ID, "off")}
	case s.Stage == job.StagePlan:
		return parts.Link{Label: "What is to be done?", Sub: "choose from the map, then plan", Href: jobURL(s.ID, "targets")}
	case s.Stage == job.StageReady:
		return parts.Link{Label: "Get ready", Sub: "tools, parts, litres before anything comes off", Href: jobURL(s.ID, "ready")}
	case recording(s):
		return parts.Link{Label: "Something comes off", Sub: "record as you go", Href: jobURL(s.ID, "off")}
	case s.Next != nil:
		return parts.Link{Label: "Next: " + stepTitle(s.Next), Sub: nextWord(s.Next), Href: stepURL(s.ID, s.Next.ID)}
	case s.Stage == job.StageProve:
		return parts.Link{Label: "Prove it", Sub: "the tests of what was opened", Href: jobURL(s.ID, "prove")}
	}
	return parts.Link{Label: "Release", Sub: "hand it over, with what is open shown", Href: jobURL(s.ID, "release")}
}

func nextWord(st *job.Step) string {
	switch st.Phase {
	case opening.Down:
		return "take apart"
	case opening.Up:
		return "put back"
	}
	return "the work"
}

func (h *Host) openCards(s *job.State) []cardView {
	var cards []cardView
	off := cardView{Title: "Off now, and where it is"}
	for _, ring := range s.Open {
		l := lineView{Name: ring.Name, Href: stepURL(s.ID, ring.Down)}
		var b []string
		for _, g := range ring.Groups {
			if g.OutKnown && g.Out > 0 {
				b = append(b, groupText(g))
			}
		}
		b = append(b, nonEmpty(prefixed("tray ", ring.Tray), "since "+h.when(ring.Since))...)
		l.Beneath = strings.Join(b, " · ")
		switch {
		case ring.Condition:
			l.Tag = "holds"
		case ring.Aside:
			l.Tag = "aside"
		case ring.Loosened:
			l.Tag, l.State = "loose", "open"
		default:
			l.Tag, l.State = "off", "open"
		}
		off.Lines = append(off.Lines, l)
	}
	if len(off.Lines) > 0 {
		if goesOnDown(s) && !s.IsReleased() {
			off.Links = []parts.Link{{Label: "Put it back now", Href: jobURL(s.ID, "back")}}
		}
		if s.NoMap && !recording(s) && !s.IsReleased() {
			off.Links = append(off.Links, parts.Link{Label: "Something comes off", Href: jobURL(s.ID, "off")})
		}
		cards = append(cards, off)
	}
	counts := cardView{Title: "Counts that differ", Text: "The job cannot be released before each is explained or counted again."}
	for _, d := range s.Differences {
		l := lineView{Name: d.Name + ": " + d.GroupName, Beneath: differenceText(d), Href: jobURL(s.ID, "explain") + "?item=" + queryEscape(d.Item) + "&group=" + queryEscape(d.Group)}
		if d.Explained != "" {
			l.Tag, l.State, l.Beneath = "explained", "done", l.Beneath+" · "+d.Explained
		} else {
			l.Tag, l.State = "explain", "now"
		}
		counts.Lines = append(counts.Lines, l)
	}
	if len(counts.Lines) > 0 {
		cards = append(cards, counts)
	}
	return cards
}

// goesOnDown reports that the way back is not reached by the plan alone: there
// is no plan, or it has not been taken apart to its end.
func goesOnDown(s *job.State) bool {
	return recording(s) || s.Stage == job.StageApart
}

// recording reports that a job without a plan is on its way down: more may come
// off, until the work is done or the way back is planned.
func recording(s *job.State) bool {
	if !s.NoMap || s.Plan != nil || s.IsReleased() {
		return false
	}
	return s.Next == nil && s.Stage == job.StageApart || s.Next != nil && s.Next.Phase == opening.Bottom
}

// workCard leads a job that is recorded as it goes to its work.
func workCard(s *job.State) cardView {
	c := cardView{Title: "The work"}
	if !recording(s) {
		return c
	}
	for _, st := range s.Steps {
		if st.Phase == opening.Bottom && !st.IsDone() {
			c.Lines = append(c.Lines, lineView{Name: st.Name, Beneath: "open it once it can be reached", Href: stepURL(s.ID, st.ID)})
		}
	}
	return c
}

func differenceText(d job.Difference) string {
	side := func(n int, word string) string {
		if n < 0 {
			return word + " not counted"
		}
		return fmt.Sprintf("%d %s", n, word)
	}
	return side(d.Out, "out") + ", " + side(d.Back, "back")
}

func (h *Host) disputeCards(s *job.State) []cardView {
	card := cardView{Title: "In dispute", Text: "Two records say different things. Both are kept; say which one holds."}
	for _, c := range s.Conflicts {
		if c.Resolved != "" {
			continue
		}
		l := lineView{Name: c.Thing}
		for _, val := range c.Values {
			l.Beneath += prefixed(" · ", strings.TrimSpace(val.Value+" "+val.Who()))
			l.Acts = append(l.Acts, parts.ActionInfo{
				URL: jobURL(s.ID, "settle"), Label: val.Value + " holds", Hidden: parts.Pairs("conflict", c.Key, "event", val.Event),
			})
		}
		l.Beneath = strings.TrimPrefix(l.Beneath, " · ")
		card.Lines = append(card.Lines, l)
	}
	if len(card.Lines) == 0 {
		return nil
	}
	return []cardView{card}
}

func (h *Host) listCard(s *job.State, shelf garage.Shelf) cardView {
	card := cardView{Title: "To get"}
	along := job.Ready(s, shelf).Along
	for i := range s.List {
		it := &s.List[i]
		l := lineView{ID: placeOf(it.Key), Name: it.Name, Beneath: strings.Join(nonEmpty(it.Amount, it.Size, it.Number, it.Why), " · ")}
		if it.How != "" {
			l.Tag = string(it.How)
		} else {
			l.Tag, l.State = "to get", "open"
			l.Beneath += prefixed(" · ", onShelf(along[i]))
			if along[i].Status == job.AtHand {
				l.Tag = "on the shelf"
			}
		}
		if it.Settled() {
			l.State = "done"
		} else if !s.IsReleased() {
			l.Acts = gotActs(s, it.Key, it.Name, it.How)
			for i := range l.Acts {
				l.Acts[i].Hidden = append(l.Acts[i].Hidden, parts.Pairs("at", l.ID)...)
			}
		}
		card.Lines = append(card.Lines, l)
	}
	if len(card.Lines) > 0 {
		card.Links = []parts.Link{{Label: "Add something", Href: jobURL(s.ID, "list")}}
	}
	return card
}

// onShelf says what of a thing is on the shelf, and what is lacking.
func onShelf(l job.ReadyLine) string {
	if l.OnHand == "" {
		return ""
	}
	return "on the shelf: " + l.OnHand + prefixed(", ", suffixed(l.Short, " more needed"))
}

// placeOf is the id of a line on a page, from its key.
func placeOf(key string) string { return "at-" + slugOf(key) }

func gotActs(s *job.State, key, name string, how job.How) []parts.ActionInfo {
	act := func(label string, as job.How) parts.ActionInfo {
		return parts.ActionInfo{URL: jobURL(s.ID, "got"), Label: label, Hidden: parts.Pairs("key", key, "name", name, "how", string(as))}
	}
	if how == job.Ordered {
		return []parts.ActionInfo{act("It came", job.Received)}
	}
	return []parts.ActionInfo{act("Have it", job.Have), act("Ordered", job.Ordered)}
}

func (h *Host) foundCard(s *job.State) cardView {
	card := cardView{Title: "Found, not done"}
	for _, f := range s.Found {
		l := lineView{Name: f.What, Beneath: strings.Join(nonEmpty(f.Advice, f.FoundNotDone.By), " · "), Tag: f.Severity}
		if f.Severity == job.Severities[0] {
			l.State = "now"
		}
		card.Lines = append(card.Lines, l)
	}
	if !s.IsReleased() {
		card.Links = []parts.Link{{Label: "Add what you found", Href: jobURL(s.ID, "found")}}
		if len(card.Lines) == 0 {
			card.Text = "A fault seen and left is written here, and goes on the record."
		}
	}
	return card
}

func (h *Host) jobCard(s *job.State) cardView {
	c := cardView{Title: "This job"}
	add := func(label, value string) {
		if value != "" {
			c.Facts = append(c.Facts, parts.Fact{Label: label, Value: value})
		}
	}
	add("Complaint", s.Complaint)
	add("Vehicle", s.Vehicle)
	add("VIN", s.VIN)
	if vin, err := garage.ReadVIN(s.VIN); err == nil {
		add("Check digit", vin.Say())
	}
	add("Odometer", s.Odometer)
	add("Map", s.MapName)
	if s.Progress.MeasuredMinutes > 0 {
		planned := ""
		if s.Progress.PlannedMinutes > 0 {
			planned = ", planned " + minutesText(s.Progress.PlannedMinutes) + " for the same steps"
		}
		add("Time so far", minutesText(s.Progress.MeasuredMinutes)+planned)
	}
	for _, n := range s.Notes {
		if n.Step == "" {
			add("Note", n.Text)
		}
	}
	c.Photos = photosOf(jobPhotos(s), "the job")
	c.Clips = h.clipsOf(jobClips(s))
	if s.IsReleased() {
		return c
	}
	c.Links = []parts.Link{
		{Label: "Note", Href: jobURL(s.ID, "note")},
		{Label: "Photo", Href: jobURL(s.ID, "photo")},
		{Label: "Sound", Href: jobURL(s.ID, "sound")},
		{Label: "Work out", Href: "/work-out" + forJob(s, "")},
		{Label: "Title, vehicle", Href: jobURL(s.ID, "edit")},
	}
	if s.Pause == nil {
		c.Links = append(c.Links, parts.Link{Label: "Pause", Href: jobURL(s.ID, "pause")})
	} else {
		c.Links = append(c.Links, parts.Link{Label: "Print the tag", Href: jobURL(s.ID, "paper/tag")})
	}
	return c
}

func jobPhotos(s *job.State) []job.Photo {
	var out []job.Photo
	for _, p := range s.Photos {
		if p.Step == "" {
			out = append(out, p)
		}
	}
	return out
}

func dropEmpty(cards []cardView) []cardView {
	var out []cardView
	for _, c := range cards {
		if c.Text != "" || len(c.Facts)+len(c.Lines)+len(c.Links)+len(c.Acts)+len(c.Photos)+len(c.Clips) > 0 {
			out = append(out, c)
		}
	}
	return out
}

func nonEmpty(words ...string) []string {
	var out []string
	for _, w := range words {
		if w != "" {
			out = append(out, w)
		}
	}
	return out
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

func numberFrom(s string) int {
	n := 0
	for _, c := range s {
		if c < '0' || c > '9' || n > 1e7 {
			return 0
		}
		n = n*10 + int(c-'0')
	}
	return n
}
