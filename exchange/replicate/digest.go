package replicate

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"sync"
	"time"

	"lastbolt/garage"
	"lastbolt/keep"
)

// A digester makes the digests of all documents. It remembers them by how many
// versions a document has, because versions are only ever added.
type digester struct {
	mu   sync.Mutex
	have map[string]known
}

type known struct {
	versions int
	digest   string
}

// all are the digests of every document, in order.
func (g *digester) all(ctx context.Context, st keep.Backend) ([]documentDigest, error) {
	kinds, err := st.Kinds(ctx)
	if err != nil {
		return nil, err
	}
	var out []documentDigest
	for _, kind := range kinds {
		list, err := st.All(ctx, kind)
		if err != nil {
			return nil, err
		}
		for _, d := range list {
			one := documentDigest{Kind: kind, ID: d.ID}
			if one.Digest, err = g.one(ctx, st, d); err != nil {
				return nil, err
			}
			out = append(out, one)
		}
	}
	slices.SortFunc(out, func(a, b documentDigest) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.ID, b.ID))
	})
	return out, nil
}

func (g *digester) one(ctx context.Context, st keep.Backend, newest garage.Document) (string, error) {
	key := newest.Kind + "\x00" + newest.ID
	g.mu.Lock()
	k, ok := g.have[key]
	g.mu.Unlock()
	if ok && k.versions == newest.Version {
		return k.digest, nil
	}
	list, err := st.History(ctx, newest.Kind, newest.ID)
	if err != nil {
		return "", err
	}
	k = known{newest.Version, digest(list, newest.Body)}
	g.mu.Lock()
	if g.have == nil {
		g.have = map[string]known{}
	}
	g.have[key] = k
	g.mu.Unlock()
	return k.digest, nil
}

// digest is the same for two histories of the same versions, whatever numbers
// those bear, with the same newest one. Bodies of older versions are not looked
// at: who, when and with which words tells two edits apart.
func digest(list []garage.Document, newest []byte) string {
	lines := make([]string, len(list))
	for i, d := range list {
		lines[i] = fmt.Sprintf("%s %q %q\n", d.At.UTC().Format(time.RFC3339Nano), d.By, d.Note)
	}
	slices.Sort(lines)
	h := sha256.New()
	for _, l := range slices.Compact(lines) { // the newest may be there twice, see keep.MergeHistory
		h.Write([]byte(l))
	}
	h.Write(newest)
	return hex.EncodeToString(h.Sum(nil)[:12])
}

// together is one digest of many.
func together(list []documentDigest) string {
	h := sha256.New()
	for _, d := range list {
		fmt.Fprintf(h, "%q %q %s\n", d.Kind, d.ID, d.Digest)
	}
	return hex.EncodeToString(h.Sum(nil)[:12])
}

// history is every version of a document, oldest first, with bodies.
func history(ctx context.Context, st garage.Documents, kind, id string) ([]garage.Document, error) {
	list, err := st.History(ctx, kind, id)
	if err != nil {
		return nil, err
	}
	slices.Reverse(list)
	for i, d := range list {
		if list[i], err = st.Version(ctx, kind, id, d.Version); err != nil {
			return nil, err
		}
	}
	return list, nil
}
