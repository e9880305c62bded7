package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/internal/buildflags"
	"lastbolt/keep"
	"lastbolt/store/pgtest"
	"lastbolt/store/postgres"
	"lastbolt/store/sqlite"
)

// The size of the load: with ten thousand jobs, two million events.
// LASTBOLT_LOAD_JOBS asks for fewer, to try the table out.
const (
	loadJobs     = 10_000
	eventsPerJob = 200
	loadRate     = 200 // requests a second
	loadFor      = 15 * time.Second
)

// loads fills both databases and serves from each, by the program itself as a
// process of its own: how long a start, a page and a record take, how much memory
// that needs, and how far appending is from the same rows by plain SQL.
func loads(b *bench) error {
	jobs := loadJobs
	if n, err := strconv.Atoi(os.Getenv("LASTBOLT_LOAD_JOBS")); err == nil && n > 0 {
		jobs = n
	}
	fmt.Printf("%d processors, shared by the program, the database and what asks; load of the machine before: %s\n", runtime.GOMAXPROCS(0), loadAverage())
	binary, err := buildProgram(b)
	if err != nil {
		return err
	}
	for _, kept := range []struct {
		name string
		open func(*bench) (*place, error)
	}{{"SQLite", sqlitePlace}, {"PostgreSQL", postgresPlace}} {
		fmt.Printf("\n%s\n\n", kept.name)
		p, err := kept.open(b)
		if err != nil {
			return err
		}
		if err := p.measure(b.ctx, binary, jobs); err != nil {
			return fmt.Errorf("%s: %w", kept.name, err)
		}
	}
	return nil
}

// A place is where one database is kept, and how it is opened.
type place struct {
	dir, url string // url is empty for SQLite
	open     func(context.Context) (store, error)
	raw      func(context.Context) ([]rawWriter, error)
	close    func() error
}

type store interface {
	keep.Backend
	Close() error
}

func sqlitePlace(b *bench) (*place, error) {
	dir := filepath.Join(b.work, "sqlite")
	return &place{
		dir:   dir,
		open:  func(context.Context) (store, error) { return sqlite.Open(dir, sqlite.Options{}) },
		raw:   func(context.Context) ([]rawWriter, error) { return rawSQLite(filepath.Join(dir, "lastbolt.db")) },
		close: func() error { return os.RemoveAll(dir) },
	}, nil
}

func postgresPlace(b *bench) (*place, error) {
	server, err := pgtest.Run()
	if err != nil {
		return nil, err
	}
	url, err := server.Fresh()
	if err != nil {
		return nil, err
	}
	dir := filepath.Join(b.work, "postgres")
	return &place{
		dir: dir, url: url,
		open:  func(ctx context.Context) (store, error) { return postgres.Open(ctx, url, dir, postgres.Options{}) },
		raw:   func(ctx context.Context) ([]rawWriter, error) { return rawPostgres(ctx, url) },
		close: server.Close,
	}, nil
}

func (p *place) measure(ctx context.Context, binary string, jobs int) (err error) {
	defer func() {
		if e := p.close(); err == nil {
			err = e
		}
	}()
	if err := p.empty(ctx, binary); err != nil {
		return err
	}
	began := time.Now()
	ids, err := p.fill(ctx, jobs)
	if err != nil {
		return err
	}
	fmt.Printf("filled with %d jobs and %d events in %.0f s\n", jobs, jobs*eventsPerJob, time.Since(began).Seconds())
	if err := p.serve(ctx, binary, ids); err != nil {
		return err
	}
	return p.appending(ctx)
}

// empty starts the program with nothing kept yet, but for the second start.
func (p *place) empty(ctx context.Context, binary string) error {
	for range 2 {
		s, err := p.start(ctx, binary)
		if err != nil {
			return err
		}
		fmt.Printf("start to the first page with nothing kept: %s ms\n", ms(s.took))
		if err := s.stop(); err != nil {
			return err
		}
	}
	return nil
}

func (p *place) fill(ctx context.Context, jobs int) (ids []string, err error) {
	st, err := p.open(ctx)
	if err != nil {
		return nil, err
	}
	ids, err = fillLoad(ctx, st, jobs)
	if e := st.Close(); err == nil {
		err = e
	}
	return ids, err
}

// serve measures the program on what is kept.
func (p *place) serve(ctx context.Context, binary string, ids []string) error {
	var starts []time.Duration
	for range 4 {
		s, err := p.start(ctx, binary)
		if err != nil {
			return err
		}
		starts = append(starts, s.took)
		if err := s.stop(); err != nil {
			return err
		}
	}
	s, err := p.start(ctx, binary)
	if err != nil {
		return err
	}
	slices.Sort(starts)
	time.Sleep(2 * time.Second) // until what a start leaves behind is done
	fmt.Printf("start to the first page: median %s, slowest %s ms; idle memory %s\n\n", ms(starts[len(starts)/2]), ms(starts[len(starts)-1]), s.memory())
	if err := s.requests(ctx, ids); err != nil {
		return err
	}
	fmt.Printf("\nmemory after that: %s\n", s.memory())
	if err := s.weight(ctx, ids); err != nil {
		return err
	}
	return s.stop()
}

// buildProgram builds the program as `make build` does, with the phone's program
// in it where that is built, and prints its size.
func buildProgram(b *bench) (string, error) {
	binary := filepath.Join(b.work, "lastbolt")
	flags, err := buildflags.Read("cmd/lastbolt/program.flags")
	if err != nil {
		return "", err
	}
	args := append([]string{"build", "-ldflags", "-s -w", "-o", binary}, flags...)
	with := "without the phone's program (make phone-program builds it)"
	if _, err := os.Stat("web/phone/built/lastbolt.wasm.br"); err == nil {
		args, with = append(args, "-tags", "phone"), "with the phone's program"
	}
	build := exec.CommandContext(b.ctx, "go", append(args, "./cmd/lastbolt")...)
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		return "", fmt.Errorf("build: %w: %s", err, out)
	}
	info, err := os.Stat(binary)
	if err != nil {
		return "", err
	}
	fmt.Printf("binary %.1f MB, %s\n", float64(info.Size())/1e6, with)
	return binary, nil
}

func loadAverage() string {
	text, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return "not known"
	}
	words := strings.Fields(string(text))
	return strings.Join(words[:min(2, len(words))], " ")
}
