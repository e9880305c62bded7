package cli

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"lastbolt/exchange"
	"lastbolt/job"
	"lastbolt/store/sqlite"
)

func exportSchema() []byte { return exchange.Schema }

type exportCommand struct {
	Output   string `arg:"-o,--output" help:"File to write; standard output if not given." placeholder:"FILE"`
	Jobs     names  `arg:"--jobs" help:"Only these jobs (ids, or their beginnings)." placeholder:"JOB"`
	NoPhotos bool   `arg:"--no-photos" help:"Leave photos out."`
}

func (c exportCommand) Run(ctx context.Context, env *Env) error {
	st, err := existing(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	only, err := jobIDs(ctx, st, c.Jobs)
	if err != nil {
		return err
	}
	out, commit, err := output(env, c.Output)
	if err != nil {
		return err
	}
	done := progress(env.Err, "exporting")
	counts, err := exchange.Export(ctx, out, st, exchange.ExportOptions{WithoutFiles: c.NoPhotos, Jobs: only})
	err = commit(err)
	done()
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "exported: %s with %d events, %d documents in %d versions, %d photos\n",
		counted(counts.Jobs, "job", "jobs"), counts.Events, counts.Documents, counts.Versions, counts.Files)
	return nil
}

type importCommand struct {
	File string `arg:"positional,required" help:"File that export wrote, - for standard input."`
}

func (c importCommand) Run(ctx context.Context, env *Env) error {
	in, err := seekable(env, c.File)
	if err != nil {
		return err
	}
	st, err := open(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	done := progress(env.Err, "importing")
	got, err := exchange.Import(ctx, in, st, exchange.ImportOptions{})
	err = inFile(err)
	if err == nil {
		err = refresh(ctx, st, got.Jobs)
	}
	done()
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "taken in: %d events, %d document versions, %d photos that were not here yet\n", got.Events, got.Versions, got.Files)
	for _, d := range got.Diverged {
		fmt.Fprintf(env.Err, "edited on both sides, every version is kept, the newest counts: %s\n", d)
	}
	return nil
}

// refresh makes the summaries of jobs anew.
func refresh(ctx context.Context, st data, jobs []string) error {
	book := job.NewBook(st, nil)
	for _, id := range jobs {
		s, err := book.Load(ctx, id)
		if err != nil {
			return err
		}
		if err := st.SetSummary(ctx, job.Summarise(s)); err != nil {
			return err
		}
	}
	return nil
}

// seekable opens a file for reading twice over; standard input is read first.
func seekable(env *Env, name string) (io.ReadSeeker, error) {
	if name == "-" {
		b, err := readFile(env, name)
		return bytes.NewReader(b), err
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, unreadable(name, err)
	}
	if info, err := f.Stat(); err != nil || info.IsDir() {
		return nil, unreadable(name, errors.Join(err, f.Close()))
	}
	return f, nil // read only, and gone with the process
}

type backupCommand struct {
	Make    *backupMake    `arg:"subcommand:make" help:"Copy the data folder to another, also while it is in use."`
	Verify  *backupVerify  `arg:"subcommand:verify" help:"Check that a backup reads back whole."`
	Restore *backupRestore `arg:"subcommand:restore" help:"Make a data folder of a backup."`
	List    *backupList    `arg:"subcommand:list" help:"List a row of backups, as serve makes them."`
	Rescue  *backupRescue  `arg:"subcommand:rescue" help:"Take what can still be read out of a damaged data folder."`
}

type backupMake struct {
	To string `arg:"positional,required" help:"Folder to make; it must not be there yet, or be empty."`
}

func (c backupMake) Run(ctx context.Context, env *Env) error {
	st, err := existing(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, st)
	done := progress(env.Err, "copying")
	m, err := st.Backup(ctx, c.To, sqlite.BackupOptions{})
	done()
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "backed up and checked: %s in %s\n", counted(len(m.Files), "file", "files"), c.To)
	lost(env, m.Missing)
	return nil
}

type backupVerify struct {
	Folder string `arg:"positional,required" help:"Folder of the backup."`
}

func (c backupVerify) Run(ctx context.Context, env *Env) error {
	done := progress(env.Err, "reading back")
	m, err := sqlite.VerifyBackup(ctx, c.Folder)
	done()
	if err != nil {
		return inFile(err)
	}
	fmt.Fprintf(env.Out, "good: %s back whole\n", counted(len(m.Files), "file reads", "files read"))
	return nil
}

type backupRestore struct {
	Folder string `arg:"positional,required" help:"Folder of the backup."`
	To     string `arg:"positional" help:"Data folder to make, not there yet or empty, or address of an empty PostgreSQL database (default: the one of --database)."`
}

func (c backupRestore) Run(ctx context.Context, env *Env) error {
	place := env.at(c.To)
	if c.To == "" && env.Database == "" {
		return usage("Name the data folder to make, as in: lastbolt backup restore %s FOLDER", c.Folder)
	}
	done := progress(env.Err, "restoring")
	var err error
	if place.Database != "" || place.Files != "" {
		err = restoreInto(ctx, place, c.Folder)
	} else {
		err = sqlite.Restore(ctx, c.Folder, c.To)
	}
	done()
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "restored and checked: lastbolt serve %s\n", place.naming())
	return nil
}

type backupRescue struct {
	Damaged string `arg:"positional,required" help:"The damaged data folder; it is only read."`
	To      string `arg:"positional,required" help:"Data folder to make; it must not be there yet, or be empty."`
}

func (c backupRescue) Run(ctx context.Context, env *Env) error {
	done := progress(env.Err, "reading")
	got, err := sqlite.Rescue(ctx, c.Damaged, c.To)
	done()
	if err != nil {
		return err
	}
	st, err := sqlite.Open(c.To, sqlite.Options{})
	if err != nil {
		return err
	}
	defer closing(env, st)
	if err := refresh(ctx, st, got.Jobs); err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "read: %d events, %d document versions, %d photos\n", got.Events, got.Versions, got.Files)
	for _, t := range got.Trouble {
		fmt.Fprintf(env.Err, "could not be read: %s\n", t)
	}
	fmt.Fprintf(env.Err, "Go on with: lastbolt serve --dir %[1]s\nWhat a backup has besides can be added: restore it into a new folder, then lastbolt export --dir NEW -o old.json and lastbolt import --dir %[1]s old.json\n", c.To)
	return nil
}
