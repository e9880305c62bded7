// Package exchange writes everything that is kept as one JSON document, and
// takes such a document in again without loss.
//
// Start with [Export] and [Import]. The document's shape is published as the
// JSON Schema in [Schema]; a document exported, imported into an empty store
// and exported again is the same to the byte. Import merges: what is here
// already is passed over, so that taking in the same document twice, or those
// of several phones, does no harm. The package reads and writes streams that it
// is given; it opens no files and knows no clock.
//
// Photos and clips go out as they are kept. Their location is taken out before
// they are kept, so it is not in them here either; one that still has it is not
// taken in.
package exchange

import (
	"bufio"
	"context"
	_ "embed"
	"encoding/json"
	"io"
	"strings"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
)

// Format is the first value of every export: its kind and version.
const Format = "lastbolt export 1"

// Schema is the JSON Schema (draft 2020-12) of an export.
//
//go:embed schema.json
var Schema []byte

// The shapes on paper. An event leaves out its job, which stands around it; a
// document's body is text.
type (
	wireEvent struct {
		ID   string          `json:"id"`
		Kind job.Kind        `json:"kind"`
		At   *time.Time      `json:"at"`
		By   string          `json:"by,omitempty"`
		Data json.RawMessage `json:"data,omitempty"`
	}
	wireDocument struct {
		Kind    string     `json:"kind"`
		ID      string     `json:"id"`
		Version int        `json:"version"`
		At      *time.Time `json:"at"`
		By      string     `json:"by,omitempty"`
		Note    string     `json:"note,omitempty"`
		Text    *string    `json:"text"`
	}
	wireFile struct {
		Name   string `json:"name"`
		Media  string `json:"media"`
		Base64 []byte `json:"base64"`
	}
)

// Counts is how much an export holds.
type Counts struct {
	Jobs, Events, Documents, Versions, Files int
}

// ExportOptions picks what goes out. The zero value is everything.
type ExportOptions struct {
	WithoutFiles bool     // photos and clips stay here
	Jobs         []string // only these jobs' events; nil means all
}

// Export writes what from keeps to w, one event, version or file a line, in a
// settled order: the same content gives the same bytes. What is added while it
// runs may or may not be in it.
func Export(ctx context.Context, w io.Writer, from keep.Backend, o ExportOptions) (Counts, error) {
	out := bufio.NewWriterSize(w, 1<<16)
	e := &exporter{ctx: ctx, from: from, out: out, json: json.NewEncoder(out)}
	e.json.SetEscapeHTML(false)
	e.text(`{"format":"` + Format + "\"")
	e.jobs(o.Jobs)
	e.documents()
	if !o.WithoutFiles {
		e.files()
	}
	e.text("\n}\n")
	if e.err == nil {
		e.err = out.Flush()
	}
	return e.counts, e.err
}

// An exporter keeps the first error and does nothing after it.
type exporter struct {
	ctx    context.Context
	from   keep.Backend
	out    *bufio.Writer
	json   *json.Encoder
	counts Counts
	err    error
}

func (e *exporter) text(s string) {
	if e.err == nil {
		_, e.err = e.out.WriteString(s)
	}
}

// line writes one value behind a comma where one is due, on a line of its own.
func (e *exporter) line(first bool, value any) {
	if !first {
		e.text(",")
	}
	if e.err == nil {
		e.err = e.json.Encode(value) // ends the line
	}
}

func (e *exporter) jobs(only []string) {
	ids := only
	if ids == nil && e.err == nil {
		ids, e.err = e.from.Jobs(e.ctx)
	}
	e.text(",\n\"jobs\":[\n")
	for i, id := range ids {
		if i > 0 {
			e.text(",")
		}
		e.job(id)
	}
	e.text("]")
}

func (e *exporter) job(id string) {
	if e.err != nil {
		return
	}
	var events []job.Event
	if events, e.err = e.from.Events(e.ctx, id); e.err != nil {
		return
	}
	e.text(`{"id":` + quoted(id) + ",\"events\":[\n")
	for i, v := range events {
		e.line(i == 0, wireEvent{v.ID, v.Kind, &v.At, v.By, v.Data})
	}
	e.text("]}\n")
	e.counts.Jobs++
	e.counts.Events += len(events)
}

// quoted writes a text as JSON the way the encoder does.
func quoted(s string) string {
	var b strings.Builder
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	_ = enc.Encode(s) // a string always can be, and a Builder takes it
	return strings.TrimSuffix(b.String(), "\n")
}

func (e *exporter) documents() {
	var kinds []string
	if e.err == nil {
		kinds, e.err = e.from.Kinds(e.ctx)
	}
	e.text(",\n\"documents\":[\n")
	for _, kind := range kinds {
		if e.err != nil {
			return
		}
		var latest []garage.Document
		if latest, e.err = e.from.All(e.ctx, kind); e.err != nil {
			return
		}
		for _, d := range latest {
			e.versions(d)
			e.counts.Documents++
		}
	}
	e.text("]")
}

func (e *exporter) versions(latest garage.Document) {
	for n := 1; n <= latest.Version && e.err == nil; n++ {
		var d garage.Document
		if d, e.err = e.from.Version(e.ctx, latest.Kind, latest.ID, n); e.err != nil {
			return
		}
		text := string(d.Body)
		e.line(e.counts.Versions == 0, wireDocument{d.Kind, d.ID, d.Version, &d.At, d.By, d.Note, &text})
		e.counts.Versions++
	}
}

func (e *exporter) files() {
	var names []string
	if e.err == nil {
		names, e.err = e.from.Names(e.ctx)
	}
	e.text(",\n\"files\":[\n")
	for i, name := range names {
		if e.err != nil {
			return
		}
		f := wireFile{Name: name}
		if f.Base64, f.Media, e.err = e.from.Open(e.ctx, name); e.err == nil {
			e.line(i == 0, f)
			e.counts.Files++
		}
	}
	e.text("]")
}
