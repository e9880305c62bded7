package cli_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"lastbolt/cli"
	"lastbolt/demo"
	"lastbolt/job"
	"lastbolt/store/sqlite"
)

// The test binary is the program too: started under its name it runs the
// command line, so that scripts drive what a user drives.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"lastbolt": func() { os.Exit(cli.Main()) }})
}

var background = context.Background()

// demoEnds is when the demo's jobs end, in every test.
var demoEnds = time.Date(2026, 5, 9, 17, 30, 0, 0, time.UTC)

// TestCommands runs the scripts in testdata/script. Each reads as a session:
// what is typed, and what must then be on the screen.
func TestCommands(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("LASTBOLT_DIR", env.WorkDir+"/data")
			env.Setenv("TZ", "UTC")
			return nil
		},
		Condition: func(name string) (bool, error) {
			if name == "root" {
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("there is no condition %q", name)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"status":   status,
			"demodata": demoData,
			"bigmap":   bigMap,
			"json":     isJSON,
			"cut":      cut,
			"spoil":    spoil,
		},
	})
}

// status N PROGRAM ARGS... runs a program, which must end with the exit status.
func status(ts *testscript.TestScript, neg bool, args []string) {
	want, err := strconv.Atoi(args[0])
	if err != nil || neg || len(args) < 2 {
		ts.Fatalf("usage: status N PROGRAM ARGS...")
	}
	got := 0
	err = ts.Exec(args[1], args[2:]...)
	if exit, ok := errors.AsType[*exec.ExitError](err); ok {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// demodata FOLDER fills a data folder with the demo's jobs; $APART is then the
// id of the one half apart.
func demoData(ts *testscript.TestScript, neg bool, args []string) {
	dir := ts.MkAbs(args[0])
	ts.Check(fillDemo(dir))
	st, err := sqlite.Open(dir, sqlite.Options{})
	ts.Check(err)
	list, err := st.Summaries(background, job.Query{Text: "Oil cooler reseal"})
	ts.Check(errors.Join(err, st.Close()))
	ts.Setenv("APART", list[0].ID)
}

// fillDemo makes the demo's folder as if it had been recorded there: that is
// done once, for it takes long, and every test gets a copy.
func fillDemo(dir string) error {
	files, err := demoFiles()
	if err != nil {
		return err
	}
	for _, f := range files {
		at := filepath.Join(dir, f.path)
		if f.mode.IsDir() {
			err = os.MkdirAll(at, f.mode.Perm())
		} else {
			err = os.WriteFile(at, f.content, f.mode.Perm())
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// A fileOf is a file or folder of a data folder.
type fileOf struct {
	path    string
	mode    fs.FileMode
	content []byte
}

var demoFiles = sync.OnceValues(func() (files []fileOf, err error) {
	dir, err := os.MkdirTemp("", "lastbolt-demo-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	dir = filepath.Join(dir, "data")
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err == nil {
		err = errors.Join(demo.Fill(background, st, demoEnds), st.Close())
	}
	if err != nil {
		return nil, err
	}
	return files, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		f := fileOf{strings.TrimPrefix(path, dir), info.Mode(), nil}
		if !d.IsDir() {
			f.content, err = os.ReadFile(path)
		}
		files = append(files, f)
		return err
	})
})

// bigmap N FILE writes a map of N items, every one behind the one before.
func bigMap(ts *testscript.TestScript, neg bool, args []string) {
	n, err := strconv.Atoi(args[0])
	ts.Check(err)
	var b strings.Builder
	b.WriteString("format: lastbolt access map 1\nid: big\nname: Big\nitems:\n")
	for i := range n {
		fmt.Fprintf(&b, "  - {id: i%d, name: Cover %d, kind: part, ways: [{id: off, minutes: {off: 1, on: 1}", i, i)
		if i%10 > 0 { // columns of ten
			fmt.Fprintf(&b, ", needs: [i%d]", i-1)
		}
		b.WriteString("}]}\n")
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(b.String()), 0o600))
}

// json FILE... asks that files (or stdout) hold one JSON value each.
func isJSON(ts *testscript.TestScript, neg bool, args []string) {
	for _, name := range args {
		if valid := json.Valid([]byte(ts.ReadFile(name))); valid == neg {
			ts.Fatalf("%s: valid JSON: %v", name, valid)
		}
	}
}

// cut FILE keeps the first half of a file.
func cut(ts *testscript.TestScript, neg bool, args []string) {
	name := ts.MkAbs(args[0])
	info, err := os.Stat(name)
	ts.Check(err)
	ts.Check(os.Truncate(name, info.Size()/2))
}

// spoil FILE overwrites the last quarter of a file.
func spoil(ts *testscript.TestScript, neg bool, args []string) {
	name := ts.MkAbs(args[0])
	content, err := os.ReadFile(name)
	ts.Check(err)
	clear(content[len(content)*3/4:])
	ts.Check(os.WriteFile(name, content, 0o600))
}
