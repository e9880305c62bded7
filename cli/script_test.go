package cli_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
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

func fillDemo(dir string) error {
	st, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	return errors.Join(demo.Fill(background, st, demoEnds), st.Close())
}

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
