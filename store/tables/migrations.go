package tables

import (
	"fmt"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"lastbolt/keep"
)

// A Migration is one numbered step of a database's shape: 0001_start.sql. Which
// steps were taken is recorded in the table schema_migration.
type Migration struct {
	Number int
	Name   string
	Text   string
	Hash   string // SHA-256 of the text
}

// Record is the statement that notes a step as taken; its values are those of
// [Migration.Values].
const Record = `INSERT INTO schema_migration (number, name, hash, at) VALUES ($1, $2, $3, $4)`

// Taken is the query of the hashes of the steps taken, in order.
const Taken = `SELECT hash FROM schema_migration ORDER BY number`

// Migrations reads the steps in the folder migrations of an embedded tree.
// Their numbers must run from 1 without gaps.
func Migrations(from fs.FS) ([]Migration, error) {
	names, err := fs.Glob(from, "migrations/*.sql") // sorted
	if err != nil {
		return nil, err
	}
	var out []Migration
	for _, file := range names {
		text, err := fs.ReadFile(from, file)
		if err != nil {
			return nil, err
		}
		name := path.Base(file)
		digits, _, _ := strings.Cut(name, "_")
		number, err := strconv.Atoi(digits)
		if err != nil || number != len(out)+1 {
			return nil, fmt.Errorf("migration %s: want number %04d", name, len(out)+1)
		}
		out = append(out, Migration{number, name, string(text), keep.Hash(text)})
	}
	return out, nil
}

// Missing returns the steps still to take after those whose hashes are
// recorded, or false when what is recorded is not the beginning of ours.
func Missing(all []Migration, taken []string) (missing []Migration, ours bool) {
	for i, hash := range taken {
		if i >= len(all) || all[i].Hash != hash {
			return nil, false
		}
	}
	return all[len(taken):], true
}
