package sqlite_test

import (
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

// The test program runs itself as another process for what would end or harm
// this one; childEnv says which part it plays.
const (
	childEnv = "LASTBOLT_STORE_CHILD"
	dirEnv   = "LASTBOLT_STORE_DIR"
)

func TestMain(m *testing.M) {
	parts := map[string]func(dir string) error{"writer": writer, "try": try, "limited": limited, "backups": backups}
	if part, ok := parts[os.Getenv(childEnv)]; ok {
		if err := part(os.Getenv(dirEnv)); err != nil {
			fmt.Println("error", fault.CodeOf(err), fault.Say(err))
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func child(t *testing.T, part, dir string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), childEnv+"="+part, dirEnv+"="+dir)
	return cmd
}

// writer works on the folder without end, and says what was acknowledged.
func writer(dir string) error {
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	prefix := fmt.Sprintf("%d-%d-", time.Now().UnixNano(), os.Getpid())
	return storetest.Load(context.Background(), s, os.Stdout, prefix, false)
}

// crashes is how often something is killed: LASTBOLT_CRASHES says how often.
func crashes() int {
	if n, err := strconv.Atoi(os.Getenv("LASTBOLT_CRASHES")); err == nil {
		return n
	}
	if testing.Short() {
		return 5
	}
	return 30
}

func TestWhatWasAcknowledgedSurvivesAKill(t *testing.T) {
	rounds, open := crashes(), 0
	dir := filepath.Join(t.TempDir(), "data")
	var said storetest.Acknowledged
	for round := range rounds {
		killWriter(t, dir, round%5 == 4, &said)
		if info, err := os.Stat(filepath.Join(dir, "lastbolt.db-wal")); err == nil && info.Size() > 0 {
			open++
		}
		checkAcknowledged(t, dir, &said, round%50 == 49 || round == rounds-1)
	}
	t.Logf("%d kills, %d jobs, documents and photos acknowledged; %d kills left a write-ahead log to recover from, %d jobs and documents had more stored than was said yet",
		rounds, said.Len(), open, said.Unsaid)
	if said.Len() < rounds || open < rounds/2 || rounds >= 30 && said.Unsaid == 0 {
		t.Error("too few kills came in the middle of work: this proves nothing")
	}
}

// killWriter runs the writer and kills it at an instant of chance: while it works
// or, early, perhaps while it still opens the folder and recovers.
func killWriter(t *testing.T, dir string, early bool, said *storetest.Acknowledged) {
	t.Helper()
	k := start(t, child(t, "writer", dir))
	if early {
		k.within(60 * time.Millisecond)
	}
	if err := said.Read(k.out, func() { k.within(150 * time.Millisecond) }); err != nil {
		t.Fatal(err)
	}
	_ = k.cmd.Wait() // it was killed
}

// A killing is a process that is going to be killed.
type killing struct {
	cmd  *exec.Cmd
	out  io.Reader
	once sync.Once
}

func start(t *testing.T, cmd *exec.Cmd) *killing {
	t.Helper()
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return &killing{cmd: cmd, out: out}
}

// within kills, once, at an instant of chance within the time given.
func (k *killing) within(most time.Duration) {
	k.once.Do(func() { time.AfterFunc(rand.N(most), func() { _ = k.cmd.Process.Kill() }) })
}

func checkAcknowledged(t *testing.T, dir string, said *storetest.Acknowledged, everything bool) {
	t.Helper()
	s, err := sqlite.Open(dir, sqlite.Options{CheckFor: time.Minute})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	said.Check(t, s, everything)
	if everything {
		storetest.CheckPositions(t, s)
	}
}
