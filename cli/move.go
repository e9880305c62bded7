package cli

import (
	"context"
	"fmt"
	"strings"

	"lastbolt/fault"
	"lastbolt/keep"
	"lastbolt/lan"
	"lastbolt/store/folder"
	"lastbolt/store/sqlite"
	"lastbolt/store/tables"
)

type moveCommand struct {
	From string `arg:"--from" help:"Data folder or address of a PostgreSQL database to move from (default: the data in use)." placeholder:"FOLDER|URL"`
	To   string `arg:"--to" help:"Data folder or address of a PostgreSQL database to move to, which must be empty (default: the data in use)." placeholder:"FOLDER|URL"`
}

func (c moveCommand) Run(ctx context.Context, env *Env) error {
	if c.From == "" && c.To == "" {
		return usage("Say where to with --to, or where from with --from, as in: lastbolt move --to FOLDER")
	}
	here := env.at(c.From)
	from, err := existing(ctx, here)
	if err != nil {
		return err
	}
	defer closing(env, from)
	place := env.at(c.To)
	to, err := open(ctx, place)
	if err != nil {
		return err
	}
	defer closing(env, to)
	source, end, err := withOwnFiles(here, from.Database())
	if err != nil {
		return err
	}
	defer end()
	done := progress(env.Err, "moving")
	got, err := tables.Copy(ctx, source, to.Database(), tables.CopyOptions{Resting: true})
	done()
	if err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "moved and compared: %d events, %d document versions, %d photos and clips\n", got.Events, got.Versions, got.Files-len(got.Missing))
	missing(env, got)
	if err := movePhones(here, from, place, to); err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "What was moved is still in the old place too, as it was. Go on with: lastbolt serve %s\n", place.naming())
	return nil
}

// withOwnFiles sees to it that what is moved to where photos are kept in a store
// of their own is found in the data folder too, where it was until then.
func withOwnFiles(here *Env, from tables.Engine) (engine tables.Engine, end func(), err error) {
	if here.Files == "" {
		return from, func() {}, nil
	}
	own, err := folder.Open(here.DataDir)
	if err != nil {
		return from, nil, err
	}
	from.Files = either{from.Files, own}
	return from, func() { _ = own.Close() }, nil // it was only read
}

// An either reads from the second what the first does not have.
type either struct {
	keep.Contents
	second keep.Contents
}

func (e either) Read(ctx context.Context, name string) ([]byte, error) {
	content, err := e.Contents.Read(ctx, name)
	if fault.Is(err, fault.Damaged) {
		if content, own := e.second.Read(ctx, name); own == nil {
			return content, nil
		}
	}
	return content, err
}

// movePhones takes along who may come in, and the authority that phones trust.
func movePhones(here *Env, from data, place *Env, to data) error {
	moved, err := lan.Move(doorOf(here, from), doorOf(place, to))
	if err != nil {
		return fmt.Errorf("everything else was moved, but not the phones and people: %w", err)
	}
	if moved {
		fmt.Fprintln(here.Err, "moved: the list of phones and people")
	}
	return lan.CopyAuthority(here.lanFolder(), place.lanFolder())
}

// missing says which photos the old place had lost before.
func missing(env *Env, got tables.Copied) {
	lost(env, got.Missing)
}

func lost(env *Env, names []string) {
	for _, name := range names {
		fmt.Fprintf(env.Err, "the photo or clip %s was gone or damaged already; bring it back from a backup\n", name)
	}
}

// at is the environment with the data in another place: a folder, or a
// database whose photos are in the data folder.
func (e *Env) at(place string) *Env {
	other := *e
	switch {
	case place == "":
	case strings.Contains(place, "://"): // what is no address is refused where it is opened
		e.warnOfPassword(place)
		other.Database = place
	default:
		other.Database, other.DataDir = "", place
	}
	return &other
}

// naming is how a command line names the data, without what is secret.
func (e *Env) naming() string {
	if e.Database == "" {
		return "--dir " + e.DataDir + e.namingFiles()
	}
	return "--dir " + e.DataDir + " --database " + withoutSecrets(e.Database) + e.namingFiles()
}

func (e *Env) namingFiles() string {
	if e.Files == "" {
		return ""
	}
	return " --files " + withoutSecrets(e.Files)
}

// warnOfPassword tells what a command line gives away.
func (e *Env) warnOfPassword(url string) {
	if withoutSecrets(url) != url {
		fmt.Fprintln(e.Err, "Others on this machine can read the password in the list of what runs. Give the address in LASTBOLT_DATABASE instead, or the password in PGPASSWORD or ~/.pgpass.")
	}
}

// restoreInto checks a backup and puts it into an empty PostgreSQL database.
func restoreInto(ctx context.Context, env *Env, backup string) error {
	from, err := sqlite.OpenBackup(ctx, backup)
	if err != nil {
		return inFile(err)
	}
	defer closing(env, from)
	to, err := open(ctx, env)
	if err != nil {
		return err
	}
	defer closing(env, to)
	got, err := tables.Copy(ctx, from.Database(), to.Database(), tables.CopyOptions{})
	if err == nil {
		missing(env, got)
	}
	return err
}
