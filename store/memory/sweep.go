package memory

import (
	"bytes"
	"context"
	"maps"
	"slices"
	"time"

	"lastbolt/keep"
)

// Stored implements keep.Sweeper.
func (s *Store) Stored(ctx context.Context) ([]keep.Stored, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	var out []keep.Stored
	for _, name := range slices.Sorted(maps.Keys(s.files)) {
		f := s.files[name]
		out = append(out, keep.Stored{Name: name, Media: f.mediaType, Bytes: int64(len(f.content)), Kept: f.kept})
	}
	return out, ctx.Err()
}

// Contents implements keep.Sweeper. A file that is listed is there.
func (s *Store) Contents(ctx context.Context) ([]keep.Content, error) {
	stored, err := s.Stored(ctx)
	var out []keep.Content
	for _, f := range stored {
		out = append(out, keep.Content{Name: f.Name, Bytes: f.Bytes, At: f.Kept})
	}
	return out, err
}

// Adopt implements keep.Sweeper. Nothing is there that is not listed.
func (s *Store) Adopt(ctx context.Context, _, _ string, _ int64) error { return ctx.Err() }

// Forget implements keep.Sweeper.
func (s *Store) Forget(ctx context.Context, names []string, before time.Time, position int64) (gone []string, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	for _, name := range names {
		f, there := s.files[name]
		if there && f.kept.Before(before) && !s.mentions(name, position) {
			delete(s.files, name)
			gone = append(gone, name)
		}
	}
	return gone, nil
}

func (s *Store) mentions(name string, position int64) bool {
	for _, e := range s.log[min(max(position, 0), int64(len(s.log))):] {
		if bytes.Contains(e.Data, []byte(name)) {
			return true
		}
	}
	for _, versions := range s.documents {
		for _, d := range versions {
			if bytes.Contains(d.Body, []byte(name)) {
				return true
			}
		}
	}
	return false
}
