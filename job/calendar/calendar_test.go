package calendar_test

import (
	"bytes"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"lastbolt/job/calendar"
)

var (
	stamp = time.Date(2026, 3, 2, 17, 5, 9, 0, time.FixedZone("", 3600))
	day   = time.Date(2026, 3, 5, 0, 0, 0, 0, time.UTC)
)

func TestAnEntryIsAsTheStandardHasIt(t *testing.T) {
	got := string(calendar.Write([]calendar.Entry{{UID: "job-1/pipe@lastbolt", Day: day, Summary: "Coolant level; cold", Text: "Look, then write.\nTwice", Hour: 9}}, stamp))
	want := strings.ReplaceAll(`BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Lastbolt//Follow-ups//EN
CALSCALE:GREGORIAN
METHOD:PUBLISH
BEGIN:VEVENT
UID:job-1/pipe@lastbolt
DTSTAMP:20260302T160509Z
DTSTART;VALUE=DATE:20260305
DTEND;VALUE=DATE:20260306
SUMMARY:Coolant level\; cold
DESCRIPTION:Look\, then write.\nTwice
TRANSP:TRANSPARENT
BEGIN:VALARM
ACTION:DISPLAY
DESCRIPTION:Coolant level\; cold
TRIGGER:PT9H
END:VALARM
END:VEVENT
END:VCALENDAR
`, "\n", "\r\n")
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// unfold joins folded lines, as RFC 5545 section 3.1 says.
func unfold(b []byte) string { return strings.ReplaceAll(string(b), "\r\n ", "") }

// unescape reads a TEXT value back.
func unescape(s string) string {
	return strings.NewReplacer(`\\`, `\`, `\;`, `;`, `\,`, `,`, `\n`, "\n", `\N`, "\n").Replace(s)
}

func checkLines(t *testing.T, b []byte) {
	t.Helper()
	if !utf8.Valid(b) {
		t.Error("the file is not valid UTF-8")
	}
	if bytes.Count(b, []byte("\n")) != bytes.Count(b, []byte("\r\n")) || bytes.Count(b, []byte("\r")) != bytes.Count(b, []byte("\r\n")) {
		t.Error("a line does not end with CRLF")
	}
	for _, line := range strings.Split(strings.TrimSuffix(string(b), "\r\n"), "\r\n") {
		if len(line) > 75 {
			t.Errorf("a line has %d octets: %q", len(line), line)
		}
		if !utf8.ValidString(line) {
			t.Errorf("a line is cut inside a character: %q", line)
		}
	}
}

func TestLongLinesAreFoldedBetweenCharacters(t *testing.T) {
	for _, text := range []string{
		strings.Repeat("x", 66), strings.Repeat("x", 67), strings.Repeat("x", 68), strings.Repeat("ß", 200),
		strings.Repeat("🔧", 100), "x" + strings.Repeat("🔧", 100), strings.Repeat(",", 300), strings.Repeat("مفتاح ", 60),
	} {
		b := calendar.Write([]calendar.Entry{{UID: "u", Day: day, Summary: text}}, stamp)
		checkLines(t, b)
		if !strings.Contains(unescape(unfold(b)), "\r\nSUMMARY:"+text+"\r\n") {
			t.Errorf("%q does not come back", text)
		}
	}
}

func TestEveryAlarmHasItsTriggerAndAction(t *testing.T) {
	for _, hour := range []int{-3, 0, 9, 23, 50} {
		got := string(calendar.Write([]calendar.Entry{{UID: "u", Day: day, Summary: "s", Hour: hour}}, stamp))
		for _, want := range []string{"\r\nACTION:DISPLAY\r\n", "\r\nTRIGGER:PT"} {
			if !strings.Contains(got, want) {
				t.Errorf("hour %d: no %q", hour, want)
			}
		}
	}
}

func TestTheSameEntriesGiveTheSameFile(t *testing.T) {
	e := []calendar.Entry{{UID: "u", Day: day, Summary: "s", Sequence: 2}}
	if a, b := calendar.Write(e, stamp), calendar.Write(e, stamp); !bytes.Equal(a, b) || !bytes.Contains(a, []byte("\r\nSEQUENCE:2\r\n")) {
		t.Errorf("got\n%s\nand\n%s", a, b)
	}
}

func FuzzTextComesBackUnfoldedAndUnescaped(f *testing.F) {
	f.Add("a, b; c\\n d\r\ne")
	f.Add("\x00\x7f\xff\r\r\n \t")
	f.Fuzz(func(t *testing.T, text string) {
		b := calendar.Write([]calendar.Entry{{UID: "u", Day: day, Summary: text, Text: text}}, stamp)
		checkLines(t, b)
		_, rest, ok := strings.Cut(unfold(b), "\r\nSUMMARY:")
		line, _, _ := strings.Cut(rest, "\r\n")
		want := strings.Map(func(r rune) rune {
			if r < ' ' && r != '\n' && r != '\t' || r == 0x7f {
				return ' '
			}
			return r
		}, strings.ReplaceAll(strings.ReplaceAll(strings.ToValidUTF8(text, "\uFFFD"), "\r\n", "\n"), "\r", "\n"))
		if !ok || unescape(line) != want {
			t.Errorf("%q comes back as %q, want %q", text, unescape(line), want)
		}
	})
}
