package keep

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
)

// What a store takes. They are far above honest use, and keep one wrong
// program from filling memory.
const (
	MaxName     = 200      // bytes of an id or a kind
	MaxText     = 4 << 10  // bytes of a document's note
	MaxEvent    = 1 << 20  // bytes of an event's data
	MaxDocument = 16 << 20 // bytes of a document's body
	MaxFile     = 64 << 20 // bytes of a photo or clip
)

// Event returns e as it is stored (its time in UTC), or a [fault.Bad] that
// says what is wrong with it.
func Event(e job.Event) (job.Event, error) {
	at, timeWrong := utc(e.At)
	wrong := first(
		name("id", e.ID),
		name("job", e.Job),
		name("kind", string(e.Kind)),
		text("by", e.By, MaxName),
		timeWrong,
		eventData(e.Data),
	)
	if wrong != "" {
		return e, fault.New(fault.Bad, "The event %q of job %q cannot be stored: %s.", short(e.ID), short(e.Job), wrong)
	}
	e.At = at
	return e, nil
}

// Events is [Event] over a batch. The slice given is left as it is.
func Events(events []job.Event) ([]job.Event, error) {
	out := make([]job.Event, len(events))
	for i, e := range events {
		var err error
		if out[i], err = Event(e); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// Document returns d as it is stored (its time in UTC), or a [fault.Bad] that
// says what is wrong with it. Its version is not looked at.
func Document(d garage.Document) (garage.Document, error) {
	at, timeWrong := utc(d.At)
	wrong := first(
		name("kind", d.Kind),
		name("id", d.ID),
		text("by", d.By, MaxName),
		text("note", d.Note, MaxText),
		timeWrong,
		body(d.Body),
	)
	if wrong != "" {
		return d, fault.New(fault.Bad, "The %s %q cannot be stored: %s.", short(d.Kind), short(d.ID), wrong)
	}
	d.At = at
	if d.Body == nil {
		d.Body = []byte{}
	}
	return d, nil
}

// File returns the name a file's content is kept under, its SHA-256 in
// lower-case hex, or a fault when it is empty or over the limit.
func File(content []byte, mediaType string) (string, error) {
	switch {
	case len(content) == 0:
		return "", fault.New(fault.Bad, "The file is empty, so there is nothing to keep. Take the photo again.")
	case len(content) > MaxFile:
		return "", fault.New(fault.TooLarge, "The file has %d MB; at most %d MB are taken. Make it smaller first.", len(content)>>20, MaxFile>>20)
	}
	if wrong := first(name("media type", mediaType)); wrong != "" {
		return "", fault.New(fault.Bad, "The file cannot be kept: %s.", wrong)
	}
	return Hash(content), nil
}

// Hash is the SHA-256 of content in lower-case hex.
func Hash(content []byte) string {
	sum := sha256.Sum256(content)
	return hex.EncodeToString(sum[:])
}

// IsHash reports whether s could be a file's name. Every other name is turned
// away before it gets near a path.
func IsHash(s string) bool {
	return len(s) == 2*sha256.Size && strings.Trim(s, "0123456789abcdef") == ""
}

// Same reports whether two events say the same: all but the layout of their
// data.
func Same(a, b job.Event) bool {
	return a.ID == b.ID && a.Job == b.Job && a.Kind == b.Kind && a.By == b.By && a.At.Equal(b.At) &&
		bytes.Equal(compact(a.Data), compact(b.Data))
}

func compact(data []byte) []byte {
	var out bytes.Buffer
	if err := json.Compact(&out, data); err != nil {
		return data
	}
	return out.Bytes()
}

func first(problems ...string) string {
	for _, p := range problems {
		if p != "" {
			return p
		}
	}
	return ""
}

func name(what, s string) string {
	if s == "" {
		return "its " + what + " is missing"
	}
	if i := strings.IndexFunc(s, unicode.IsControl); i >= 0 {
		return fmt.Sprintf("its %s has a control character at byte %d", what, i+1)
	}
	return text(what, s, MaxName)
}

func text(what, s string, limit int) string {
	switch {
	case len(s) > limit:
		return fmt.Sprintf("its %s has %d bytes, at most %d are taken", what, len(s), limit)
	case !utf8.ValidString(s):
		return "its " + what + " is not UTF-8 text"
	case strings.Contains(s, "\x00"):
		return "its " + what + " has a zero character"
	}
	return ""
}

// body may have zero characters: it is kept as bytes.
func body(b []byte) string {
	if len(b) > MaxDocument {
		return text("body", string(b), MaxDocument)
	}
	return text("body", strings.ReplaceAll(string(b), "\x00", ""), MaxDocument)
}

func eventData(data []byte) string {
	switch {
	case len(data) == 0:
		return ""
	case len(data) > MaxEvent:
		return text("data", string(data), MaxEvent)
	case !json.Valid(data):
		return "its data is not JSON"
	}
	return text("data", string(data), MaxEvent)
}

// utc drops what cannot be written down: the zone and the monotonic reading.
// JSON carries the years 0 to 9999; year 1 is the zero time.
func utc(t time.Time) (at time.Time, wrong string) {
	at = t.UTC().Round(0)
	if at.Year() < 1 || at.Year() > 9999 {
		return at, fmt.Sprintf("its time is in the year %d", at.Year())
	}
	return at, ""
}

func short(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}
