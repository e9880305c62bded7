package cli

import (
	"context"
	"fmt"
	"net/http"
	"path/filepath"
	"sync"
	"time"

	"lastbolt/fault"
	"lastbolt/keep"
	taken "lastbolt/keep/usage"
	"lastbolt/store/backups"
	"lastbolt/store/folder"
	"lastbolt/web"
	"lastbolt/web/parts"
)

// backupOptions say how the server keeps a row of backups by itself.
type backupOptions struct {
	BackupEvery time.Duration `arg:"--backup-every" help:"Make a backup when the last one is so old; 0 makes none." default:"24h" placeholder:"TIME"`
	KeepBackups int           `arg:"--keep-backups" help:"How many backups to keep." default:"7" placeholder:"N"`
	Backups     string        `arg:"--backups" help:"Folder for the backups, best on another disk (default: backups in the data folder)." placeholder:"FOLDER"`
}

// backupsName is the folder of the backups within a data folder.
const backupsName = "backups"

// firstBackup is how long a server waits with its first backup: one that is
// started for a quick look is not held up.
const firstBackup = 5 * time.Minute

// check refuses what would keep no backup or never stop making them.
func (o backupOptions) check() error {
	switch {
	case o.BackupEvery < 0 || o.BackupEvery > 0 && o.BackupEvery < time.Minute:
		return usage("--backup-every %v cannot be: write a time of a minute or more, as in 24h, or 0 for none", o.BackupEvery)
	case o.KeepBackups < 1:
		return usage("--keep-backups %d would keep none: keep 1 or more, or make none with --backup-every 0", o.KeepBackups)
	}
	return nil
}

func backupsIn(env *Env, named string) string {
	if named != "" {
		return named
	}
	return filepath.Join(env.DataDir, backupsName)
}

// keeper is what makes the backups of a server.
func (o backupOptions) keeper(env *Env, st data) *backups.Keeper {
	return &backups.Keeper{
		Dir: backupsIn(env, o.Backups), Every: o.BackupEvery, Most: o.KeepBackups, Now: env.Now, Space: env.space(),
		// The database anew, and the photos that the last backup has not.
		Need: func(ctx context.Context, shared int64) (int64, error) {
			need, err := st.Bytes(ctx)
			if err != nil {
				return 0, err
			}
			stored, err := st.Stored(ctx)
			for _, f := range stored {
				shared -= f.Bytes
			}
			return need + max(0, -shared), err
		},
	}
}

// space asks the real disk unless a test says otherwise.
func (e *Env) space() func(string) (int64, int64, error) {
	if e.Space != nil {
		return e.Space
	}
	return folder.Space
}

// disk is the room that the data takes and has.
func disk(ctx context.Context, env *Env, st data) (web.Disk, error) {
	var d web.Disk
	var err error
	if d.Database, err = st.Bytes(ctx); err != nil {
		return d, err
	}
	if d.Free, d.Total, err = env.space()(env.DataDir); err != nil {
		d.Free, d.Total = 0, 0 // not known, as for a folder that is not there yet
	}
	return d, nil
}

// where names the place of photos and clips for a person.
func where(st data) string {
	if named, ok := st.Database().Files.(interface{ Where() string }); ok {
		return named.Where()
	}
	return "this machine"
}

// room is what the page about storage shows; k is nil where no backups are kept.
func room(env *Env, st data, k *backups.Keeper) *web.Room {
	r := &web.Room{Store: st, Where: where(st), Disk: func(ctx context.Context) (web.Disk, error) { return disk(ctx, env, st) }}
	if k == nil {
		return r
	}
	r.Backups = func(context.Context) (web.Backups, error) {
		b, err := standing(k)
		b.Near = k.Dir == backupsIn(env, "")
		return b, err
	}
	r.Backup = func(ctx context.Context) error {
		// Whoever asked may go away: what is begun is made to its end.
		_, err := k.Make(context.WithoutCancel(ctx), st)
		return err
	}
	return r
}

// standing says how a row of backups stands.
func standing(k *backups.Keeper) (web.Backups, error) {
	b := web.Backups{Folder: k.Dir, Every: k.Every}
	b.Running, b.Failed = k.Status()
	list, err := backups.List(k.Dir)
	for _, one := range list {
		switch {
		case one.Whole():
			b.Whole++
		case !b.Running || filepath.Ext(one.Name) == "":
			b.Broken = append(b.Broken, one.Name)
		}
	}
	if newest, any := backups.Newest(list); any {
		b.Newest, b.Missing = newest.Made, newest.Missing
	}
	if err == nil {
		b.Bytes, err = backups.Taken(k.Dir)
	}
	return b, err
}

// watch makes backups and looks after the disk until the context ends; what it
// returns waits until both have stopped.
func watch(ctx context.Context, env *Env, st data, k *backups.Keeper) (wait func()) {
	var all sync.WaitGroup
	if k != nil && k.Every > 0 {
		all.Go(func() {
			k.Watch(ctx, st, firstBackup, func(_ string, err error) {
				if err != nil {
					fmt.Fprintf(env.Err, "No backup was made: %s\n", fault.Say(err))
				}
			})
		})
	}
	all.Go(func() { watchDisk(ctx, env) })
	return all.Wait
}

// lookAtDisk is how often a server looks at the room on its disk.
const lookAtDisk = time.Minute

// watchDisk says on the error stream when the disk gets low, once a level.
func watchDisk(ctx context.Context, env *Env) {
	said := taken.Enough
	tick := time.NewTicker(lookAtDisk)
	defer tick.Stop()
	for {
		if free, total, err := env.space()(env.DataDir); err == nil {
			level := taken.LevelOf(free, total)
			if what, mend := web.FullText(web.Disk{Free: free, Total: total}); level > said {
				fmt.Fprintln(env.Err, what, mend)
			}
			said = level
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// warned has every page say that the disk is nearly full, while it is.
func warned(env *Env, pages http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if free, total, err := env.space()(env.DataDir); err == nil {
			if what, _ := web.FullText(web.Disk{Free: free, Total: total}); what != "" {
				n := parts.Notice{Text: what, Link: parts.Link{Label: "Storage", Href: "/storage"}, Urgent: true}
				r = r.WithContext(parts.WithNotice(r.Context(), n))
			}
		}
		pages.ServeHTTP(w, r)
	})
}

// sparing takes no photos or clips while the last room on the disk is left for
// what is recorded in words.
type sparing struct {
	data
	env *Env
}

func (s sparing) Keep(ctx context.Context, content []byte, mediaType string) (string, error) {
	free, total, err := s.env.space()(s.env.DataDir)
	if err == nil && taken.LevelOf(free-int64(len(content)), total) == taken.Last {
		return "", fault.New(fault.Full, "There is hardly any room left on the disk that holds %s, so the photo or sound was not kept: what is recorded in words needs the rest. Make room, then do it again.", s.env.DataDir)
	}
	return s.data.Keep(ctx, content, mediaType)
}

var _ keep.Backend = sparing{}
