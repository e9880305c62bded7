package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"text/tabwriter"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
	taken "lastbolt/keep/usage"
	"lastbolt/store/backups"
	"lastbolt/store/folder"
	"lastbolt/store/s3"
	"lastbolt/web"
)

type storageCommand struct {
	Show *storageShow `arg:"subcommand:show" help:"Say what takes room, by job, and what is missing."`
	Copy *storageCopy `arg:"subcommand:copy" help:"Copy all photos and clips to another place, to keep them there from then on."`
}

type storageShow struct {
	Backups string `arg:"--backups" help:"Folder of the backups (default: backups in the data folder)." placeholder:"FOLDER"`
	Jobs    int    `arg:"--jobs" help:"How many jobs to list." default:"20" placeholder:"N"`
	JSON    bool   `arg:"--json" help:"Print JSON."`
}

// A storageJob is one line of the list by job.
type storageJob struct {
	ID     string    `json:"id"`
	Title  string    `json:"title"`
	Photos taken.Sum `json:"photos"`
	Clips  taken.Sum `json:"clips"`
	Events int       `json:"events"`
	Bytes  int64     `json:"bytes"`
}

// A storageReport is what is printed as JSON.
type storageReport struct {
	Where    string       `json:"where"`
	Photos   taken.Sum    `json:"photos"`
	Clips    taken.Sum    `json:"clips"`
	Others   taken.Sum    `json:"others"`
	Database int64        `json:"database_bytes"`
	Free     int64        `json:"free_bytes"`
	Total    int64        `json:"disk_bytes"`
	Backups  taken.Sum    `json:"backups"`
	Last     *time.Time   `json:"last_backup"`
	Orphans  taken.Sum    `json:"left_over"`
	Missing  []taken.Lost `json:"missing"`
	Jobs     []storageJob `json:"jobs"`
}

func (c storageShow) Run(ctx context.Context, env *Env) error {
	st, err := existing(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	done := progress(env.Err, "looking")
	r, err := c.report(ctx, env, st)
	done()
	if err != nil {
		return err
	}
	if c.JSON {
		out := json.NewEncoder(env.Out)
		out.SetIndent("", "  ")
		return out.Encode(r)
	}
	return r.print(env)
}

func (c storageShow) report(ctx context.Context, env *Env, st data) (storageReport, error) {
	var index taken.Index
	look, err := taken.Look(ctx, st, &index)
	if err != nil {
		return storageReport{}, err
	}
	d, err := disk(ctx, env, st)
	if err != nil {
		return storageReport{}, err
	}
	r := storageReport{Where: where(st), Photos: look.Photos, Clips: look.Clips, Others: look.Others,
		Database: d.Database, Free: d.Free, Total: d.Total, Missing: look.Lost, Orphans: leftOver(look)}
	book := job.NewBook(st, nil)
	for _, j := range look.Jobs[:min(max(c.Jobs, 0), len(look.Jobs))] {
		line := storageJob{ID: j.ID, Title: j.ID, Photos: j.Photos, Clips: j.Clips, Events: j.Events, Bytes: j.Bytes()}
		if s, err := book.Load(ctx, j.ID); err == nil {
			line.Title = job.Summarise(s).Title
		}
		r.Jobs = append(r.Jobs, line)
	}
	list, err := backups.List(backupsIn(env, c.Backups))
	for _, b := range list {
		if b.Whole() {
			r.Backups.Files++
		}
	}
	if newest, any := backups.Newest(list); any {
		r.Last = &newest.Made
	}
	if err == nil {
		r.Backups.Bytes, err = backups.Taken(backupsIn(env, c.Backups))
	}
	return r, err
}

func leftOver(r taken.Report) (s taken.Sum) {
	for _, f := range r.Orphans {
		s = taken.Sum{Files: s.Files + 1, Bytes: s.Bytes + f.Bytes}
	}
	for _, f := range r.Strays {
		s = taken.Sum{Files: s.Files + 1, Bytes: s.Bytes + f.Bytes}
	}
	return s
}

func (r storageReport) print(env *Env) error {
	w := tabwriter.NewWriter(env.Out, 0, 0, 2, ' ', 0)
	sum := func(name string, s taken.Sum) { fmt.Fprintf(w, "%s\t%d\t%s\n", name, s.Files, web.ByteText(s.Bytes)) }
	sum("photos", r.Photos)
	sum("sound clips", r.Clips)
	if r.Others.Files > 0 {
		sum("other files", r.Others)
	}
	fmt.Fprintf(w, "database\t\t%s\n", web.ByteText(r.Database))
	if r.Orphans.Files > 0 {
		sum("left over (lastbolt sweep)", r.Orphans)
	}
	fmt.Fprintf(w, "missing\t%d\t\n", len(r.Missing))
	last := "none"
	if r.Last != nil {
		last = "last " + r.Last.Local().Format("2 Jan 2006 15:04")
	}
	fmt.Fprintf(w, "backups\t%d\t%s, %s\n", r.Backups.Files, web.ByteText(r.Backups.Bytes), last)
	if r.Total > 0 {
		fmt.Fprintf(w, "free on the disk\t\t%s of %s\n", web.ByteText(r.Free), web.ByteText(r.Total))
	}
	fmt.Fprintf(w, "photos and clips are in %s\n", shown(r.Where))
	if len(r.Jobs) > 0 {
		fmt.Fprintln(w, "\njob\tphotos\tclips\trecords\ttakes")
		for _, j := range r.Jobs {
			fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%s\n", shown(j.Title), j.Photos.Files, j.Clips.Files, j.Events, web.ByteText(j.Bytes))
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if what, mend := web.FullText(web.Disk{Free: r.Free, Total: r.Total}); what != "" {
		fmt.Fprintln(env.Err, what, mend)
	}
	return nil
}

type storageCopy struct {
	To string `arg:"--to,required" help:"Where to: a data folder, or an address as in s3://bucket/prefix?endpoint=URL." placeholder:"FOLDER|ADDRESS"`
}

func (c storageCopy) Run(ctx context.Context, env *Env) error {
	st, err := existing(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	to, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer to.Close() // what is kept is durable already
	stored, err := st.Stored(ctx)
	if err != nil {
		return err
	}
	done := progress(env.Err, "copying")
	var copied taken.Sum
	var gone []string
	for _, f := range stored {
		content, _, failed := st.Open(ctx, f.Name)
		if fault.Is(failed, fault.Damaged) {
			gone = append(gone, f.Name)
			continue
		}
		if err = failed; err == nil {
			err = to.Keep(ctx, f.Name, content)
		}
		if err != nil {
			break
		}
		copied.Files, copied.Bytes = copied.Files+1, copied.Bytes+f.Bytes
	}
	done()
	fmt.Fprintf(env.Err, "copied: %s, %s\n", counted(copied.Files, "photo or clip", "photos and clips"), web.ByteText(copied.Bytes))
	lost(env, gone)
	if err != nil {
		return err
	}
	fmt.Fprintln(env.Err, "What was copied is still in the old place too. To go on with the new one, set LASTBOLT_FILES or --files to it; for a data folder leave both out.")
	return nil
}

func (c storageCopy) open(ctx context.Context) (keep.Contents, error) {
	if !s3.IsAddress(c.To) {
		return folder.Open(c.To)
	}
	at, err := s3.Parse(c.To)
	if err != nil {
		return nil, status{err, exitUsage}
	}
	return s3.Open(ctx, at)
}

type sweepCommand struct {
	Remove bool          `arg:"--remove" help:"Take them away; else they are only listed."`
	Older  time.Duration `arg:"--older" help:"Only what was left alone so long." default:"168h" placeholder:"TIME"`
}

// leastAge is the shortest time a sweep waits: longer than any upload takes.
const leastAge = time.Hour

func (c sweepCommand) Run(ctx context.Context, env *Env) error {
	if c.Older < leastAge {
		return usage("--older %v is too short: a photo that is just being recorded could be taken. Name an hour or more, as in 24h", c.Older)
	}
	st, err := existing(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	done := progress(env.Err, "looking")
	var index taken.Index
	r, err := taken.Look(ctx, st, &index)
	done()
	if err != nil {
		return err
	}
	before := env.Now().Add(-c.Older)
	w := tabwriter.NewWriter(env.Out, 0, 0, 2, ' ', 0)
	for _, f := range r.Orphans {
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", f.Name, shown(f.Media), web.ByteText(f.Bytes), ageOf(f.Kept, before))
	}
	for _, f := range r.Strays {
		fmt.Fprintf(w, "%s\tnot listed\t%s\t%s\n", f.Name, web.ByteText(f.Bytes), ageOf(time.Time{}, before))
	}
	for _, l := range r.Lost {
		fmt.Fprintf(w, "%s\tmissing\t\tshown in job %s\n", l.Name, shown(l.Jobs[0]))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if !c.Remove {
		fmt.Fprintf(env.Err, "%s that nothing refers to, %d missing. Nothing was taken away: --remove does that.\n", counted(leftOver(r).Files, "file", "files"), len(r.Lost))
		return nil
	}
	swept, err := taken.Sweep(ctx, st, r, before)
	halves := tidied(st, before)
	fmt.Fprintf(env.Err, "%s %s left behind by writes that were cut short.\n", web.SweptText(swept), counted(halves, "piece was", "pieces were"))
	return err
}

func ageOf(kept, before time.Time) string {
	switch {
	case kept.IsZero():
		return "its age counts from the first sweep with --remove"
	case kept.Before(before):
		return "old enough"
	}
	return "kept " + kept.Local().Format("2 Jan 2006 15:04") + ": stays"
}

// tidied takes away what half a write left in a folder.
func tidied(st data, before time.Time) int {
	files, ok := st.Database().Files.(*folder.Files)
	if !ok {
		return 0
	}
	n, _ := files.Tidy(before) // what cannot be taken away is in nobody's way
	return n
}

type backupList struct {
	Folder string `arg:"positional" help:"Folder of the backups (default: backups in the data folder)."`
}

func (c backupList) Run(_ context.Context, env *Env) error {
	dir := backupsIn(env, c.Folder)
	list, err := backups.List(dir)
	if err != nil {
		return err
	}
	w := tabwriter.NewWriter(env.Out, 0, 0, 2, ' ', 0)
	for _, b := range list {
		if b.Whole() {
			fmt.Fprintf(w, "%s\t%s\t%s\t%s\n", filepath.Join(dir, b.Name), b.Made.Local().Format("2 Jan 2006 15:04"), counted(b.Files, "photo or clip", "photos and clips"), web.ByteText(b.Bytes))
			continue
		}
		fmt.Fprintf(w, "%s\tnot whole\t%s\t\n", filepath.Join(dir, b.Name), shown(b.Problem))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	if _, any := backups.Newest(list); !any {
		fmt.Fprintf(env.Err, "there is no backup in %s\n", dir)
	}
	return nil
}
