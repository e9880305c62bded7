package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// modulePath is the prefix of every import path of our own.
const modulePath = "lastbolt/"

// testTimeout bounds each package's tests. The slowest needs five minutes on two
// quiet processors, and three times that on busy ones.
const testTimeout = "20m"

// runner runs commands and keeps the tally.
type runner struct {
	out   io.Writer
	tally *tally
	env   []string // added to the environment of tests
}

func (r *runner) say(format string, args ...any) { fmt.Fprintf(r.out, format+"\n", args...) }

func (r *runner) pass(name string) { r.tally.check(name, passed, "") }

func (r *runner) fail(name, reason string) { r.tally.check(name, failed, reason) }

func (r *runner) skip(name, reason string) {
	r.say("skipped: %s", reason)
	r.tally.check(name, skipped, reason)
}

// command runs a command whose success is the check.
func (r *runner) command(name string, env []string, argv0 string, args ...string) {
	line := argv0 + " " + strings.Join(args, " ")
	if len(args) > 6 {
		line = argv0 + " " + strings.Join(args[:6], " ") + " ..."
	}
	r.say("$ %s", strings.TrimSpace(strings.Join(env, " ")+" "+line))
	cmd := exec.Command(argv0, args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.Stdout, cmd.Stderr = r.out, r.out
	if err := cmd.Run(); err != nil {
		r.fail(name, fmt.Sprintf("%s: %v", line, err))
		return
	}
	r.pass(name)
}

// capture returns what a command prints.
func (r *runner) capture(argv0 string, args ...string) (string, error) {
	cmd := exec.Command(argv0, args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil && stderr.Len() > 0 {
		r.say("%s", strings.TrimSpace(stderr.String()))
	}
	return string(out), err
}

// test runs `go test` and counts what it says. Results are never taken from
// the test cache: the cache does not notice that a browser or a solver has
// been installed since.
func (r *runner) test(args ...string) {
	cmd := exec.Command("go", append([]string{"test", "-json", "-count=1", "-timeout=" + testTimeout}, args...)...)
	cmd.Env = append(os.Environ(), r.env...)
	cmd.Stderr = r.out
	pipe, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		r.fail("go test", err.Error())
		return
	}
	anyFailed, readErr := r.tally.read(pipe, r.out)
	if err := cmd.Wait(); err != nil && !anyFailed {
		r.fail("go test", fmt.Sprintf("%v, with no failing test to show for it", err))
	}
	if readErr != nil {
		r.fail("go test", readErr.Error())
	}
}

// goPackage is the part of `go list -json` used here.
type goPackage struct {
	ImportPath, Name, Dir     string
	TestGoFiles, XTestGoFiles []string
}

// packages lists our packages in the given folders (nil: all) that keep says
// yes to (nil: all), as import paths. Folders that do not exist are passed over.
func (r *runner) packages(rooms []string, keep func(goPackage) bool) []string {
	var paths []string
	for _, p := range r.list() {
		if rooms != nil && !inRooms(p.ImportPath, rooms) {
			continue
		}
		if keep == nil || keep(p) {
			paths = append(paths, p.ImportPath)
		}
	}
	return paths
}

func (r *runner) list() []goPackage {
	out, err := r.capture("go", "list", "-json=ImportPath,Name,Dir,TestGoFiles,XTestGoFiles", "./...")
	if err != nil {
		r.fail("go list", "the packages could not be listed: "+err.Error())
		return nil
	}
	var all []goPackage
	for dec := json.NewDecoder(strings.NewReader(out)); ; {
		var p goPackage
		if dec.Decode(&p) != nil {
			return all
		}
		all = append(all, p)
	}
}

// inRooms tells whether an import path lies in one of the folders.
func inRooms(path string, rooms []string) bool {
	path = strings.TrimPrefix(path, modulePath)
	return slices.ContainsFunc(rooms, func(room string) bool {
		return path == room || strings.HasPrefix(path, room+"/")
	})
}

func isDir(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.IsDir()
}

// moduleRoot is the folder of go.mod, searched upward from the current one.
func moduleRoot() string {
	dir, err := os.Getwd()
	if err != nil {
		return "."
	}
	for d := dir; ; d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, "go.mod")); err == nil {
			return d
		}
		if d == filepath.Dir(d) {
			return dir
		}
	}
}
