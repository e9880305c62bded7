package cli

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"

	"lastbolt/fault"
	"lastbolt/keep"
	"lastbolt/lan"
	"lastbolt/store/postgres"
	"lastbolt/store/s3"
	"lastbolt/store/sqlite"
	"lastbolt/store/tables"
)

// A data is everything that is kept, in whichever database.
type data interface {
	keep.Sweeper
	// Notice is a sentence for the person who starts a server, or empty.
	Notice() string
	// Backup copies everything as it is at one instant to a new folder, and
	// reads it back.
	Backup(ctx context.Context, to string, o sqlite.BackupOptions) (sqlite.Manifest, error)
	// Database is what copies are made of.
	Database() tables.Engine
	// Bytes is what the database takes.
	Bytes(ctx context.Context) (int64, error)
	Close() error
}

var (
	_ data = (*sqlite.Store)(nil)
	_ data = (*postgres.Store)(nil)
)

// open opens what is kept, and begins it where nothing is yet: the database
// that is named, or else the one in the data folder. Photos and clips are in
// the data folder either way, or in the store that is named.
func open(ctx context.Context, env *Env) (data, error) { return openAt(ctx, env, false) }

// existing opens what is kept for a command that has nothing to do where
// there is none: a misspelt folder is said, not made.
func existing(ctx context.Context, env *Env) (data, error) { return openAt(ctx, env, true) }

// databaseName is what a data folder has in it, as package sqlite writes it.
const databaseName = "lastbolt.db"

func openAt(ctx context.Context, env *Env, there bool) (data, error) {
	files, err := openFiles(ctx, env)
	if err != nil {
		return nil, err
	}
	if env.Database != "" {
		if !postgres.IsURL(env.Database) {
			return nil, errNoDatabase()
		}
		return opened(postgres.Open(ctx, env.Database, env.DataDir, postgres.Options{Files: files, Existing: there}))
	}
	if there {
		if _, err := os.Stat(filepath.Join(env.DataDir, databaseName)); errors.Is(err, os.ErrNotExist) {
			return nil, fault.New(fault.NotFound, "There is no data in the folder %s yet: lastbolt serve starts it, --dir or LASTBOLT_DIR name another", env.DataDir)
		}
	}
	return opened(sqlite.Open(env.DataDir, sqlite.Options{Files: files}))
}

// openFiles opens where the content of photos and clips is; nil is the data
// folder's own. A store that does not answer is told of, and all else goes on.
func openFiles(ctx context.Context, env *Env) (keep.Contents, error) {
	if env.Files == "" {
		return nil, nil
	}
	at, err := s3.Parse(env.Files)
	if err != nil {
		return nil, status{err, exitUsage}
	}
	files, err := s3.Open(ctx, at)
	if err != nil {
		return nil, err
	}
	if notice := files.Notice(); notice != "" {
		fmt.Fprintln(env.Err, notice)
	}
	return files, nil
}

// opened makes no store of an error.
func opened[S data](st S, err error) (data, error) {
	if err != nil {
		return nil, err
	}
	return st, nil
}

// errNoDatabase does not repeat what was given: it may hold a password.
func errNoDatabase() error {
	return usage("What --database or LASTBOLT_DATABASE names is no address of a database. Write it as in postgres://user@host:5432/lastbolt")
}

func closing(env *Env, st data) {
	if err := st.Close(); err != nil {
		fmt.Fprintln(env.Err, "lastbolt:", err)
	}
}

// doorOf is where the phones and people are kept: in the database that several
// servers may share, or else in the data folder.
func doorOf(env *Env, st data) lan.Keeper {
	if shared, ok := st.(*postgres.Store); ok {
		return shared.Private("door")
	}
	return lan.InFolder(env.lanFolder())
}

// lanFolder is what this machine alone has for its phones: its authority.
func (e *Env) lanFolder() string { return filepath.Join(e.DataDir, "lan") }

// secrets are the passwords in addresses of databases and file stores.
var secrets = regexp.MustCompile(`((?:postgres(?:ql)?|s3)://[^\s:/@]*:)[^\s"]*(@)|([?&]password=)[^\s&"]*`)

// withoutSecrets is a text for a screen or a log, with the passwords of
// addresses left out.
func withoutSecrets(text string) string { return secrets.ReplaceAllString(text, "$1$3…$2") }
