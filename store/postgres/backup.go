package postgres

import (
	"context"

	"lastbolt/store/sqlite"
)

// Backup copies everything as it is at one instant, while work goes on, to a
// new folder: the same backup that a data folder gets, which package sqlite
// checks and restores.
func (s *Store) Backup(ctx context.Context, to string, o sqlite.BackupOptions) (sqlite.Manifest, error) {
	return sqlite.BackupOf(ctx, s.Engine, to, o)
}
