package exchange

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
)

// maxEntry bounds one line of a document in bytes: the largest photo in base64
// (keep.MaxFile × 4/3), or the largest body with every byte escaped
// (keep.MaxDocument × 6), and some room.
const maxEntry = 100 << 20

// A handler is given what a document holds, as it is read.
type handler interface {
	job(id string)
	event(job.Event) error
	document(garage.Document) error
	file(wireFile) error
}

// read reads the document from the beginning. Every error but those of the
// stream itself is a fault that names the place.
func read(ctx context.Context, from io.ReadSeeker, to handler) error {
	if _, err := from.Seek(0, io.SeekStart); err != nil {
		return err
	}
	limited := &budget{from: from, left: maxEntry}
	r := &reader{ctx: ctx, from: from, budget: limited, dec: json.NewDecoder(limited), to: to}
	r.dec.UseNumber() // so that a number out of range is wrong in our words, not the decoder's
	err := r.whole()
	if err == nil || fault.CodeOf(err) != fault.Internal {
		return err
	}
	return r.explain(err)
}

type reader struct {
	ctx    context.Context
	from   io.ReadSeeker
	budget *budget
	dec    *json.Decoder
	to     handler
}

// whole reads the object around everything.
func (r *reader) whole() error {
	if err := r.open('{', "An export begins with an opening brace"); err != nil {
		return err
	}
	if key, err := r.key(); err != nil || key != "format" {
		return r.or(err, "An export begins with \"format\"; this is another kind of file")
	}
	var format string
	if err := r.value(&format); err != nil {
		return err
	}
	if format != Format {
		return r.at(r.dec.InputOffset(), fault.New(fault.NewVersion, "The format is %q; this program reads %q. Export it again with a program of the same age as this one", format, Format))
	}
	seen := map[string]bool{"format": true}
	for r.dec.More() {
		key, err := r.key()
		if err != nil {
			return err
		}
		if seen[key] {
			return r.wrong("%q is in the file twice", key)
		}
		seen[key] = true
		if err := r.section(key); err != nil {
			return err
		}
	}
	return r.end()
}

func (r *reader) section(key string) error {
	var entry func() error
	switch key {
	case "jobs":
		entry = r.job
	case "documents":
		entry = r.document
	case "files":
		entry = r.file
	default:
		return r.wrong("an export has no %q; it has jobs, documents and files", key)
	}
	return r.list(entry)
}

// end reads the closing brace and looks that nothing follows.
func (r *reader) end() error {
	if _, err := r.dec.Token(); err != nil {
		return err
	}
	if _, err := r.dec.Token(); err != io.EOF {
		return r.or(r.truly(err), "Something follows after the end of the export")
	}
	return nil
}

// truly drops an error of the text: that there is anything at all is the fault.
func (r *reader) truly(err error) error {
	if _, ok := errors.AsType[*json.SyntaxError](err); ok {
		return nil
	}
	return err
}

// job reads one job, whose id and events come in any order.
func (r *reader) job() error {
	if err := r.open('{', "A job is a group in braces"); err != nil {
		return err
	}
	var id string
	var events []located
	haveID, haveEvents := false, false
	for r.dec.More() {
		key, err := r.key()
		switch {
		case err != nil:
			return err
		case key == "id" && !haveID:
			haveID = true
			err = r.value(&id)
		case key == "events" && !haveEvents:
			haveEvents = true
			err = r.list(func() error {
				e, err := r.event()
				if err == nil && haveID {
					return r.at(e.start, r.to.event(e.in(id)))
				}
				events = append(events, e)
				return err
			})
		default:
			return r.wrong("a job has one \"id\" and one list of \"events\", but here is %q", key)
		}
		if err != nil {
			return err
		}
	}
	if !haveID || !haveEvents {
		return r.wrong("the job lacks its \"id\" or its \"events\"")
	}
	for _, e := range events {
		if err := r.at(e.start, r.to.event(e.in(id))); err != nil {
			return err
		}
	}
	r.to.job(id)
	_, err := r.dec.Token()
	return err
}

type located struct {
	wireEvent
	start int64
}

func (e located) in(id string) job.Event {
	return job.Event{ID: e.ID, Job: id, Kind: e.Kind, At: *e.At, By: e.By, Data: e.Data}
}

func (r *reader) event() (e located, err error) {
	if e.start, err = r.entry(&e.wireEvent); err == nil && e.At == nil {
		err = r.at(e.start, fault.New(fault.Bad, "the event %q has no time \"at\"", e.ID))
	}
	return e, err
}

func (r *reader) document() error {
	var d wireDocument
	start, err := r.entry(&d)
	switch {
	case err != nil:
		return err
	case d.At == nil || d.Text == nil:
		return r.at(start, fault.New(fault.Bad, "the %s %q lacks its time \"at\" or its \"text\"", d.Kind, d.ID))
	case d.Version < 1:
		return r.at(start, fault.New(fault.Bad, "the %s %q has the version %d; they count from 1", d.Kind, d.ID, d.Version))
	}
	return r.at(start, r.to.document(garage.Document{
		Kind: d.Kind, ID: d.ID, Version: d.Version, At: *d.At, By: d.By, Note: d.Note, Body: []byte(*d.Text),
	}))
}

func (r *reader) file() error {
	var f wireFile
	start, err := r.entry(&f)
	if err != nil {
		return err
	}
	return r.at(start, r.to.file(f))
}

// entry reads one value of a list strictly and returns where it begins.
func (r *reader) entry(to any) (start int64, err error) {
	if err := r.ctx.Err(); err != nil {
		return 0, fault.Wrap(err, fault.Cancelled, "It was stopped before it was done. Nothing was taken in; try again.")
	}
	r.budget.left = maxEntry
	var raw json.RawMessage
	if err := r.dec.Decode(&raw); err != nil {
		return 0, err
	}
	start = r.dec.InputOffset() - int64(len(raw))
	if i := firstBad(raw); i >= 0 {
		return start, r.at(start+int64(i), fault.New(fault.Bad, "here is a byte that is not UTF-8 text"))
	}
	if len(raw) == 0 || raw[0] != '{' {
		return start, r.at(start, fault.New(fault.Bad, "here belongs a group in braces"))
	}
	strict := json.NewDecoder(bytes.NewReader(raw))
	strict.DisallowUnknownFields()
	err = strict.Decode(to)
	if err == nil {
		return start, nil
	}
	if wrong, ok := errors.AsType[*json.UnmarshalTypeError](err); ok {
		return start, r.at(start+wrong.Offset-1, fault.New(fault.Bad, "%q cannot be a %s", wrong.Field, wrong.Value))
	}
	return start, r.at(start, fault.New(fault.Bad, "%s", strings.TrimPrefix(err.Error(), "json: ")))
}

// firstBad is where the first byte is that is not UTF-8, or -1.
func firstBad(text []byte) int {
	if utf8.Valid(text) {
		return -1
	}
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return -1
}

// value reads a simple value.
func (r *reader) value(to *string) error {
	token, err := r.dec.Token()
	if err != nil {
		return err
	}
	text, ok := token.(string)
	if !ok {
		return r.wrong("here belongs a text in quotes")
	}
	*to = text
	return nil
}

func (r *reader) key() (string, error) {
	var key string
	err := r.value(&key)
	return key, err
}

func (r *reader) open(want json.Delim, say string) error {
	r.budget.left = maxEntry
	token, err := r.dec.Token()
	if err == nil && token == want {
		return nil
	}
	return r.or(err, say)
}

func (r *reader) list(entry func() error) error {
	if err := r.open('[', "here belongs a list in square brackets"); err != nil {
		return err
	}
	for r.dec.More() {
		if err := entry(); err != nil {
			return err
		}
	}
	_, err := r.dec.Token()
	return err
}

func (r *reader) or(err error, say string) error {
	if err != nil {
		return err
	}
	return r.wrong("%s", say)
}

func (r *reader) wrong(format string, args ...any) error {
	return r.at(r.dec.InputOffset()-1, fault.New(fault.Bad, format, args...))
}

// at puts the line and column of a byte before what is wrong there.
func (r *reader) at(offset int64, err error) error {
	f, ok := errors.AsType[*fault.Error](err)
	if !ok {
		return err
	}
	line, column, seekErr := r.place(offset)
	if seekErr != nil {
		return errors.Join(err, seekErr)
	}
	say := strings.TrimSuffix(strings.TrimSuffix(f.Say, " Nothing was taken in."), ".")
	return fault.Wrap(f.Err, f.Code, "Line %d, column %d of the file: %s. Nothing was taken in.", line, column, say)
}

// explain finds the place of an error of the decoder's, whose own offsets do
// not count from the beginning of the file.
func (r *reader) explain(err error) error {
	switch {
	case errors.Is(err, errEntryTooLarge):
		return r.at(r.dec.InputOffset(), fault.New(fault.TooLarge, "here begins an entry of more than %d MB", maxEntry>>20))
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		end, seekErr := r.from.Seek(0, io.SeekEnd)
		if seekErr != nil {
			return seekErr
		}
		return r.at(end, fault.Wrap(err, fault.Bad, "the file ends too early; part of it is missing. Copy or export it again"))
	}
	syntax, ok := errors.AsType[*json.SyntaxError](err)
	if !ok {
		return err
	}
	offset, seekErr := r.syntaxOffset()
	if seekErr != nil {
		return seekErr
	}
	return r.at(offset, fault.Wrap(err, fault.Bad, "it is not JSON: %s", syntax))
}

// syntaxOffset reads on from the last good place: either the value there is
// broken inside, or the place itself is wrong.
func (r *reader) syntaxOffset() (int64, error) {
	start := r.dec.InputOffset()
	if _, err := r.from.Seek(start, io.SeekStart); err != nil {
		return 0, err
	}
	var next [1]byte
	for {
		if _, err := io.ReadFull(r.from, next[:]); err != nil {
			return start, nil
		}
		if !bytes.Contains([]byte(" \t\r\n,"), next[:]) {
			break
		}
		start++
	}
	var raw json.RawMessage
	rest := io.MultiReader(bytes.NewReader(next[:]), &budget{from: r.from, left: maxEntry})
	if syntax, ok := errors.AsType[*json.SyntaxError](json.NewDecoder(rest).Decode(&raw)); ok {
		return start + syntax.Offset - 1, nil
	}
	return start, nil
}

// place counts lines from 1 and columns in characters from 1.
func (r *reader) place(offset int64) (line, column int, err error) {
	if _, err := r.from.Seek(0, io.SeekStart); err != nil {
		return 0, 0, err
	}
	line, column = 1, 1
	buffer := make([]byte, 1<<16)
	for offset > 0 {
		n, err := r.from.Read(buffer[:min(offset, int64(len(buffer)))])
		for _, b := range buffer[:n] {
			switch {
			case b == '\n':
				line, column = line+1, 1
			case utf8.RuneStart(b):
				column++
			}
		}
		offset -= int64(n)
		if err == io.EOF {
			break
		}
		if err != nil {
			return 0, 0, err
		}
	}
	return line, column, nil
}

// A budget stops one endless value from filling memory.
type budget struct {
	from io.Reader
	left int
}

var errEntryTooLarge = fmt.Errorf("an entry of more than %d bytes", maxEntry)

func (b *budget) Read(p []byte) (int, error) {
	if b.left <= 0 {
		return 0, errEntryTooLarge
	}
	n, err := b.from.Read(p[:min(len(p), b.left)])
	b.left -= n
	return n, err
}
