package tables

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"strconv"
	"strings"

	"lastbolt/job"
	"lastbolt/keep"
)

// EventColumns are the columns that [ScanEvent] takes, in order.
const EventColumns = `position, id, job, kind, at, by, data`

const (
	insertEvents = `INSERT INTO event (id, job, kind, at, by, data) VALUES `
	insertEvent  = insertEvents + `($1, $2, $3, $4, $5, $6) ON CONFLICT (id) DO NOTHING`
	eventByID    = `SELECT ` + EventColumns + ` FROM event WHERE id = $1`
	eventsOfJob  = `SELECT ` + EventColumns + ` FROM event WHERE job = $1 ORDER BY id`
	eventsAfter  = `SELECT ` + EventColumns + ` FROM event WHERE position > $1 ORDER BY position LIMIT $2`
	eventCount   = `SELECT count(*) FROM event WHERE job = $1`
	jobIDs       = `SELECT DISTINCT job FROM event ORDER BY job`

	upsertSummary = `
		INSERT INTO summary (id, stage, vehicle, map, touched, released, due, search, line) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)
		ON CONFLICT (id) DO UPDATE SET stage = excluded.stage, vehicle = excluded.vehicle, map = excluded.map, touched = excluded.touched,
			released = excluded.released, due = excluded.due, search = excluded.search, line = excluded.line`
)

// perInsert is how many events one statement of a large batch carries: enough
// that the way to a server no longer counts, and far under both databases'
// limit of parameters.
const perInsert = 100

// insertMany is insertEvent for perInsert events.
var insertMany = func() string {
	var b strings.Builder
	b.WriteString(insertEvents)
	for i := range perInsert {
		if i > 0 {
			b.WriteString(", ")
		}
		for c := range 6 {
			b.WriteString([]string{"(", ", "}[min(c, 1)] + param(6*i+c+1))
		}
		b.WriteString(")")
	}
	b.WriteString(` ON CONFLICT (id) DO NOTHING`)
	return b.String()
}()

func param(n int) string { return "$" + strconv.Itoa(n) }

// Append implements job.Log.
func (t *Tables) Append(ctx context.Context, events ...job.Event) (added int, err error) {
	checked, err := keep.Events(events)
	if err != nil || len(checked) == 0 {
		return 0, err
	}
	return t.put(ctx, checked, nil)
}

// insertPart inserts at most perInsert events.
func (t *Tables) insertPart(ctx context.Context, tx *sql.Tx, events []job.Event) (added int, err error) {
	if len(events) == perInsert {
		args := make([]any, 0, 6*perInsert)
		for _, e := range events {
			args = append(args, eventValues(e)...)
		}
		return affected(tx.ExecContext(ctx, insertMany, args...))
	}
	insert := tx.StmtContext(ctx, t.insert)
	for _, e := range events {
		n, err := affected(insert.ExecContext(ctx, eventValues(e)...))
		if err != nil {
			return 0, err
		}
		added += n
	}
	return added, nil
}

func eventValues(e job.Event) []any {
	return []any{e.ID, e.Job, string(e.Kind), TimeText(e.At), e.By, string(e.Data)}
}

func affected(result sql.Result, err error) (int, error) {
	if err != nil {
		return 0, err
	}
	n, err := result.RowsAffected()
	return int(n), err
}

// ScanEvent scans [EventColumns], and puts the position where it is told.
func ScanEvent(position *int64) func(*sql.Rows) (job.Event, error) {
	return func(r *sql.Rows) (job.Event, error) { return scanEvent(r, position) }
}

type row interface{ Scan(...any) error }

func scanEvent(r row, position *int64) (e job.Event, err error) {
	var data string
	err = r.Scan(position, &e.ID, &e.Job, (*string)(&e.Kind), timeColumn{&e.At}, &e.By, &data)
	if data != "" {
		e.Data = json.RawMessage(data)
	}
	return e, err
}

// Events implements job.Log.
func (t *Tables) Events(ctx context.Context, id string) ([]job.Event, error) {
	var position int64
	rows, err := t.known.QueryContext(ctx, id)
	return Collect(t.Explain, rows, err, ScanEvent(&position))
}

// Count is how many events a job has.
func (t *Tables) Count(ctx context.Context, id string) (int, error) {
	var n int
	err := t.count.QueryRowContext(ctx, id).Scan(&n)
	return n, t.Explain(err)
}

// Changed implements job.Log. Writes come one after another, so a position
// once given is never undercut by a later event.
func (t *Tables) Changed(ctx context.Context, after int64, limit int) ([]job.Event, int64, error) {
	position := after
	rows, err := t.Read.QueryContext(ctx, eventsAfter, after, keep.Limit(limit, keep.DefaultChanged))
	events, err := Collect(t.Explain, rows, err, ScanEvent(&position))
	if err != nil {
		return nil, after, err
	}
	return events, position, nil
}

// Jobs implements keep.Backend.
func (t *Tables) Jobs(ctx context.Context) ([]string, error) {
	rows, err := t.Read.QueryContext(ctx, jobIDs)
	return Collect(t.Explain, rows, err, ScanText)
}

// SetSummary implements job.Log.
func (t *Tables) SetSummary(ctx context.Context, sum job.Summary) error {
	values, err := summaryValues(sum)
	if err != nil {
		return err
	}
	_, err = t.Write.ExecContext(ctx, upsertSummary, values...)
	return t.Explain(err)
}

// AppendSummarised is Append and SetSummary in one transaction, for the price of
// one: both or neither.
func (t *Tables) AppendSummarised(ctx context.Context, sum job.Summary, events ...job.Event) (added int, err error) {
	checked, err := keep.Events(events)
	if err != nil {
		return 0, err
	}
	values, err := summaryValues(sum)
	if err != nil {
		return 0, err
	}
	return t.put(ctx, checked, values)
}

func summaryValues(sum job.Summary) ([]any, error) {
	sum, err := keep.Summary(sum)
	if err != nil {
		return nil, err
	}
	line, err := json.Marshal(sum)
	if err != nil {
		return nil, err
	}
	return []any{sum.ID, keep.Plain(sum.Stage), keep.Plain(sum.VehicleID), keep.Plain(sum.MapID),
		TimeText(sum.Touched), TimeText(sum.Released), TimeText(sum.Due), keep.SearchText(sum), string(line)}, nil
}

// Summaries implements job.Log.
func (t *Tables) Summaries(ctx context.Context, q job.Query) ([]job.Summary, error) {
	text, args := summariesQuery(q)
	rows, err := t.Read.QueryContext(ctx, text, args...)
	return Collect(t.Explain, rows, err, func(r *sql.Rows) (sum job.Summary, err error) {
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
		add("stage = ?", keep.Plain(q.Stage))
	}
	if q.Vehicle != "" {
		add("vehicle = ?", keep.Plain(q.Vehicle))
	}
	if q.Map != "" {
		add("map = ?", keep.Plain(q.Map))
		where = append(where, "map <> ''") // the index has no others
	}
	for _, word := range keep.Words(q.Text) {
		add(`search LIKE ? ESCAPE '\'`, "%"+likeEscaper.Replace(word)+"%")
	}
	order := "touched DESC, id DESC"
	if !q.DueBy.IsZero() {
		where, order = append(where, "due <> ''"), "due, id"
		add("due <= ?", TimeText(q.DueBy))
	}
	args = append(args, keep.Limit(q.Limit, keep.DefaultSummaries), max(q.Offset, 0))
	return "SELECT line FROM summary WHERE " + strings.Join(where, " AND ") +
		" ORDER BY " + order + " LIMIT " + param(len(args)-1) + " OFFSET " + param(len(args)), args
}

var likeEscaper = strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)

// eventNamed returns the event with the id within a transaction, if it is there.
func eventNamed(ctx context.Context, tx *sql.Tx, id string) (e job.Event, there bool, err error) {
	var position int64
	e, err = scanEvent(tx.QueryRowContext(ctx, eventByID, id), &position)
	if errors.Is(err, sql.ErrNoRows) {
		return e, false, nil
	}
	return e, err == nil, err
}
