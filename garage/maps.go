package garage

import (
	"cmp"
	"context"
	"slices"
	"sync"
	"time"

	"lastbolt/fault"
	"lastbolt/plan/access"
)

// Maps is the access maps kept in Documents, each as the YAML that was
// written. Make one with NewMaps; it remembers what it parsed.
type Maps struct {
	documents Documents

	mu    sync.Mutex
	known map[mapVersion]mapParsed
}

type mapVersion struct {
	id      string
	version int
}

type mapParsed struct {
	parsed *access.Map
	at     time.Time // two stores may hold different maps of one id and version
}

// knownMaps bounds what Maps remembers; beyond it everything is forgotten.
const knownMaps = 200

// NewMaps returns the maps kept in documents.
func NewMaps(documents Documents) *Maps {
	return &Maps{documents: documents, known: map[mapVersion]mapParsed{}}
}

// A MapLine is one map in a list.
type MapLine struct {
	ID, Name  string
	Version   int
	At        time.Time
	By        string
	Invented  bool
	Items     int // parts and conditions
	Ways      int
	Fasteners int // pieces, over the first way of each item
	// Broken says why the map cannot be read, and is empty for one that can.
	Broken string
}

// List returns all maps in their newest version, by name.
func (m *Maps) List(ctx context.Context) ([]MapLine, error) {
	docs, err := m.documents.All(ctx, KindMap)
	if err != nil {
		return nil, err
	}
	out := make([]MapLine, len(docs))
	for i, d := range docs {
		out[i] = MapLine{ID: d.ID, Name: d.ID, Version: d.Version, At: d.At, By: d.By}
		parsed, err := m.parse(d)
		if err != nil {
			out[i].Broken = fault.Say(err)
			continue
		}
		out[i].count(parsed)
	}
	slices.SortStableFunc(out, func(a, b MapLine) int {
		return cmp.Or(cmp.Compare(PlainName(a.Name), PlainName(b.Name)), cmp.Compare(a.ID, b.ID))
	})
	return out, nil
}

func (l *MapLine) count(m *access.Map) {
	l.Name, l.Invented, l.Items = cmp.Or(m.Name, l.ID), m.Invented, len(m.Items)
	for _, item := range m.Items {
		l.Ways += len(item.Ways)
		if len(item.Ways) == 0 {
			continue
		}
		for _, f := range item.Ways[0].Fasteners.Items {
			l.Fasteners += f.Count
		}
	}
}

// Load returns a map, the YAML it was written as, and its version. The map is
// shared: it must not be changed.
func (m *Maps) Load(ctx context.Context, id string) (*access.Map, Document, error) {
	d, err := m.documents.Latest(ctx, KindMap, id)
	if err != nil {
		return nil, d, err
	}
	parsed, err := m.parse(d)
	return parsed, d, err
}

// LoadVersion is Load of one version.
func (m *Maps) LoadVersion(ctx context.Context, id string, version int) (*access.Map, Document, error) {
	d, err := m.documents.Version(ctx, KindMap, id, version)
	if err != nil {
		return nil, d, err
	}
	parsed, err := m.parse(d)
	return parsed, d, err
}

// History returns the versions of a map, newest first, without their text.
func (m *Maps) History(ctx context.Context, id string) ([]Document, error) {
	return m.documents.History(ctx, KindMap, id)
}

// Save stores a map as it was written, under the id that is in it. What cannot
// be read is refused: fault.Bad, with access.Problems inside, each with its
// line and column in the file named.
func (m *Maps) Save(ctx context.Context, file string, yaml []byte, e Edit) (*access.Map, int, error) {
	parsed, err := access.Parse(file, yaml)
	if err != nil {
		return nil, 0, fault.Wrap(err, fault.Bad, "%s", err)
	}
	version, err := m.put(ctx, parsed, yaml, e)
	if err != nil {
		return nil, 0, err
	}
	return parsed, version, nil
}

// SaveOver stores a changed map over the version it was changed from, as read
// and as written: what was written by hand stays where it can, see
// [access.Map.Rewrite]. A map with anything wrong is refused as by Save.
func (m *Maps) SaveOver(ctx context.Context, changed, was *access.Map, old Document, e Edit) (*access.Map, int, error) {
	text, parsed, err := changed.Rewrite(was, old.Body)
	if err != nil {
		return nil, 0, fault.Wrap(err, fault.Bad, "%s", err)
	}
	version, err := m.put(ctx, parsed, text, e)
	return parsed, version, err
}

// put stores a map that was read, and remembers what it reads as.
func (m *Maps) put(ctx context.Context, parsed *access.Map, text []byte, e Edit) (int, error) {
	version, err := m.documents.Put(ctx, Document{Kind: KindMap, ID: parsed.ID, At: e.At, By: e.By, Note: e.Note, Body: text}, e.Base)
	if err == nil {
		m.remember(mapVersion{parsed.ID, version}, mapParsed{parsed, e.At})
	}
	return version, err
}

func (m *Maps) remember(key mapVersion, read mapParsed) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.known) >= knownMaps {
		clear(m.known)
	}
	m.known[key] = read
}

func (m *Maps) parse(d Document) (*access.Map, error) {
	key := mapVersion{d.ID, d.Version}
	m.mu.Lock()
	known, ok := m.known[key]
	m.mu.Unlock()
	if ok && known.at.Equal(d.At) {
		return known.parsed, nil
	}
	parsed, err := access.Parse(d.ID, d.Body)
	if err != nil {
		return nil, fault.Wrap(err, fault.Damaged, "Version %d of the map %q cannot be read: %s", d.Version, d.ID, err)
	}
	m.remember(key, mapParsed{parsed, d.At})
	return parsed, nil
}
