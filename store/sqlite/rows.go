package sqlite

import (
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// timeLayout sorts as text the way the times do, for the years 1 to 9999.
const timeLayout = "2006-01-02T15:04:05.000000000Z"

// timeText writes a time for a column; the zero time is empty text.
func timeText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(timeLayout)
}

// timeColumn reads what timeText wrote.
type timeColumn struct{ to *time.Time }

// Scan implements sql.Scanner.
func (c timeColumn) Scan(from any) (err error) {
	text, ok := from.(string)
	switch {
	case !ok:
		return fmt.Errorf("a time column holds a %T", from)
	case text == "":
		*c.to = time.Time{}
	default:
		*c.to, err = time.Parse(timeLayout, text)
	}
	return err
}

// collect reads all rows and closes them. It takes the results of Query as
// they come.
func collect[T any](s *Store, rows *sql.Rows, err error, scan func(*sql.Rows) (T, error)) ([]T, error) {
	if err != nil {
		return nil, s.explain(err)
	}
	defer rows.Close()
	var out []T
	for rows.Next() {
		v, err := scan(rows)
		if err != nil {
			return nil, s.explain(err)
		}
		out = append(out, v)
	}
	return out, s.explain(rows.Err())
}

func scanText(r *sql.Rows) (text string, err error) { return text, r.Scan(&text) }

// statements are those that run often, prepared once.
type statements struct{ insert, known *sql.Stmt }

func (t *statements) close() error {
	var errs []error
	for _, s := range []*sql.Stmt{t.insert, t.known} {
		if s != nil {
			errs = append(errs, s.Close())
		}
	}
	return errors.Join(errs...)
}
