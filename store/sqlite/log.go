package sqlite

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"strings"

	"lastbolt/job"
	"lastbolt/keep"
)

const (
	insertEvent = `INSERT INTO event (id, job, kind, at, by, data) VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (id) DO NOTHING`
	eventByID   = `SELECT position, id, job, kind, at, by, data FROM event WHERE id = $1`
	eventsOfJob = `SELECT position, id, job, kind, at, by, data FROM event WHERE job = $1 ORDER BY id`
	eventsAfter = `SELECT position, id, job, kind, at, by, data FROM event WHERE position > $1 ORDER BY position LIMIT $2`
	jobIDs      = `SELECT DISTINCT job FROM event ORDER BY job`

	upsertSummary = `
		INSERT INTO summary (id, stage, vehicle, touched, released, search, line) VALUES ($1, $2, $3, $4, $5, $6, $7)
		ON CONFLICT (id) DO UPDATE SET stage = excluded.stage, vehicle = excluded.vehicle, touched = excluded.touched,
			released = excluded.released, search = excluded.search, line = excluded.line`
)

func (s *Store) prepare(ctx context.Context) (err error) {
	if s.text.insert, err = s.write.PrepareContext(ctx, insertEvent); err != nil {
		return s.explain(err)
	}
	s.text.known, err = s.read.PrepareContext(ctx, eventsOfJob)
	return s.explain(err)
}

// Append implements job.Log.
func (s *Store) Append(ctx context.Context, events ...job.Event) (added int, err error) {
	checked, err := keep.Events(events)
	if err != nil || len(checked) == 0 {
		return 0, err
	}
	if len(checked) == 1 {
		// One statement is a transaction by itself, in half the time.
		added, err = insertEvents(ctx, s.text.insert, checked)
		return added, s.explain(err)
	}
	err = s.do(ctx, func(tx *sql.Tx) (err error) {
		added, err = insertEvents(ctx, tx.StmtContext(ctx, s.text.insert), checked)
		return err
	})
	if err != nil {
		return 0, err
	}
	return added, nil
}

// insertEvents returns no count with an error: nothing of it will be stored.
func insertEvents(ctx context.Context, insert *sql.Stmt, events []job.Event) (added int, err error) {
	for _, e := range events {
		result, err := insert.ExecContext(ctx, e.ID, e.Job, string(e.Kind), timeText(e.At), e.By, string(e.Data))
		if err != nil {
			return 0, err
		}
		n, err := result.RowsAffected()
		if err != nil {
			return 0, err
		}
		added += int(n)
	}
	return added, nil
}

func scanEvent(position *int64) func(*sql.Rows) (job.Event, error) {
	return func(r *sql.Rows) (e job.Event, err error) {
		var data string
		err = r.Scan(position, &e.ID, &e.Job, (*string)(&e.Kind), timeColumn{&e.At}, &e.By, &data)
		if data != "" {
			e.Data = json.RawMessage(data)
		}
		return e, err
	}
}

// Events implements job.Log.
func (s *Store) Events(ctx context.Context, id string) ([]job.Event, error) {
	var position int64
	rows, err := s.text.known.QueryContext(ctx, id)
	return collect(s, rows, err, scanEvent(&position))
}

// Changed implements job.Log. Writes come one after another, so a position
// once given is never undercut by a later event.
func (s *Store) Changed(ctx context.Context, after int64, limit int) ([]job.Event, int64, error) {
	position := after
	rows, err := s.read.QueryContext(ctx, eventsAfter, after, keep.Limit(limit, keep.DefaultChanged))
	events, err := collect(s, rows, err, scanEvent(&position))
	if err != nil {
		return nil, after, err
	}
	return events, position, nil
}

// Jobs implements keep.Backend.
func (s *Store) Jobs(ctx context.Context) ([]string, error) {
	rows, err := s.read.QueryContext(ctx, jobIDs)
	return collect(s, rows, err, scanText)
}

// SetSummary implements job.Log.
func (s *Store) SetSummary(ctx context.Context, sum job.Summary) error {
	sum, err := keep.Summary(sum)
	if err != nil {
		return err
	}
	line, err := json.Marshal(sum)
	if err != nil {
		return err
	}
	return s.do(ctx, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, upsertSummary, sum.ID, sum.Stage, sum.VehicleID,
			timeText(sum.Touched), timeText(sum.Released), keep.SearchText(sum), string(line))
		return err
	})
}

// Summaries implements job.Log.
func (s *Store) Summaries(ctx context.Context, q job.Query) ([]job.Summary, error) {
	text, args := summariesQuery(q)
	rows, err := s.read.QueryContext(ctx, text, args...)
	return collect(s, rows, err, func(r *sql.Rows) (sum job.Summary, err error) {
		var line []byte
		if err := r.Scan(&line); err != nil {
			return sum, err
		}
		return sum, json.Unmarshal(line, &sum)
	})
}

// summariesQuery builds the text for what q asks; every value is a parameter.
func summariesQuery(q job.Query) (text string, args []any) {
	where := []string{"1 = 1"}
	add := func(condition string, value any) {
		args = append(args, value)
		where = append(where, strings.ReplaceAll(condition, "?", param(len(args))))
	}
	if !q.Closed {
		where = append(where, "released = ''")
	}
	if q.Stage != "" {
		add("stage = ?", q.Stage)
	}
	if q.Vehicle != "" {
		add("vehicle = ?", q.Vehicle)
	}
	for _, word := range keep.Words(q.Text) {
		add(`search LIKE ? ESCAPE '\'`, "%"+likeEscaper.Replace(word)+"%")
	}
	args = append(args, keep.Limit(q.Limit, keep.DefaultSummaries), max(q.Offset, 0))
	return "SELECT line FROM summary WHERE " + strings.Join(where, " AND ") +
		" ORDER BY touched DESC, id DESC LIMIT " + param(len(args)-1) + " OFFSET " + param(len(args)), args
}

var likeEscaper = strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)

// eventNamed returns the event with the id within a transaction, if it is there.
func eventNamed(ctx context.Context, tx *sql.Tx, id string) (e job.Event, there bool, err error) {
	var position int64
	var data string
	err = tx.QueryRowContext(ctx, eventByID, id).
		Scan(&position, &e.ID, &e.Job, (*string)(&e.Kind), timeColumn{&e.At}, &e.By, &data)
	if errors.Is(err, sql.ErrNoRows) {
		return e, false, nil
	}
	e.Data = json.RawMessage(data)
	return e, err == nil, err
}
