package sqlite_test

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"lastbolt/job"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// filled makes a folder of jobs with 200 events each, and their summaries.
func filled(b *testing.B, jobs int) string {
	b.Helper()
	dir := filepath.Join(b.TempDir(), "data")
	s := must(sqlite.Open(dir, sqlite.Options{}))
	defer s.Close()
	for j := range jobs {
		id := fmt.Sprintf("job-%05d", j)
		must(s.Append(context.Background(), storetest.Events(id, 200)...))
		sum := job.Summary{ID: id, Title: "Alternator off, belt renewed", Vehicle: "Tern van 1.4", Complaint: "squeal when cold", Stage: "apart", Touched: storetest.At.Add(time.Duration(j) * time.Second)}
		if err := s.SetSummary(context.Background(), sum); err != nil {
			b.Fatal(err)
		}
	}
	return dir
}

// BenchmarkAppend is one durable transaction an event, by one caller, and by
// raw SQL on the same settings beside it.
func BenchmarkAppend(b *testing.B) {
	ctx := context.Background()
	b.Run("store", func(b *testing.B) {
		s := open(b, b.TempDir())
		n := 0
		for b.Loop() {
			must(s.Append(ctx, storetest.Event("a", n)))
			n++
		}
	})
	b.Run("raw", func(b *testing.B) {
		dir := b.TempDir()
		open(b, dir)
		db := rawDatabase(b, dir)
		n := 0
		for b.Loop() {
			e := storetest.Event("a", n)
			must(db.Exec(`INSERT INTO event (id, job, kind, at, by, data) VALUES ($1, $2, $3, $4, $5, $6)`,
				e.ID, e.Job, string(e.Kind), e.At.Format(time.RFC3339Nano), e.By, string(e.Data)))
			n++
		}
	})
	b.Run("store, 8 callers", func(b *testing.B) {
		s := open(b, b.TempDir())
		b.SetParallelism(4)
		b.RunParallel(func(p *testing.PB) {
			id := fmt.Sprint(time.Now().UnixNano())
			for n := 0; p.Next(); n++ {
				must(s.Append(ctx, storetest.Event(id, n)))
			}
		})
	})
	b.Run("store, batches of 1000", func(b *testing.B) {
		s := open(b, b.TempDir())
		n := 0
		for b.Loop() {
			must(s.Append(ctx, storetest.Events(fmt.Sprint(n), 1000)...))
			n++
		}
	})
}

func BenchmarkOpen(b *testing.B) {
	for _, jobs := range []int{0, 100, 2000} {
		dir := filled(b, jobs)
		b.Run(fmt.Sprintf("%d events", jobs*200), func(b *testing.B) {
			for b.Loop() {
				if err := must(sqlite.Open(dir, sqlite.Options{})).Close(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRead(b *testing.B) {
	ctx := context.Background()
	s := open(b, filled(b, 2000))
	b.Run("events of a job", func(b *testing.B) {
		for b.Loop() {
			must(s.Events(ctx, "job-01000"))
		}
	})
	b.Run("first page of jobs", func(b *testing.B) {
		for b.Loop() {
			must(s.Summaries(ctx, job.Query{Limit: 50}))
		}
	})
	b.Run("search that finds nothing", func(b *testing.B) {
		for b.Loop() {
			must(s.Summaries(ctx, job.Query{Text: "tern coolant"}))
		}
	})
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			if err := s.Check(ctx); err != nil {
				b.Fatal(err)
			}
		}
	})
}
