package usage

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"sync"

	"lastbolt/garage"
	"lastbolt/keep"
)

const nameLength = 64 // hex digits of a SHA-256

// points are the names of the fields by which an event points to a photo or
// clip. What stands elsewhere in an event and looks like a file's name keeps the
// file from being swept all the same: a newer program may know more fields.
var points = []string{"file", "photo", "picture"}

// An Index knows which files the events of the log mention. It reads on where it
// stopped before, so that only the first look goes over the whole log. The zero
// value is ready to use, by many goroutines.
type Index struct {
	mu       sync.Mutex
	position int64
	jobs     map[string]*reading        // by id
	mentions map[string]map[string]bool // file to the jobs that mention it
	points   map[string]map[string]bool // file to the jobs with an event that points to it
}

// A reading is what was read of one job.
type reading struct {
	events int
	bytes  int64
}

// catchUp reads what came since. It holds the lock.
func (x *Index) catchUp(ctx context.Context, from keep.Backend) error {
	if x.jobs == nil {
		x.jobs, x.mentions, x.points = map[string]*reading{}, map[string]map[string]bool{}, map[string]map[string]bool{}
	}
	for {
		events, position, err := from.Changed(ctx, x.position, 0)
		if err != nil || len(events) == 0 {
			return err
		}
		for _, e := range events {
			r := x.jobs[e.Job]
			if r == nil {
				r = &reading{}
				x.jobs[e.Job] = r
			}
			r.events++
			r.bytes += int64(len(e.ID) + len(e.Kind) + len(e.By) + len(e.Data))
			names(e.Data, func(name, field string) {
				note(x.mentions, name, e.Job)
				if slices.Contains(points, field) {
					note(x.points, name, e.Job)
				}
			})
		}
		x.position = position
	}
}

func note(in map[string]map[string]bool, name, job string) {
	if in[name] == nil {
		in[name] = map[string]bool{}
	}
	in[name][job] = true
}

// names finds everything in a text that could be a file's name: 64 hex digits
// with none beside them. Field is the JSON field whose whole value it is, empty
// for none.
func names(text []byte, found func(name, field string)) {
	for i := 0; i+nameLength <= len(text); {
		// Looking at the far end first passes most text over in long steps.
		end := i + nameLength
		for end > i && isHex(text[end-1]) {
			end--
		}
		if end > i { // no run of hex digits begins here or before end
			i = end
			continue
		}
		end = i + nameLength
		for end < len(text) && isHex(text[end]) {
			end++
		}
		if end-i == nameLength {
			found(string(text[i:end]), fieldOf(text, i, end))
		}
		i = end
	}
}

func isHex(b byte) bool { return b >= '0' && b <= '9' || b >= 'a' && b <= 'f' }

// fieldOf is the name before a value in quotes: "file":"…".
func fieldOf(text []byte, start, end int) string {
	if start == 0 || text[start-1] != '"' || end >= len(text) || text[end] != '"' {
		return ""
	}
	before := bytes.TrimRight(text[:start-1], " \t\r\n")
	before, colon := bytes.CutSuffix(before, []byte(":"))
	before = bytes.TrimRight(before, " \t\r\n")
	before, quote := bytes.CutSuffix(before, []byte(`"`))
	if !colon || !quote {
		return ""
	}
	return string(before[bytes.LastIndexByte(before, '"')+1:])
}

// inDocuments are the files that any version of any document mentions.
func inDocuments(ctx context.Context, from keep.Backend) (map[string]bool, error) {
	out := map[string]bool{}
	kinds, err := from.Kinds(ctx)
	for _, kind := range kinds {
		var all []garage.Document
		if all, err = from.All(ctx, kind); err != nil {
			break
		}
		for _, latest := range all {
			for v := latest.Version; v > 0; v-- {
				d := latest
				if v < latest.Version {
					if d, err = from.Version(ctx, kind, latest.ID, v); err != nil {
						return nil, err
					}
				}
				names(d.Body, func(name, _ string) { out[strings.Clone(name)] = true })
			}
		}
	}
	return out, err
}
