package sqlite_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
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
	parts := map[string]func(dir string) error{"writer": writer, "try": try, "limited": limited}
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

// writer appends batches of one to four events from three goroutines, and
// photos, without end. Each is acknowledged with a line once Append or Keep
// has returned.
func writer(dir string) error {
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	ctx := context.Background()
	failed := make(chan error)
	for w := range 3 {
		go func() {
			id := fmt.Sprintf("%d-w%d", time.Now().UnixNano(), w)
			for n := 0; ; {
				batch := make([]job.Event, 1+rand.IntN(4))
				for i := range batch {
					batch[i] = storetest.Event(id, n)
					n++
				}
				if _, err := s.Append(ctx, batch...); err != nil {
					failed <- err
					return
				}
				fmt.Printf("events %s %d\n", id, n)
			}
		}()
	}
	go func() {
		for n := 0; ; n++ {
			name, err := s.Keep(ctx, fmt.Appendf(nil, "%d %s", n, dir), "image/jpeg")
			if err != nil {
				failed <- err
				return
			}
			fmt.Println("file", name, 1)
		}
	}()
	return <-failed
}

func TestWhatWasAcknowledgedSurvivesAKill(t *testing.T) {
	rounds := 30
	if n, err := strconv.Atoi(os.Getenv("LASTBOLT_CRASHES")); err == nil {
		rounds = n
	} else if testing.Short() {
		rounds = 5
	}
	dir := filepath.Join(t.TempDir(), "data")
	acknowledged := map[string]int{} // job to count of events, photo to 1
	for round := range rounds {
		seed := rand.Uint64()
		delay := time.Duration(20+rand.New(rand.NewPCG(seed, 0)).IntN(150)) * time.Millisecond
		killWriter(t, dir, delay, acknowledged)
		checkAcknowledged(t, dir, round, acknowledged)
	}
	t.Logf("%d kills, %d jobs and photos acknowledged", rounds, len(acknowledged))
	if len(acknowledged) < rounds {
		t.Errorf("only %d things were acknowledged in %d rounds: the test proves nothing", len(acknowledged), rounds)
	}
}

// killWriter runs the writer and kills it some time after its first line.
func killWriter(t *testing.T, dir string, delay time.Duration, acknowledged map[string]int) {
	t.Helper()
	cmd := child(t, "writer", dir)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	killed := false
	for lines := bufio.NewScanner(out); lines.Scan(); {
		if !killed {
			killed = true
			time.AfterFunc(delay, func() { _ = cmd.Process.Kill() })
		}
		// A line cut by the kill says nothing.
		words := strings.Fields(lines.Text())
		if len(words) == 3 && (words[0] == "events" || len(words[1]) == 64) {
			if n, err := strconv.Atoi(words[2]); err == nil {
				acknowledged[words[1]] = max(acknowledged[words[1]], n)
			}
		} else if len(words) > 0 && words[0] == "error" {
			t.Fatal(lines.Text())
		}
	}
	_ = cmd.Wait() // it was killed
}

func checkAcknowledged(t *testing.T, dir string, round int, acknowledged map[string]int) {
	t.Helper()
	ctx := t.Context()
	s, err := sqlite.Open(dir, sqlite.Options{CheckFor: time.Minute})
	if err != nil {
		t.Fatalf("round %d: %v", round, err)
	}
	defer s.Close()
	for id, want := range acknowledged {
		if len(id) == 64 {
			if _, _, err := s.Open(ctx, id); err != nil {
				t.Fatalf("round %d: a photo that was acknowledged: %v", round, err)
			}
			continue
		}
		got, err := s.Events(ctx, id)
		if err != nil {
			t.Fatal(err)
		}
		if len(got) < want {
			t.Fatalf("round %d: job %s has %d events, %d were acknowledged", round, id, len(got), want)
		}
		for i, e := range got { // ordered by id: each is there once, and whole
			if !keep.Same(e, storetest.Event(id, i)) {
				t.Fatalf("round %d: event %d of %s is %+v", round, i, id, e)
			}
		}
	}
}
