// Package garage is what is not a job: vehicles, the shelf of tools and
// supplies, access maps, and what finished jobs have taught about them.
//
// Each is a document that keeps every version. Start with [Documents] (where
// they are kept) and [Vehicle], [Shelf] and [Maps].
package garage

import (
	"context"
	"time"
)

// A Document is one version of something that is edited: a vehicle, a map, the
// shelf. Body is JSON or YAML as Kind says.
type Document struct {
	Kind    string    `json:"kind"` // "vehicle", "map", "shelf"
	ID      string    `json:"id"`
	Version int       `json:"version"` // 1, 2, 3 …
	At      time.Time `json:"at"`
	By      string    `json:"by,omitempty"`
	Note    string    `json:"note,omitempty"`
	Body    []byte    `json:"body"`
}

// Documents is where documents are kept; every version stays.
type Documents interface {
	// Put stores the next version. Base is the version the edit began from, 0
	// for a new document; if another version has come since, Put stores
	// nothing and returns ErrStale.
	Put(ctx context.Context, d Document, base int) (version int, err error)
	// Latest returns the newest version, or ErrUnknown.
	Latest(ctx context.Context, kind, id string) (Document, error)
	Version(ctx context.Context, kind, id string, version int) (Document, error)
	// All returns the newest version of each document of the kind, by ID.
	All(ctx context.Context, kind string) ([]Document, error)
	// History returns every version without bodies, newest first.
	History(ctx context.Context, kind, id string) ([]Document, error)
}

// Files keeps photos and clips by the hash of their content; nothing is ever
// overwritten.
type Files interface {
	// Keep stores the content and returns its name: the hex SHA-256.
	Keep(ctx context.Context, content []byte, mediaType string) (name string, err error)
	Open(ctx context.Context, name string) (content []byte, mediaType string, err error)
	Names(ctx context.Context) ([]string, error)
}
