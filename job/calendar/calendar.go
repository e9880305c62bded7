// Package calendar writes follow-ups as an iCalendar file, RFC 5545, that
// phones and desks take in.
//
// Start with [Write]. It writes whole-day entries with a reminder and nothing
// else of the standard: no time zones, no repetition, no invitations.
package calendar

import (
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// An Entry is one day to be reminded of.
type Entry struct {
	// UID is the same for the same entry every time it is written, so that
	// taking a file in twice does not make two entries.
	UID     string
	Day     time.Time // its date counts, in its own location
	Summary string
	Text    string
	Hour    int // of the reminder on the day, 0 to 23; 9 is usual
	// Sequence rises when the entry has changed since it was written last.
	Sequence int
}

// Write writes the entries. Stamp is when the file is made. Lines end with
// CRLF and are folded to at most 75 octets; text is escaped.
func Write(entries []Entry, stamp time.Time) []byte {
	var w writer
	w.line("BEGIN:VCALENDAR")
	w.line("VERSION:2.0")
	w.line("PRODID:-//Lastbolt//Follow-ups//EN")
	w.line("CALSCALE:GREGORIAN")
	w.line("METHOD:PUBLISH")
	for _, e := range entries {
		w.entry(e, stamp)
	}
	w.line("END:VCALENDAR")
	return []byte(w.out.String())
}

type writer struct{ out strings.Builder }

const (
	dayLayout  = "20060102"
	timeLayout = "20060102T150405Z" // in UTC
)

func (w *writer) entry(e Entry, stamp time.Time) {
	w.line("BEGIN:VEVENT")
	w.text("UID", e.UID)
	w.line("DTSTAMP:" + stamp.UTC().Format(timeLayout))
	w.line("DTSTART;VALUE=DATE:" + e.Day.Format(dayLayout))
	w.line("DTEND;VALUE=DATE:" + e.Day.AddDate(0, 0, 1).Format(dayLayout)) // exclusive
	w.text("SUMMARY", e.Summary)
	if e.Text != "" {
		w.text("DESCRIPTION", e.Text)
	}
	if e.Sequence > 0 {
		w.line("SEQUENCE:" + strconv.Itoa(e.Sequence))
	}
	w.line("TRANSP:TRANSPARENT") // a reminder does not make the day busy
	w.line("BEGIN:VALARM")
	w.line("ACTION:DISPLAY")
	w.text("DESCRIPTION", e.Summary)
	w.line("TRIGGER:PT" + strconv.Itoa(min(max(e.Hour, 0), 23)) + "H") // after the day begins
	w.line("END:VALARM")
	w.line("END:VEVENT")
}

func (w *writer) text(name, value string) { w.line(name + ":" + Escape(value)) }

// fold is the longest line in octets, without its line break (RFC 5545, 3.1).
const fold = 75

// line writes a content line, folded between characters, never inside one.
func (w *writer) line(s string) {
	room := fold
	for len(s) > room {
		cut := room
		for cut > 0 && !utf8.RuneStart(s[cut]) {
			cut--
		}
		w.out.WriteString(s[:cut] + "\r\n ")
		s, room = s[cut:], fold-1 // the space counts
	}
	w.out.WriteString(s + "\r\n")
}

// Escape writes text as a TEXT value (RFC 5545, 3.3.11). What is no valid
// UTF-8 becomes the replacement character, and control characters, which a
// value must not have, become spaces.
func Escape(s string) string {
	s = strings.ToValidUTF8(strings.ReplaceAll(s, "\r\n", "\n"), "\uFFFD")
	var out strings.Builder
	for _, r := range s {
		switch {
		case r == '\\' || r == ';' || r == ',':
			out.WriteByte('\\')
			out.WriteRune(r)
		case r == '\n' || r == '\r':
			out.WriteString(`\n`)
		case r < ' ' && r != '\t' || r == 0x7f:
			out.WriteByte(' ')
		default:
			out.WriteRune(r)
		}
	}
	return out.String()
}
