package memory

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"time"

	"lastbolt/garage"
	"lastbolt/keep"
)

// Put implements garage.Documents.
func (s *Store) Put(ctx context.Context, d garage.Document, base int) (int, error) {
	d, err := keep.Document(d)
	if err != nil {
		return 0, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return 0, err
	}
	k := key{d.Kind, d.ID}
	if have := len(s.documents[k]); have != base {
		return 0, keep.Stale(d, base, have)
	}
	if base > 0 {
		d = keep.Behind(d, s.documents[k][base-1])
	}
	d.Version = base + 1
	s.documents[k] = append(s.documents[k], clone(d))
	return d.Version, nil
}

// Latest implements garage.Documents.
func (s *Store) Latest(ctx context.Context, kind, id string) (garage.Document, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return garage.Document{}, err
	}
	versions := s.documents[key{kind, id}]
	if len(versions) == 0 {
		return garage.Document{}, keep.Unknown(kind, id, 0)
	}
	return clone(versions[len(versions)-1]), nil
}

// Version implements garage.Documents.
func (s *Store) Version(ctx context.Context, kind, id string, version int) (garage.Document, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return garage.Document{}, err
	}
	versions := s.documents[key{kind, id}]
	if version < 1 || version > len(versions) {
		return garage.Document{}, keep.Unknown(kind, id, version)
	}
	return clone(versions[version-1]), nil
}

// All implements garage.Documents.
func (s *Store) All(ctx context.Context, kind string) ([]garage.Document, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	var out []garage.Document
	for k, versions := range s.documents {
		if k.kind == kind {
			out = append(out, clone(versions[len(versions)-1]))
		}
	}
	slices.SortFunc(out, func(a, b garage.Document) int { return cmp.Compare(a.ID, b.ID) })
	return out, nil
}

// History implements garage.Documents.
func (s *Store) History(ctx context.Context, kind, id string) ([]garage.Document, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out := slices.Clone(s.documents[key{kind, id}])
	slices.Reverse(out)
	for i := range out {
		out[i].Body = nil
	}
	return out, nil
}

// Kinds implements keep.Backend.
func (s *Store) Kinds(ctx context.Context) ([]string, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	kinds := map[string]bool{}
	for k := range s.documents {
		kinds[k.kind] = true
	}
	return slices.Sorted(maps.Keys(kinds)), ctx.Err()
}

// Keep implements garage.Files.
func (s *Store) Keep(ctx context.Context, content []byte, mediaType string) (string, error) {
	name, err := keep.File(content, mediaType)
	if err != nil {
		return "", err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return "", err
	}
	f, there := s.files[name]
	if !there {
		f = file{content: slices.Clone(content), mediaType: mediaType}
	}
	f.kept = time.Now()
	s.files[name] = f
	return name, nil
}

// Open implements garage.Files.
func (s *Store) Open(ctx context.Context, name string) ([]byte, string, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if err := ctx.Err(); err != nil {
		return nil, "", err
	}
	f, there := s.files[name]
	if !there {
		return nil, "", keep.NoFile(name)
	}
	return slices.Clone(f.content), f.mediaType, nil
}

// Names implements garage.Files.
func (s *Store) Names(ctx context.Context) ([]string, error) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return slices.Sorted(maps.Keys(s.files)), ctx.Err()
}
