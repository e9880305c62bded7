// Package backups keeps a row of backups in one folder: it makes the next one
// when it is due, and takes the oldest away once a newer one was read back whole.
//
// Start with [Keeper]. [List] says what is in a folder. A backup is one of
// package sqlite: a folder with a manifest, whole or not there at all. Photos are
// shared between the backups of a row where the disk allows it, so a row takes
// little more room than one backup. The last good backup is never taken away, and
// nothing in the folder that another hand put there is touched.
package backups

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"sync"
	"time"

	"lastbolt/fault"
	"lastbolt/keep/usage"
	"lastbolt/store/folder"
	"lastbolt/store/sqlite"
)

// The names of backups in a row are their time in UTC, so that they sort.
const (
	nameLayout = "lastbolt-20060102T150405Z"
	unfinished = ".part"
)

var ours = regexp.MustCompile(`^lastbolt-\d{8}T\d{6}Z(\.part)?$`)

// A Backup is one of a row.
type Backup struct {
	Name    string
	Made    time.Time
	Bytes   int64 // of all its files, shared ones too
	Files   int   // photos and clips
	Missing int   // photos and clips that were gone when it was made
	Problem string
}

// Whole reports a backup that was finished; only `lastbolt backup verify` says
// whether every file still reads.
func (b Backup) Whole() bool { return b.Problem == "" }

// List is what is in a folder, the newest first. A folder that is not there has
// no backups.
func List(dir string) ([]Backup, error) {
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, folder.Explain(err, dir)
	}
	var out []Backup
	for _, e := range entries {
		if e.IsDir() && ours.MatchString(e.Name()) {
			out = append(out, read(dir, e.Name()))
		}
	}
	slices.SortFunc(out, func(a, b Backup) int { return b.Made.Compare(a.Made) })
	return out, nil
}

func read(dir, name string) Backup {
	b := Backup{Name: name}
	b.Made, _ = time.Parse(nameLayout, name[:len(nameLayout)]) // the pattern has it so
	if filepath.Ext(name) == unfinished {
		b.Problem = "cut short while it was made"
		return b
	}
	m, err := sqlite.ReadManifest(filepath.Join(dir, name))
	if err != nil {
		b.Problem = fault.Say(err)
		return b
	}
	b.Made, b.Bytes, b.Files, b.Missing = m.Made, m.Bytes(), len(m.Files)-1, len(m.Missing)
	return b
}

// Taken is about what the whole backups of a folder take on its disk: a photo that
// several share counts once.
func Taken(dir string) (sum int64, err error) {
	list, err := List(dir)
	seen := map[string]bool{}
	for _, b := range list {
		if !b.Whole() {
			continue
		}
		m, err := sqlite.ReadManifest(filepath.Join(dir, b.Name))
		if err != nil {
			continue // taken away in between
		}
		for _, f := range m.Files {
			if !seen[f.SHA256] {
				seen[f.SHA256] = true
				sum += f.Bytes
			}
		}
	}
	return sum, err
}

// Newest is the latest whole backup of a list.
func Newest(list []Backup) (Backup, bool) {
	i := slices.IndexFunc(list, Backup.Whole)
	if i < 0 {
		return Backup{}, false
	}
	return list[i], true
}

// A Source is what is backed up.
type Source interface {
	Backup(ctx context.Context, to string, o sqlite.BackupOptions) (sqlite.Manifest, error)
}

// A Keeper keeps a row of backups. All fields but Need must be set.
type Keeper struct {
	Dir   string
	Every time.Duration // how old the newest may become
	Most  int           // how many are kept, 1 at least
	Now   func() time.Time
	// Space is the free room and the size of the disk that holds a folder.
	Space func(dir string) (free, total int64, err error)
	// Need is about what a new backup takes beside one of so many bytes of
	// photos and clips.
	Need func(ctx context.Context, shared int64) (int64, error)

	mu      sync.Mutex
	running bool
	failed  string
}

// Status is whether a backup is being made, and why the last try failed; empty
// if it did not.
func (k *Keeper) Status() (running bool, failed string) {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.running, k.failed
}

// Due is when the next one is to be made. A backup from the future says that a
// clock was wrong, and holds nothing up.
func (k *Keeper) Due(list []Backup) time.Time {
	newest, any := Newest(list)
	now := k.Now()
	if !any || newest.Made.After(now.Add(time.Hour)) {
		return now
	}
	return newest.Made.Add(k.Every)
}

// Make makes a backup now, and then takes away what is more than Most. It
// returns its name. One at a time is made.
func (k *Keeper) Make(ctx context.Context, from Source) (name string, err error) {
	k.mu.Lock()
	if k.running {
		k.mu.Unlock()
		return "", fault.New(fault.Busy, "A backup is being made already. Wait until it is done.")
	}
	k.running = true
	k.mu.Unlock()
	defer func() {
		k.mu.Lock()
		defer k.mu.Unlock()
		k.running, k.failed = false, ""
		if err != nil && !fault.Is(err, fault.Cancelled) {
			k.failed = fault.Say(err)
		}
	}()
	return k.make(ctx, from)
}

func (k *Keeper) make(ctx context.Context, from Source) (string, error) {
	if err := folder.Make(k.Dir); err != nil {
		return "", err
	}
	list, err := List(k.Dir)
	if err != nil {
		return "", err
	}
	k.tidy(list)
	var o sqlite.BackupOptions
	newest, any := Newest(list)
	if any {
		o.Beside = filepath.Join(k.Dir, newest.Name)
	}
	if err := k.room(ctx, newest.Bytes); err != nil {
		return "", err
	}
	name := k.Now().UTC().Format(nameLayout)
	if _, err := from.Backup(ctx, filepath.Join(k.Dir, name), o); err != nil {
		return "", err
	}
	return name, k.thin(name)
}

// room refuses a backup that would fill the disk: a disk that is full keeps
// the next tap from being recorded, which is worse than an old backup.
func (k *Keeper) room(ctx context.Context, shared int64) error {
	if k.Need == nil {
		return nil
	}
	need, err := k.Need(ctx, shared)
	if err != nil {
		return err
	}
	free, total, err := k.Space(k.Dir)
	if err != nil {
		return err
	}
	if usage.LevelOf(free-need, total) == usage.Last {
		return fault.New(fault.Full, "There is no room for a backup in %s: it needs about %d MB, and %d MB are free. Make room, or choose another disk with --backups.", k.Dir, need>>20+1, free>>20)
	}
	return nil
}

// stale is how old half a backup must be to be taken away: no backup takes as
// long, so nobody is writing it any more.
const stale = 24 * time.Hour

// tidy takes away what a cut of the power left behind. What cannot be taken away
// is in nobody's way.
func (k *Keeper) tidy(list []Backup) {
	for _, b := range list {
		if filepath.Ext(b.Name) == unfinished && k.Now().Sub(b.Made) > stale {
			_ = os.RemoveAll(filepath.Join(k.Dir, b.Name))
		}
	}
}

// thin takes the oldest away, but never the one just made and read back, whatever
// the clock says of its age, and nothing that is not a whole backup: that is for
// a person to look at. Its manifest goes first, so that a backup that is half
// taken away is no backup.
func (k *Keeper) thin(made string) error {
	list, err := List(k.Dir)
	if err != nil {
		return err
	}
	left := max(k.Most, 1) - 1
	for _, b := range list {
		if !b.Whole() || b.Name == made {
			continue
		}
		if left--; left >= 0 {
			continue
		}
		dir := filepath.Join(k.Dir, b.Name)
		if err := os.Remove(filepath.Join(dir, sqlite.ManifestName)); err != nil {
			return folder.Explain(err, dir)
		}
		if err := os.RemoveAll(dir); err != nil {
			return folder.Explain(err, dir)
		}
	}
	return nil
}

// The pace of Watch: how often it looks whether one is due, and how long it
// waits after one that failed.
const (
	look  = 10 * time.Minute
	again = time.Hour
)

// Watch makes backups as they become due, until the context ends; first is how
// long it waits with the first one. Say is told of each, with its error.
func (k *Keeper) Watch(ctx context.Context, from Source, first time.Duration, say func(name string, err error)) {
	for wait := first; ; {
		timer := time.NewTimer(wait)
		select {
		case <-ctx.Done():
			timer.Stop()
			return
		case <-timer.C:
		}
		list, err := List(k.Dir)
		// A machine that slept wakes up with timers that are late: look at the
		// clock, and not at how long it was waited.
		if wait = min(look, k.Due(list).Sub(k.Now())); err == nil && wait > 0 {
			continue
		}
		name, err := k.Make(ctx, from)
		if ctx.Err() != nil {
			return
		}
		say(name, err)
		if wait = min(look, k.Every); err != nil {
			wait = min(again, k.Every)
		}
	}
}
