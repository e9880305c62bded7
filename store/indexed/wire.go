package indexed

import (
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// Records cross from the browser to the program as one text, because crossing
// is what takes the time: each field as its length in bytes, a colon and the
// text, one after another.

var errRecord = errors.New("indexed: a record in the browser's database is damaged")

func pack(fields ...string) string {
	var b strings.Builder
	for _, f := range fields {
		b.WriteString(strconv.Itoa(len(f)))
		b.WriteByte(':')
		b.WriteString(f)
	}
	return b.String()
}

// unpack splits what pack made, or several of its texts in a row, into groups
// of n fields.
func unpack(s string, n int) ([][]string, error) {
	var out [][]string
	for s != "" {
		group := make([]string, n)
		for i := range group {
			size, rest, ok := strings.Cut(s, ":")
			long, err := strconv.Atoi(size)
			if !ok || err != nil || long < 0 || long > len(rest) {
				return nil, errRecord
			}
			group[i], s = rest[:long], rest[long:]
		}
		out = append(out, group)
	}
	return out, nil
}

func packEvent(e job.Event) string {
	return pack(e.ID, e.Job, string(e.Kind), e.At.Format(time.RFC3339Nano), e.By, string(e.Data))
}

func unpackEvents(s string) ([]job.Event, error) {
	groups, err := unpack(s, 6)
	if err != nil {
		return nil, err
	}
	out := make([]job.Event, len(groups))
	for i, g := range groups {
		at, err := time.Parse(time.RFC3339Nano, g[3])
		if err != nil {
			return nil, errRecord
		}
		out[i] = job.Event{ID: g[0], Job: g[1], Kind: job.Kind(g[2]), At: at.UTC(), By: g[4]}
		if g[5] != "" {
			out[i].Data = json.RawMessage(g[5])
		}
	}
	return out, nil
}

func packDocument(d garage.Document) string {
	return pack(d.Kind, d.ID, strconv.Itoa(d.Version), d.At.Format(time.RFC3339Nano), d.By, d.Note, string(d.Body))
}

func unpackDocuments(s string) ([]garage.Document, error) {
	groups, err := unpack(s, 7)
	if err != nil {
		return nil, err
	}
	out := make([]garage.Document, len(groups))
	for i, g := range groups {
		version, wrong := strconv.Atoi(g[2])
		at, err := time.Parse(time.RFC3339Nano, g[3])
		if err != nil || wrong != nil {
			return nil, errRecord
		}
		out[i] = garage.Document{Kind: g[0], ID: g[1], Version: version, At: at.UTC(), By: g[4], Note: g[5], Body: []byte(g[6])}
	}
	return out, nil
}

func packStored(f keep.Stored) string {
	at := ""
	if !f.Kept.IsZero() {
		at = f.Kept.UTC().Format(time.RFC3339Nano)
	}
	return pack(f.Name, f.Media, strconv.FormatInt(f.Bytes, 10), at)
}

func unpackStored(s string) ([]keep.Stored, error) {
	groups, err := unpack(s, 4)
	if err != nil {
		return nil, err
	}
	out := make([]keep.Stored, len(groups))
	for i, g := range groups {
		size, wrong := strconv.ParseInt(g[2], 10, 64)
		var at time.Time
		if g[3] != "" { // empty where the time is not known
			at, err = time.Parse(time.RFC3339Nano, g[3])
		}
		if err != nil || wrong != nil || size < 0 {
			return nil, errRecord
		}
		out[i] = keep.Stored{Name: g[0], Media: g[1], Bytes: size, Kept: at.UTC()}
	}
	return out, nil
}
