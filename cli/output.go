package cli

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"
	"unicode"

	"lastbolt/fault"
)

// A result is standard output that remembers its first error, so that a full
// disk behind a redirection is told of, whichever line it hit.
type result struct {
	to  io.Writer
	err error
}

func (r *result) Write(p []byte) (int, error) {
	if r.err != nil {
		return 0, r.err
	}
	n, err := r.to.Write(p)
	r.err = err
	return n, err
}

// shown makes a text from a file or a job fit for one cell of a terminal's
// table: what would move the cursor, colour the screen or turn the direction
// of the rest of the line becomes a space.
func shown(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
			return ' '
		}
		return r
	}, s)
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
	if err != nil {
		return nil, unreadable(name, err)
	}
	return b, nil
}

// unreadable says why a file named on the command line cannot be read.
func unreadable(name string, err error) error {
	if info, gone := os.Stat(name); gone == nil && info.IsDir() {
		return fault.Wrap(err, fault.Bad, "%q is a folder: name a file in it", name)
	}
	switch {
	case errors.Is(err, os.ErrNotExist):
		return fault.New(fault.NotFound, "There is no file %q here: check the name, or give a full path", name)
	case errors.Is(err, os.ErrPermission):
		return fault.Wrap(err, fault.Bad, "The file %q may not be read: it belongs to someone else", name)
	}
	return fault.Wrap(err, fault.Bad, "The file %q could not be read", name)
}

// writeFile writes a result to a file, or to standard output for "" and "-".
func writeFile(env *Env, name string, content []byte) error {
	out, commit, err := output(env, name)
	if err != nil {
		return err
	}
	_, err = out.Write(content)
	if err := commit(err); err != nil {
		return err
	}
	if !standard(name) {
		fmt.Fprintf(env.Err, "written: %s\n", name)
	}
	return nil
}

func standard(name string) bool { return name == "" || name == "-" }

// output opens a file under a passing name beside its own; commit gives it its
// own once all is on the disk, so that nothing half written ever stands where
// a good file was. A name that is no plain file (a pipe, a device) is written
// to as it is.
func output(env *Env, name string) (io.Writer, func(error) error, error) {
	if standard(name) {
		return env.Out, func(err error) error { return err }, nil
	}
	info, err := os.Stat(name)
	if err == nil && info.IsDir() {
		return nil, nil, fault.New(fault.Bad, "%q is a folder: name a file in it", name)
	}
	if err == nil && !info.Mode().IsRegular() {
		f, err := os.OpenFile(name, os.O_WRONLY, 0)
		if err != nil {
			return nil, nil, unwritable(name, err)
		}
		return f, func(err error) error { return unwritable(name, errors.Join(err, f.Close())) }, nil
	}
	own := name
	if linked, err := filepath.EvalSymlinks(name); err == nil {
		own = linked // the file changes, not the link to it
	}
	part := fmt.Sprintf("%s.%d.part", own, os.Getpid())
	f, err := os.OpenFile(part, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o666)
	if err != nil {
		return nil, nil, unwritable(name, err)
	}
	return f, func(err error) error {
		if err == nil {
			err = f.Sync()
		}
		err = errors.Join(err, f.Close())
		if err == nil {
			err = os.Rename(part, own)
		}
		if err == nil {
			return nil
		}
		if gone := os.Remove(part); gone != nil && !errors.Is(gone, os.ErrNotExist) {
			err = errors.Join(err, gone)
		}
		return unwritable(name, err)
	}, nil
}

// unwritable says why a file could not be written. What is a fault already
// went wrong before the file did, and is left as it is.
func unwritable(name string, err error) error {
	switch {
	case err == nil || fault.CodeOf(err) != fault.Internal:
		return err
	case errors.Is(err, os.ErrNotExist):
		return fault.New(fault.NotFound, "There is no folder %q to write into: make it first", filepath.Dir(name))
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return fault.Wrap(err, fault.Full, "There is no room left for %q; what was there before is as it was. Make room, then do it again", name)
	}
	return fault.Wrap(err, fault.ReadOnly, "The file %q could not be written: check that the folder is yours, or name another file", name)
}

// progress says on the error stream that something takes its time, from half a
// second on. The function it returns ends it.
func progress(w io.Writer, what string) func() {
	stop, gone := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(gone)
		wait := time.NewTimer(500 * time.Millisecond)
		defer wait.Stop()
		select {
		case <-stop:
			return
		case <-wait.C:
		}
		fmt.Fprint(w, what, " ")
		tick := time.NewTicker(500 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-stop:
				fmt.Fprintln(w)
				return
			case <-tick.C:
				fmt.Fprint(w, ".")
			}
		}
	}()
	return func() { close(stop); <-gone }
}
