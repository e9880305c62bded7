package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/keep/usage"
	"lastbolt/web/parts"
)

// A Room is what the host of the pages knows of the room things take, and how it
// keeps them safe. Disk, Browser and Backups may be nil.
type Room struct {
	Store keep.Sweeper
	Where string // where photos and clips are: a folder, a bucket, a browser
	// Disk is the bytes that the database takes, and of the disk that holds it
	// those free and all; a total of 0 is not known.
	Disk func(ctx context.Context) (Disk, error)
	// Browser says what the browser grants, where everything is kept in one.
	Browser func(ctx context.Context) Browser
	// Backups says how the row of backups stands.
	Backups func(ctx context.Context) (Backups, error)
	// Backup makes one now; nil where none are made.
	Backup func(ctx context.Context) error

	index usage.Index
}

// A Disk is the room on a disk, in bytes.
type Disk struct{ Database, Free, Total int64 }

// Backups is a row of backups.
type Backups struct {
	Folder  string
	Every   time.Duration // 0 means only when asked
	Newest  time.Time     // of the newest whole one; zero for none
	Whole   int
	Bytes   int64    // what they take; what they share counts once
	Near    bool     // in the data folder, so most likely on the same disk
	Missing int      // photos that were gone when the newest was made
	Broken  []string // names of those that are not whole
	Running bool
	Failed  string // why the last try failed, empty if it did not
}

// late is how old the newest backup may be where none are made by themselves.
const late = 7 * 24 * time.Hour

// Old reports whether the newest backup is older than it should be: twice the
// time between two, for a machine may have been off.
func (b Backups) Old(now time.Time) bool {
	limit := late
	if b.Every > 0 {
		limit = 2 * b.Every
	}
	return now.Sub(b.Newest) > limit
}

func (h *Host) roomRoutes(mux *Router) {
	mux.HandleFunc("GET /storage", h.showRoom)
	mux.HandleFunc("POST /storage/sweep", h.sweep)
	mux.HandleFunc("POST /storage/backup", h.backUp)
}

// mostJobs is how many jobs the page lists: those that take most.
const mostJobs = 20

type roomView struct {
	Error, Mend string
	Said        string
	Ask         bool // offer to ask the browser for its promise
	Cards       []cardView
}

func (h *Host) showRoom(w http.ResponseWriter, r *http.Request) {
	if h.Room == nil {
		h.fail(w, r, fault.New(fault.NotFound, "This device does not say what takes room. Look at it where Lastbolt is installed."))
		return
	}
	v, err := h.viewRoom(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v.Said = doneText(r)
	h.show(w, r, http.StatusOK, roomPage(h.page(r, parts.Jobs, "Storage"), v))
}

func (h *Host) viewRoom(ctx context.Context) (v roomView, err error) {
	report, err := usage.Look(ctx, h.Room.Store, &h.Room.index)
	if err != nil {
		return v, err
	}
	missing := cardView{Title: "Missing", Text: "These are shown in jobs and are not here: still on the phone that took them, or lost. A backup brings them back."}
	takes := cardView{Title: "What takes room"}
	add := func(label, value string) { takes.Facts = append(takes.Facts, parts.Fact{Label: label, Value: value}) }
	add("Photos", sumText(report.Photos, "photo", "photos"))
	add("Sound clips", sumText(report.Clips, "clip", "clips"))
	if report.Others.Files > 0 {
		add("Other files", sumText(report.Others, "file", "files"))
	}
	if h.Room.Disk != nil {
		d, err := h.Room.Disk(ctx)
		if err != nil {
			return v, err
		}
		add("Jobs, maps, shelf", ByteText(d.Database))
		if d.Total > 0 {
			add("Free on the disk", ByteText(d.Free)+" of "+ByteText(d.Total))
		}
		v.Error, v.Mend = FullText(d)
	}
	add("Kept in", h.Room.Where)
	v.Cards = append(v.Cards, takes)
	if h.Room.Browser != nil {
		b := h.Room.Browser(ctx)
		v.Ask = !b.Promised
		v.Error, v.Mend = b.fullText()
		v.Cards = append([]cardView{b.card()}, v.Cards...)
		missing = b.missing()
	}
	if h.Room.Backups != nil {
		b, err := h.Room.Backups(ctx)
		if err != nil {
			return v, err
		}
		v.Cards = append(v.Cards, h.backupCard(b))
	}
	v.Cards = append(v.Cards, h.jobsCard(ctx, report), h.leftCard(report), h.lostCard(ctx, missing, report))
	v.Cards = dropEmpty(v.Cards)
	return v, nil
}

// FullText says that a disk is nearly full, and what to do; empty while there is
// room.
func FullText(d Disk) (what, mend string) {
	mend = "Make room on it: move what else is on it elsewhere, or keep photos or backups on another disk."
	switch usage.LevelOf(d.Free, d.Total) {
	case usage.Low:
		return "The disk is nearly full: " + ByteText(d.Free) + " free.", mend
	case usage.Last:
		return "The disk is full but for " + ByteText(d.Free) + ". Photos and sound are not taken any more, so that what is written still gets in.", mend
	}
	return "", ""
}

func (h *Host) backupCard(b Backups) cardView {
	c := cardView{Title: "Backups"}
	add := func(label, value string) { c.Facts = append(c.Facts, parts.Fact{Label: label, Value: value}) }
	switch {
	case b.Newest.IsZero():
		c.Text = "There is no backup yet."
		c.Warn = true
	case b.Old(h.Now()):
		c.Text = "The last backup is old: " + ageText(h.Now().Sub(b.Newest)) + "."
		c.Warn = true
	}
	if !b.Newest.IsZero() {
		add("Last one", h.when(b.Newest)+", "+agoText(h.Now().Sub(b.Newest))+", read back whole")
		add("Kept", plural(b.Whole, "backup", "backups")+", "+ByteText(b.Bytes))
	}
	if b.Missing > 0 {
		add("Without", plural(b.Missing, "photo or clip that was gone already", "photos or clips that were gone already"))
	}
	if len(b.Broken) > 0 {
		add("Not whole", strings.Join(b.Broken, ", "))
	}
	if b.Every > 0 {
		add("Made", "every "+ageText(b.Every))
	} else {
		add("Made", "only when asked for: start with --backup-every")
	}
	add("Kept in", b.Folder)
	if b.Near {
		add("Mind", "They are on the disk of the data itself and go with it. Start with --backups FOLDER to keep them on another.")
	}
	if b.Failed != "" {
		c.Text, c.Warn = strings.TrimSpace(c.Text+" The last try failed: "+b.Failed), true
	}
	switch {
	case b.Running:
		c.Text = strings.TrimSpace(c.Text + " One is being made now.")
	case h.Room.Backup != nil:
		c.Acts = []parts.ActionInfo{{URL: "/storage/backup", Label: "Back up now", Sent: "Backing up…"}}
	}
	return c
}

func (h *Host) jobsCard(ctx context.Context, report usage.Report) cardView {
	c := cardView{Title: "By job"}
	for _, j := range report.Jobs[:min(mostJobs, len(report.Jobs))] {
		c.Lines = append(c.Lines, lineView{
			Href: jobURL(j.ID, ""), Name: h.jobTitle(ctx, j.ID), Tag: ByteText(j.Bytes()),
			Beneath: strings.Join(nonEmpty(sumWords(j.Photos, "photo", "photos"), sumWords(j.Clips, "clip", "clips"), plural(j.Events, "record", "records")), " · "),
		})
	}
	if more := len(report.Jobs) - mostJobs; more > 0 {
		c.Text = fmt.Sprintf("The %d that take most, of %d.", mostJobs, len(report.Jobs))
	}
	return c
}

// jobTitle names a job by its own words, or by its id where it cannot be read.
func (h *Host) jobTitle(ctx context.Context, id string) string {
	s, err := h.Book.Load(ctx, id)
	if err != nil {
		return id
	}
	sum := job.Summarise(s)
	return strings.Join(nonEmpty(sum.Title, sum.Vehicle), " · ")
}

func (h *Host) leftCard(report usage.Report) cardView {
	var all usage.Sum
	for _, f := range report.Orphans {
		all.Files, all.Bytes = all.Files+1, all.Bytes+f.Bytes
	}
	for _, f := range report.Strays {
		all.Files, all.Bytes = all.Files+1, all.Bytes+f.Bytes
	}
	if all.Files == 0 {
		return cardView{}
	}
	return cardView{
		Title: "Left over",
		Text:  sumText(all, "file that nothing refers to", "files that nothing refers to") + ". They come from uploads that were broken off. What is younger than " + ageText(usage.Age) + " stays: a phone may still send what shows it.",
		Acts:  []parts.ActionInfo{{URL: "/storage/sweep", Label: "Take the old ones away", Sent: "Sweeping…"}},
	}
}

// lostCard lists the missing files on a card that says what that means here.
func (h *Host) lostCard(ctx context.Context, c cardView, report usage.Report) cardView {
	for _, l := range report.Lost {
		c.Lines = append(c.Lines, lineView{Href: jobURL(l.Jobs[0], ""), Name: "Photo or clip " + l.Name[:12] + "…", Beneath: h.jobTitle(ctx, l.Jobs[0])})
	}
	if len(c.Lines) == 0 {
		return cardView{}
	}
	return c
}

func (h *Host) sweep(w http.ResponseWriter, r *http.Request) {
	if !h.roomForm(w, r) {
		return
	}
	report, err := usage.Look(r.Context(), h.Room.Store, &h.Room.index)
	var swept usage.Swept
	if err == nil {
		swept, err = usage.Sweep(r.Context(), h.Room.Store, report, h.Now().Add(-usage.Age))
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	told := url.Values{"done": {"sweep"}, "removed": {strconv.Itoa(swept.Removed.Files)}, "bytes": {strconv.FormatInt(swept.Removed.Bytes, 10)}, "left": {strconv.Itoa(swept.Young.Files + swept.Begun.Files)}}
	http.Redirect(w, r, "/storage?"+told.Encode(), http.StatusSeeOther)
}

// doneText says what was done on the page before this one.
func doneText(r *http.Request) string {
	number := func(name string) int { return max(0, numberFrom(r.FormValue(name))) }
	switch r.FormValue("done") {
	case "backup":
		return "Backed up, and read back whole."
	case "sweep":
		return SweptText(usage.Swept{Removed: usage.Sum{Files: number("removed"), Bytes: int64(number("bytes"))}, Young: usage.Sum{Files: number("left")}})
	}
	return ""
}

// SweptText says what a sweep did.
func SweptText(s usage.Swept) string {
	text := "Taken away: " + sumText(s.Removed, "file", "files") + "."
	if left := s.Young.Files + s.Begun.Files; left > 0 {
		text += " Left for now, because they are younger than that: " + plural(left, "file", "files") + "."
	}
	return text
}

func (h *Host) backUp(w http.ResponseWriter, r *http.Request) {
	if !h.roomForm(w, r) {
		return
	}
	if h.Room.Backup == nil {
		h.fail(w, r, fault.New(fault.NotFound, "No backups are made here. lastbolt backup FOLDER makes one."))
		return
	}
	if err := h.Room.Backup(r.Context()); err != nil {
		h.fail(w, r, err)
		return
	}
	http.Redirect(w, r, "/storage?done=backup", http.StatusSeeOther)
}

// roomForm reads a form without fields, and refuses who may only look; it has
// answered when it is false.
func (h *Host) roomForm(w http.ResponseWriter, r *http.Request) bool {
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	err := parseForm(r)
	switch {
	case err != nil:
		err = formError(err)
	case h.Room == nil:
		err = fault.New(fault.NotFound, "This device does not say what takes room. Look at it where Lastbolt is installed.")
	case job.PersonOf(r.Context()).ReadOnly:
		err = fault.New(fault.Bad, "You may look at everything here but change nothing. Ask the owner for another role.")
	}
	if err != nil {
		h.fail(w, r, err)
	}
	return err == nil
}

func sumText(s usage.Sum, one, many string) string {
	if s.Files == 0 {
		return "none"
	}
	return plural(s.Files, one, many) + ", " + ByteText(s.Bytes)
}

func sumWords(s usage.Sum, one, many string) string {
	if s.Files == 0 {
		return ""
	}
	return sumText(s, one, many)
}

// ByteText writes bytes as disks are sold: 1 MB is a million.
func ByteText(n int64) string {
	switch {
	case n < 1000:
		return fmt.Sprintf("%d bytes", n)
	case n < 999_500:
		return fmt.Sprintf("%.0f kB", float64(n)/1e3)
	case n < 999_500_000:
		return fmt.Sprintf("%.3g MB", float64(n)/1e6)
	}
	return fmt.Sprintf("%.1f GB", float64(n)/1e9)
}

func agoText(d time.Duration) string {
	if d < time.Minute {
		return "just now"
	}
	return ageText(d) + " ago"
}

// ageText says a time in its largest unit.
func ageText(d time.Duration) string {
	switch {
	case d < 90*time.Minute:
		return plural(max(0, int(d.Minutes())), "minute", "minutes")
	case d < 48*time.Hour:
		return plural(int(d.Hours()+0.5), "hour", "hours")
	}
	return plural(int(d.Hours()/24+0.5), "day", "days")
}
