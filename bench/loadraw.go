package main

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/stdlib"

	"lastbolt/job"
)

// A rawWriter writes events by plain SQL, one durable transaction each, with the
// settings the store has.
type rawWriter struct {
	name   string
	insert func(context.Context, job.Event) error
	close  func() error
}

const timeColumn = "2006-01-02T15:04:05.000000000Z"

func prepared(ctx context.Context, db *sql.DB, table string) (func(context.Context, job.Event) error, error) {
	st, err := db.PrepareContext(ctx, `INSERT INTO `+table+` (id, job, kind, at, by, data) VALUES ($1, $2, $3, $4, $5, $6)`)
	if err != nil {
		return nil, err
	}
	return func(ctx context.Context, e job.Event) error {
		_, err := st.ExecContext(ctx, e.ID, e.Job, string(e.Kind), e.At.Format(timeColumn), e.By, string(e.Data))
		return err
	}, nil
}

func rawSQLite(path string) ([]rawWriter, error) {
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=busy_timeout(5000)&_pragma=journal_mode(wal)&_pragma=synchronous(full)&_pragma=foreign_keys(1)&_txlock=immediate")
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(1) // SQLite has one writer at a time
	insert, err := prepared(context.Background(), db, "event")
	return []rawWriter{{"plain SQL, the same table", insert, db.Close}}, err
}

// rawPostgres writes into the same table, and into one like it without what
// keeps positions in order and records unchanged.
func rawPostgres(ctx context.Context, url string) ([]rawWriter, error) {
	config, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, err
	}
	config.RuntimeParams["synchronous_commit"] = "on"
	db := stdlib.OpenDB(*config)
	db.SetMaxOpenConns(8)
	db.SetMaxIdleConns(8)
	if _, err := db.ExecContext(ctx, `CREATE TABLE bare_event (LIKE event INCLUDING ALL)`); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	same, err := prepared(ctx, db, "event")
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	bare, err := prepared(ctx, db, "bare_event")
	if err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return []rawWriter{
		{"plain SQL, the same table", same, func() error { return nil }},
		{"plain SQL, a table without triggers", bare, db.Close},
	}, nil
}

const (
	appendRounds = 5
	appendEach   = 400 // events a round
)

// appending times single events through the store and by plain SQL, in turns, so
// that both meet the same machine; by one caller and by eight.
func (p *place) appending(ctx context.Context) (err error) {
	st, err := p.open(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	raw, err := p.raw(ctx)
	if err != nil {
		return err
	}
	all := append([]rawWriter{{"the store", func(ctx context.Context, e job.Event) error { _, err := st.Append(ctx, e); return err }, func() error { return nil }}}, raw...)
	fmt.Println()
	g := &grid{}
	g.add("appending single events", "1 caller: a second", "of plain SQL", "8 callers: a second", "of plain SQL")
	speed := map[int][]float64{}
	for _, callers := range []int{1, 8} {
		took := make([]time.Duration, len(all))
		for range appendRounds {
			for i, w := range all {
				one, err := timeAppends(ctx, w, callers)
				if err != nil {
					return fmt.Errorf("%s: %w", w.name, err)
				}
				took[i] += one
			}
		}
		for _, d := range took {
			speed[callers] = append(speed[callers], appendRounds*appendEach/d.Seconds())
		}
	}
	for i, w := range all {
		row := []string{w.name}
		for _, callers := range []int{1, 8} {
			share := ""
			if i > 0 {
				share = fmt.Sprintf("%.0f %%", 100*speed[callers][0]/speed[callers][i])
			}
			row = append(row, fmt.Sprintf("%.0f", speed[callers][i]), share)
		}
		g.add(row...)
	}
	g.print(os.Stdout)
	fmt.Println("of plain SQL: how many events the store takes for a hundred that plain SQL takes")
	for _, w := range raw {
		err = errors.Join(err, w.close())
	}
	return err
}

func timeAppends(ctx context.Context, w rawWriter, callers int) (time.Duration, error) {
	ids := job.NewIDs(time.Now, rand.Reader)
	data := json.RawMessage(`{"step":"down/undertray","counts":{"screws":6},"tray":"2","minutes":4.5}`)
	name := "append " + ids.New()
	errs := make(chan error, callers)
	var group sync.WaitGroup
	began := time.Now()
	for range callers {
		group.Go(func() {
			for range appendEach / callers {
				e := job.Event{ID: ids.New(), Job: name, Kind: job.KindDone, At: time.Now().UTC(), By: "bay 1", Data: data}
				if err := w.insert(ctx, e); err != nil {
					errs <- err
					return
				}
			}
		})
	}
	group.Wait()
	took := time.Since(began)
	select {
	case err := <-errs:
		return 0, err
	default:
		return took, nil
	}
}
