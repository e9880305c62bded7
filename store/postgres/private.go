package postgres

import (
	"context"
	"database/sql"
	"errors"
	"strconv"
	"sync"
	"time"
)

// A Private is one content that every process on the database shares and that
// is no part of the record: it is in no backup and no export. Its methods may
// be called from many goroutines at once.
type Private struct {
	store *Store
	name  string

	mu      sync.Mutex
	content []byte
	version int64 // 0: none is kept
	read    time.Time
}

// staleAfter is how long what was read is taken to be still so: what another
// process changed counts here that much later at most.
const staleAfter = 500 * time.Millisecond

// privateTime bounds one question: nobody stands before a door for longer.
const privateTime = 10 * time.Second

const (
	onePrivate = `SELECT version, content FROM private WHERE name = $1`
	putPrivate = `INSERT INTO private (name, version, content) VALUES ($1, $2, $3)
		ON CONFLICT (name) DO UPDATE SET version = excluded.version, content = excluded.content`
)

// Private gives the content of a name.
func (s *Store) Private(name string) *Private { return &Private{store: s, name: name} }

// Load returns the content and which version it is, nil and empty where there
// is none yet.
func (p *Private) Load() (content []byte, version string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if time.Since(p.read) > staleAfter {
		ctx, cancel := context.WithTimeout(context.Background(), privateTime)
		defer cancel()
		if p.content, p.version, err = p.now(ctx, p.store.read); err != nil {
			return nil, "", err
		}
		p.read = time.Now()
	}
	return p.content, versionText(p.version), nil
}

// Change keeps what f makes of the content, nil where there is none yet, while
// no other process changes it. An error of f is passed on, and changes nothing.
func (p *Private) Change(f func(content []byte) ([]byte, error)) (version string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	ctx, cancel := context.WithTimeout(context.Background(), privateTime)
	defer cancel()
	var content []byte
	var next int64
	var said error // of f, which is not the database's to explain
	err = p.store.Database().Do(ctx, func(tx *sql.Tx) error {
		old, have, err := p.now(ctx, tx)
		if err != nil {
			return err
		}
		if content, said = f(old); said != nil {
			return said
		}
		next = have + 1
		_, err = tx.ExecContext(ctx, putPrivate, p.name, next, content)
		return err
	})
	switch {
	case said != nil:
		return "", said
	case err != nil:
		return "", err
	}
	p.content, p.version, p.read = content, next, time.Now()
	return versionText(next), nil
}

func (p *Private) now(ctx context.Context, db querier) (content []byte, version int64, err error) {
	err = db.QueryRowContext(ctx, onePrivate, p.name).Scan(&version, &content)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, 0, nil
	}
	return content, version, p.store.explain(err)
}

func versionText(version int64) string {
	if version == 0 {
		return ""
	}
	return strconv.FormatInt(version, 10)
}
