// Package cli is the command line: it reads arguments and files, calls the
// floors below, and prints a table or JSON.
//
// Start at [Run]. The manners: results go to standard output and nothing else
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
	"path/filepath"
	"time"

	"github.com/alecthomas/kong"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
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
	Cache    string // where the demo's fresh folder is made
	// Started is told the address a server listens on; tests wait for it.
	Started func(url string)
}

// System is the real world.
func System() Env {
	return Env{In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Now: time.Now, DataDir: usualFolder(), Cache: os.TempDir()}
}

// usualFolder is where programs of this platform keep what they store for one
// person; LASTBOLT_DIR overrides it.
func usualFolder() string {
	if dir := os.Getenv("LASTBOLT_DIR"); dir != "" {
		return dir
	}
	if dir := os.Getenv("XDG_DATA_HOME"); dir != "" {
		return filepath.Join(dir, "lastbolt")
	}
	if dir, err := os.UserConfigDir(); err == nil {
		return filepath.Join(dir, "lastbolt")
	}
	return "lastbolt-data"
}

type commands struct {
	Dir string `help:"Data folder (default: the platform's usual place, or LASTBOLT_DIR)." placeholder:"FOLDER"`

	Demo    demoCommand    `cmd:"" help:"Start on invented demo data in a fresh folder."`
	Serve   serveCommand   `cmd:"" help:"Start on your own data folder."`
	Plan    planCommand    `cmd:"" help:"Plan a job from an access map and targets."`
	Map     mapCommand     `cmd:"" help:"Check, draw or start an access map."`
	Jobs    jobsCommand    `cmd:"" help:"List and show jobs."`
	Paper   paperCommand   `cmd:"" help:"Print a job: sheet, ready list, labels, pause tag, record."`
	Export  exportCommand  `cmd:"" help:"Write everything into one open file."`
	Import  importCommand  `cmd:"" help:"Take in a file that export wrote."`
	Backup  backupCommand  `cmd:"" help:"Copy the data folder, also while it is in use."`
	Schema  schemaCommand  `cmd:"" help:"Print the JSON Schema of a file format."`
	Version versionCommand `cmd:"" help:"Print the version."`
}

// Run runs one command and returns the exit status.
func Run(ctx context.Context, args []string, env Env) int {
	var c commands
	status := -1
	parser, err := kong.New(&c,
		kong.Name("lastbolt"),
		kong.Description("Goes through a repair with a mechanic who works alone: plan, take apart, put back, prove, keep."),
		kong.Writers(env.Out, env.Err),
		kong.Exit(func(code int) { status = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}),
	)
	if err != nil {
		fmt.Fprintln(env.Err, "lastbolt:", err)
		return exitFailed
	}
	parsed, err := parser.Parse(args)
	if status >= 0 { // --help has printed and is done
		return status
	}
	if err != nil {
		fmt.Fprintf(env.Err, "lastbolt: %v\nTry: lastbolt --help\n", err)
		return exitUsage
	}
	if c.Dir != "" {
		env.DataDir = c.Dir
	}
	parsed.BindTo(ctx, (*context.Context)(nil))
	if err := parsed.Run(&env); err != nil {
		return report(env, err)
	}
	return exitDone
}

// report says what went wrong and maps it to the exit status, in one place.
func report(env Env, err error) int {
	var problems access.Problems
	if errors.As(err, &problems) {
		fmt.Fprintln(env.Err, problems.Error())
		return exitFile
	}
	if refused, ok := errors.AsType[*job.Error](err); ok {
		fmt.Fprintln(env.Err, "lastbolt:", refused.Text)
		return exitFailed
	}
	if impossible, ok := errors.AsType[*opening.Impossible](err); ok {
		fmt.Fprintln(env.Err, "lastbolt:", impossible.Error())
		return exitFailed
	}
	switch fault.CodeOf(err) {
	case fault.Internal:
		fmt.Fprintln(env.Err, "lastbolt:", err)
	default:
		fmt.Fprintln(env.Err, "lastbolt:", err)
		if fault.Is(err, fault.Bad) {
			return exitFile
		}
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

// readFile reads a file named on the command line, "-" for standard input.
func readFile(env *Env, name string) ([]byte, error) {
	if name == "-" {
		b, err := io.ReadAll(env.In)
		if err != nil {
			return nil, fault.Wrap(err, fault.Bad, "Standard input could not be read to its end")
		}
		return b, nil
	}
	b, err := os.ReadFile(name)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, fault.New(fault.NotFound, "There is no file %q here: check the name, or give a full path", name)
	case err != nil:
		return nil, fault.Wrap(err, fault.Bad, "The file %q could not be read", name)
	}
	return b, nil
}

// writeFile writes a result to a file, or to standard output for "" and "-".
func writeFile(env *Env, name string, content []byte) error {
	if name == "" || name == "-" {
		_, err := env.Out.Write(content)
		return err
	}
	if err := os.WriteFile(name, content, 0o644); err != nil {
		return fault.Wrap(err, fault.ReadOnly, "The file %q could not be written: check that the folder exists and is yours", name)
	}
	fmt.Fprintf(env.Err, "written: %s\n", name)
	return nil
}
