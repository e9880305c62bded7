// Package cli is the command line: it reads arguments and files, calls the
// floors below, and prints a table or JSON.
//
// Start at [Main], and at [Run] beneath it. The manners: results go to standard output and nothing else
// does; progress, hints and errors go to standard error; an error is one
// sentence with its mend, prefixed "lastbolt: ". Exit status 0 is done, 1 is
// refused or failed, 2 is a command line that cannot be understood, 3 is a
// file or map with something wrong in it.
package cli

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"syscall"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/plan/access"
)

// The exit statuses.
const (
	exitDone   = 0
	exitFailed = 1
	exitUsage  = 2
	exitFile   = 3
)

// Version is set when the binary is built.
var Version = "unversioned"

// An Env is what a command may touch of the world around it.
type Env struct {
	In       io.Reader
	Out, Err io.Writer
	Now      func() time.Time
	DataDir  string // where the data folder is, unless a command says otherwise
	Database string // address of a PostgreSQL database; empty is the one in the data folder
	Files    string // address of an S3-compatible store for photos and clips; empty is files/ in the data folder
	Cache    string // where the demo's fresh folder is made
	// Started is told the address a server listens on; tests wait for it.
	Started func(url string)
	// Space is the bytes free on the disk that holds a folder, and all of it; nil
	// asks the disk.
	Space func(dir string) (free, total int64, err error)
}

// Main is the whole program: it runs the command of this process and returns
// the exit status. The first interrupt asks the command to end well, a second
// one ends it at once.
func Main() int {
	if os.Getenv("GOGC") == "" {
		// Folding a job leaves much that is used once: with few megabytes in use,
		// collecting a third as often costs little memory and saves a quarter of
		// the time.
		debug.SetGCPercent(300)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	context.AfterFunc(ctx, stop)
	return Run(ctx, os.Args[1:], System())
}

// System is the real world.
func System() Env {
	return Env{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Now: time.Now, DataDir: usualFolder(), Database: os.Getenv("LASTBOLT_DATABASE"), Files: os.Getenv("LASTBOLT_FILES"), Cache: os.TempDir()}
}

// usualFolder is where programs of this platform keep what they store for one
// person; LASTBOLT_DIR overrides it.
func usualFolder() string {
	if dir := os.Getenv("LASTBOLT_DIR"); dir != "" {
		return dir
	}
	switch runtime.GOOS {
	case "windows":
		if dir := os.Getenv("LocalAppData"); dir != "" {
			return filepath.Join(dir, "lastbolt")
		}
	case "darwin", "ios":
		if dir, err := os.UserConfigDir(); err == nil { // Application Support
			return filepath.Join(dir, "lastbolt")
		}
	default:
		if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
			return filepath.Join(dir, "lastbolt")
		}
		if home, err := os.UserHomeDir(); err == nil {
			return filepath.Join(home, ".local", "share", "lastbolt")
		}
	}
	return "lastbolt-data"
}

type commands struct {
	Dir      string `arg:"--dir" help:"Data folder (default: LASTBOLT_DIR, or else the platform's usual place)." placeholder:"FOLDER"`
	Database string `arg:"--database" help:"Address of a PostgreSQL database (default: LASTBOLT_DATABASE, or else the database in the data folder)." placeholder:"URL"`
	Files    string `arg:"--files" help:"Where photos and clips are kept, as s3://bucket/prefix?endpoint=URL (default: LASTBOLT_FILES, or else the data folder)." placeholder:"ADDRESS"`

	Demo    *demoCommand    `arg:"subcommand:demo" help:"Start on invented demo data in a fresh folder."`
	Serve   *serveCommand   `arg:"subcommand:serve" help:"Start on your own data folder."`
	Plan    *planCommand    `arg:"subcommand:plan" help:"Plan a job from an access map and targets."`
	Map     *mapCommand     `arg:"subcommand:map" help:"Check, draw or start an access map."`
	Calc    *calcCommand    `arg:"subcommand:calc" help:"Work something out: torque, belt, coolant, seal and so on."`
	Verify  *verifyCommand  `arg:"subcommand:verify" help:"Recompute check files and print what is off."`
	Jobs    *jobsCommand    `arg:"subcommand:jobs" help:"List and show jobs."`
	Paper   *paperCommand   `arg:"subcommand:paper" help:"Print a job: sheet, ready list, labels, bolt card, pause tag, record."`
	Export  *exportCommand  `arg:"subcommand:export" help:"Write everything into one open file."`
	Import  *importCommand  `arg:"subcommand:import" help:"Take in a file that export wrote."`
	Move    *moveCommand    `arg:"subcommand:move" help:"Move everything to another place: SQLite to PostgreSQL, or back."`
	Site    *siteCommand    `arg:"subcommand:site" help:"Write Lastbolt as static files for a phone without a server."`
	Backup  *backupCommand  `arg:"subcommand:backup" help:"Copy the data folder, also while it is in use."`
	Storage *storageCommand `arg:"subcommand:storage" help:"Say what photos, clips, the database and backups take."`
	Sweep   *sweepCommand   `arg:"subcommand:sweep" help:"Find photos and clips that nothing refers to, and those that are missing."`
	Schema  *schemaCommand  `arg:"subcommand:schema" help:"Print the JSON Schema of a file format."`
	Version *versionCommand `arg:"subcommand:version" help:"Print the version."`
}

// Run runs one command and returns the exit status.
func Run(ctx context.Context, args []string, env Env) int {
	var c commands
	command, status := parse(&c, args, env)
	if command == nil {
		return status
	}
	if c.Dir != "" {
		env.DataDir = c.Dir
	}
	if c.Database != "" {
		env.Database = c.Database
		env.warnOfPassword(c.Database)
	}
	if c.Files != "" {
		env.Files = c.Files
	}
	out := &result{to: env.Out}
	env.Out = out
	err := command(ctx, &env)
	if out.err != nil {
		err = fault.Wrap(out.err, fault.Full, "The result could not be written whole: look whether the disk behind it is full")
	}
	if err != nil {
		return report(&env, err)
	}
	return exitDone
}

// A status is an error that a command gives an exit status of its own.
type status struct {
	error
	code int
}

func (s status) Unwrap() error { return s.error }

// usage is a command line that cannot be understood.
func usage(format string, args ...any) error {
	return status{fault.New(fault.Bad, format, args...), exitUsage}
}

// inFile marks an error as being about what a file holds, where it is one:
// a file that is not there or may not be read holds nothing wrong.
func inFile(err error) error {
	if fault.Is(err, fault.Bad) || fault.Is(err, fault.TooLarge) {
		return status{err, exitFile}
	}
	return err
}

// report says what went wrong and maps it to the exit status, in one place.
func report(env *Env, err error) int {
	if problems, ok := errors.AsType[access.Problems](err); ok {
		fmt.Fprintln(env.Err, problems.Error()) // each begins with its file and line
		return exitFile
	}
	switch refused, ok := errors.AsType[*job.Error](err); {
	case ok:
		fmt.Fprintln(env.Err, "lastbolt:", refused.Text)
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(env.Err, "lastbolt: Stopped before it was done.")
	default:
		fmt.Fprintln(env.Err, "lastbolt:", withoutSecrets(err.Error()))
	}
	if own, ok := errors.AsType[status](err); ok {
		return own.code
	}
	if fault.Is(err, fault.Damaged) || fault.Is(err, fault.NewVersion) {
		return exitFile
	}
	return exitFailed
}

// recorder makes events with the machine's clock.
func recorder(env Env, by string) *job.Recorder {
	ids := job.NewIDs(env.Now, rand.Reader)
	return &job.Recorder{Now: env.Now, NewID: ids.New, By: by}
}

type versionCommand struct{}

func (versionCommand) Run(env *Env) error {
	_, err := fmt.Fprintln(env.Out, "lastbolt", Version)
	return err
}
