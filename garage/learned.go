package garage

import (
	"context"
	"errors"
	"time"

	"lastbolt/fault"
)

// A Verdict is what a person said to one suggestion that finished jobs gave
// for a map: taken over, or declined. Suggestion is the suggestion's own key,
// which says what it proposes; one that comes with new evidence has a new key.
type Verdict struct {
	Suggestion string    `json:"suggestion"`
	Accepted   bool      `json:"accepted"`
	At         time.Time `json:"at"`
	By         string    `json:"by,omitempty"`
	Note       string    `json:"note,omitempty"`
}

// Learned is the verdicts on each map's suggestions, kept in Documents.
type Learned struct{ Documents Documents }

// Verdicts returns what was said to a map's suggestions, the newest verdict on
// each, by suggestion.
func (l Learned) Verdicts(ctx context.Context, mapID string) (map[string]Verdict, error) {
	list, _, err := l.load(ctx, mapID)
	out := map[string]Verdict{}
	for _, v := range list {
		out[v.Suggestion] = v
	}
	return out, err
}

// Decide adds a verdict. Every earlier one stays in the document's history.
func (l Learned) Decide(ctx context.Context, mapID string, v Verdict) error {
	if v.Suggestion == "" {
		return fault.New(fault.Bad, "Say which suggestion is meant.")
	}
	for {
		list, version, err := l.load(ctx, mapID)
		if err != nil {
			return err
		}
		edit := Edit{Base: version, At: v.At, By: v.By, Note: v.Note}
		_, err = save(ctx, l.Documents, KindLearned, mapID, append(list, v), edit)
		// Somebody else decided something meanwhile: both are kept.
		if !errors.Is(err, ErrStale) {
			return err
		}
	}
}

func (l Learned) load(ctx context.Context, mapID string) ([]Verdict, int, error) {
	d, err := l.Documents.Latest(ctx, KindLearned, mapID)
	if errors.Is(err, ErrUnknown) {
		return nil, 0, nil
	}
	if err != nil {
		return nil, 0, err
	}
	list, err := decode[[]Verdict](d)
	return list, d.Version, err
}

// shelfID is the id of the one shelf there is.
const shelfID = "shelf"

// LoadShelf returns the shelf and its version; an empty one with version 0
// when none was saved yet.
func LoadShelf(ctx context.Context, documents Documents) (Shelf, int, error) {
	d, err := documents.Latest(ctx, KindShelf, shelfID)
	if errors.Is(err, ErrUnknown) {
		return Shelf{}, 0, nil
	}
	if err != nil {
		return Shelf{}, 0, err
	}
	shelf, err := decode[Shelf](d)
	return shelf, d.Version, err
}

// SaveShelf stores the shelf's next version, tidied.
func SaveShelf(ctx context.Context, documents Documents, s Shelf, e Edit) (int, error) {
	if err := s.Tidy(); err != nil {
		return 0, err
	}
	return save(ctx, documents, KindShelf, shelfID, s, e)
}
