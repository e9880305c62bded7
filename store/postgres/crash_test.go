package postgres_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/store/pgtest"
	"lastbolt/store/postgres"
	"lastbolt/store/storetest"
)

// The test program runs itself as another process, to be killed.
const (
	childEnv = "LASTBOLT_STORE_CHILD"
	urlEnv   = "LASTBOLT_STORE_URL"
	dirEnv   = "LASTBOLT_STORE_DIR"
)

func TestMain(m *testing.M) {
	if os.Getenv(childEnv) == "" {
		os.Exit(m.Run())
	}
	if err := writer(os.Getenv(urlEnv), os.Getenv(dirEnv)); err != nil {
		fmt.Println("error", fault.CodeOf(err), fault.Say(err))
		os.Exit(1)
	}
}

// writer works on the database without end, and says what was acknowledged.
// What a server that went away did not acknowledge it sends once more.
func writer(url, dir string) error {
	ctx := context.Background()
	s, err := postgres.Open(ctx, url, dir, postgres.Options{})
	if err != nil {
		return err
	}
	prefix := fmt.Sprintf("%d-%d-", time.Now().UnixNano(), os.Getpid())
	return storetest.Load(ctx, s, os.Stdout, prefix, true)
}

// crashes is how often something is killed: LASTBOLT_CRASHES says how often.
func crashes() int {
	if n, err := strconv.Atoi(os.Getenv("LASTBOLT_CRASHES")); err == nil {
		return n
	}
	if testing.Short() {
		return 3
	}
	return 8
}

// In most rounds the writing process is killed; in one of five the database
// server is, with all its processes, while the writer goes on against it when it
// is back, and is killed in the end.
func TestWhatWasAcknowledgedSurvivesAKill(t *testing.T) {
	server := pgtest.Start(t)
	url, dir := fresh(t, server), filepath.Join(t.TempDir(), "data")
	rounds, servers := crashes(), 0
	var said storetest.Acknowledged
	for round := range rounds {
		r := &killing{t: t, server: server}
		if r.ofServer = round%5 == 2; r.ofServer {
			servers++
		}
		r.run(url, dir, round%5 == 4, &said)
		everything := round%50 == 49 || round == rounds-1
		s, err := postgres.Open(t.Context(), url, dir, postgres.Options{})
		if err != nil {
			t.Fatal(err)
		}
		said.Check(t, s, everything)
		if everything {
			storetest.CheckPositions(t, s)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d kills of the writer and %d of the whole server, %d jobs, documents and photos acknowledged; %d jobs and documents had more stored than was said yet",
		rounds, servers, said.Len(), said.Unsaid)
	if said.Len() < rounds || servers == 0 || rounds >= 30 && said.Unsaid == 0 {
		t.Error("too few kills came in the middle of work: this proves nothing")
	}
}

// A killing is one round.
type killing struct {
	t        *testing.T
	server   *pgtest.Server
	ofServer bool

	cmd   *exec.Cmd
	once  sync.Once
	after chan struct{} // closed when the server is up again
}

// run runs the writer and kills it, or first the server, at an instant of
// chance: while it works or, early, perhaps while it still connects.
func (k *killing) run(url, dir string, early bool, said *storetest.Acknowledged) {
	k.t.Helper()
	self, err := os.Executable()
	if err != nil {
		k.t.Fatal(err)
	}
	k.cmd = exec.Command(self)
	k.cmd.Env = append(os.Environ(), childEnv+"=writer", urlEnv+"="+url, dirEnv+"="+dir)
	out, err := k.cmd.StdoutPipe()
	if err != nil {
		k.t.Fatal(err)
	}
	if err := k.cmd.Start(); err != nil {
		k.t.Fatal(err)
	}
	k.after = make(chan struct{})
	if early {
		k.killIn(80 * time.Millisecond)
	}
	err = said.Read(out, func() { k.killIn(150 * time.Millisecond) })
	if err != nil {
		k.t.Fatal(err)
	}
	_ = k.cmd.Wait() // it was killed
	if k.ofServer {
		<-k.after
	}
}

// killIn kills, once, within the time given.
func (k *killing) killIn(most time.Duration) {
	k.once.Do(func() {
		time.AfterFunc(rand.N(most), func() {
			if k.ofServer {
				k.killServer()
				time.Sleep(rand.N(most)) // it works against the server as it is then
			}
			if err := k.cmd.Process.Kill(); err != nil {
				k.t.Error(err)
			}
		})
	})
}

func (k *killing) killServer() {
	defer close(k.after)
	if err := k.server.Kill(); err != nil {
		k.t.Error(err)
	}
	if err := k.server.Up(); err != nil {
		k.t.Error(err)
	}
}
