package tables

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"strconv"
	"strings"
)

// A table is one whose rows are what is kept. The order settles which row comes
// when; text sorts by its bytes in every database.
type table struct {
	name, order string
	columns     []string
}

// kept is every table that a copy takes along. The steps taken are the other
// database's own, and what belongs to one host alone is not part of what is
// kept.
var kept = []table{
	{"event", "position", strings.Split(EventColumns, ", ")},
	{"summary", "id", []string{"id", "stage", "vehicle", "touched", "released", "search", "line", "due", "map"}},
	{"document", "kind, id, version", strings.Split(DocumentColumns, ", ")},
	{"file", "name", []string{"name", "media", "size", "kept"}},
}

// A Sum is what the rows of one table are compared by.
type Sum struct {
	Table   string
	Columns string // those that are compared, with commas
	Rows    int
	Hash    string // SHA-256 of every column of every row, in order
}

// A Snapshot is a database as it is at one instant, however long it is read.
type Snapshot struct {
	engine Engine
	tx     *sql.Tx
}

// Snapshot begins to read the database as it is now. Close it when done.
func (e Engine) Snapshot(ctx context.Context) (*Snapshot, error) {
	tx, err := e.Read.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return nil, e.Explain(err)
	}
	s := &Snapshot{e, tx}
	if e.Patient != "" {
		if _, err := tx.ExecContext(ctx, e.Patient); err != nil {
			s.Close()
			return nil, e.Explain(err)
		}
	}
	// The instant is that of the first look.
	if _, err := occupied(ctx, tx); err != nil {
		s.Close()
		return nil, e.Explain(err)
	}
	return s, nil
}

// Close lets go of the snapshot.
func (s *Snapshot) Close() { _ = s.tx.Rollback() } // nothing was written

// Sums reads everything but the content of files.
func (s *Snapshot) Sums(ctx context.Context) ([]Sum, error) {
	sums, err := sums(ctx, s.tx)
	return sums, s.engine.Explain(err)
}

// FileNames are the names of the files, in order.
func (s *Snapshot) FileNames(ctx context.Context) ([]string, error) {
	rows, err := s.tx.QueryContext(ctx, FileNames)
	return Collect(s.engine.Explain, rows, err, ScanText)
}

// occupied names the first table with a row in it, or is empty.
func occupied(ctx context.Context, tx *sql.Tx) (string, error) {
	for _, t := range kept {
		var one int
		err := tx.QueryRowContext(ctx, "SELECT count(*) FROM (SELECT 1 FROM "+t.name+" LIMIT 1) AS first").Scan(&one)
		if err != nil {
			return "", err
		}
		if one > 0 {
			return t.name, nil
		}
	}
	return "", nil
}

func sums(ctx context.Context, tx *sql.Tx) ([]Sum, error) {
	var out []Sum
	for _, t := range kept {
		sum := newSummer(t)
		err := t.each(ctx, tx, func(row []any) error { return sum.add(row) })
		if err != nil {
			return nil, err
		}
		out = append(out, sum.sum())
	}
	return out, nil
}

// each hands out every row of the table. The values are text, whole numbers or
// bytes, and may be kept.
func (t table) each(ctx context.Context, tx *sql.Tx, take func([]any) error) error {
	rows, err := tx.QueryContext(ctx, "SELECT "+strings.Join(t.columns, ", ")+" FROM "+t.name+" ORDER BY "+t.order)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		row, to := make([]any, len(t.columns)), make([]any, len(t.columns))
		for i := range row {
			to[i] = &row[i]
		}
		if err := rows.Scan(to...); err != nil {
			return err
		}
		for i, v := range row {
			if v == nil {
				row[i] = []byte{} // no column may be NULL: these are no bytes
			}
		}
		if err := take(row); err != nil {
			return err
		}
	}
	return rows.Err()
}

// A summer adds up rows to a Sum.
type summer struct {
	table table
	rows  int
	hash  hash.Hash
}

func newSummer(t table) *summer { return &summer{table: t, hash: sha256.New()} }

func (s *summer) add(row []any) error {
	s.rows++
	for _, v := range row {
		var text string
		switch v := v.(type) {
		case string:
			text = v
		case []byte:
			text = string(v)
		case int64:
			text = strconv.FormatInt(v, 10)
		default:
			return fmt.Errorf("table %s: a column holds a %T", s.table.name, v)
		}
		// The length before each keeps columns apart.
		s.hash.Write(binary.AppendUvarint(nil, uint64(len(text))))
		s.hash.Write([]byte(text))
	}
	return nil
}

func (s *summer) sum() Sum {
	return Sum{s.table.name, strings.Join(s.table.columns, ","), s.rows, hex.EncodeToString(s.hash.Sum(nil))}
}
