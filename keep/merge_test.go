package keep_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lastbolt/garage"
	"lastbolt/keep"
)

// versions makes a history from letters: each is a body, edited at a time that
// goes by the letter.
func versions(letters string) []garage.Document {
	var out []garage.Document
	for i, r := range letters {
		out = append(out, garage.Document{Kind: "map", ID: "m", Version: i + 1, Body: []byte(string(r)), At: time.Unix(int64(r), 0)})
	}
	return out
}

func letters(list []garage.Document) string {
	var b strings.Builder
	for _, d := range list {
		b.Write(d.Body)
	}
	return b.String()
}

func TestTwoHistoriesBecomeOne(t *testing.T) {
	for _, test := range []struct {
		name, have, come, want string
		diverged               bool
	}{
		{"both empty", "", "", "", false},
		{"new here", "", "abc", "abc", false},
		{"the same", "abc", "abc", "abc", false},
		{"an older export", "abc", "ab", "abc", false},
		{"a newer export", "ab", "abcd", "abcd", false},
		{"theirs edited last", "ab", "ac", "abc", true},
		{"ours edited last", "ac", "ab", "acbc", true},
		{"nothing in common", "b", "a", "bab", true},
		{"an edit taken back", "", "aba", "aba", false},
		{"an edit taken back there, at the same instant", "ab", "aba", "ab", false},
	} {
		have := versions(test.have)
		add, diverged := keep.MergeHistory(have, versions(test.come))
		if got := letters(append(have, add...)); got != test.want || diverged != test.diverged {
			t.Errorf("%s: %q, diverged %v, want %q, %v", test.name, got, diverged, test.want, test.diverged)
		}
	}
}

func TestMergingHistoriesKeepsEverythingAndIsTheSameTheSecondTime(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		history := rapid.StringMatching(`[a-e]{0,6}`)
		have, come := versions(history.Draw(r, "have")), versions(history.Draw(r, "come"))
		before := letters(have)
		add, _ := keep.MergeHistory(have, come)
		merged := append(slices.Clone(have), add...)
		if !strings.HasPrefix(letters(merged), before) {
			r.Fatalf("%q became %q: what was here moved", before, letters(merged))
		}
		for i, d := range merged {
			if d.Version != i+1 {
				r.Fatalf("version %d at place %d", d.Version, i+1)
			}
		}
		for _, d := range come {
			if !strings.Contains(letters(merged), string(d.Body)) {
				r.Fatalf("%q lacks a %q of %q", letters(merged), d.Body, letters(come))
			}
		}
		if again, diverged := keep.MergeHistory(merged, come); len(again) > 0 || diverged {
			r.Fatalf("a second merge adds %q", letters(again))
		}
	})
}

// An editing is one document on several devices whose clocks are wrong by up to
// days. Each edit has its own letter.
type editing struct {
	histories [][]garage.Document
	skews     []time.Duration
	edits     int
}

func (e *editing) edit(device int, now time.Time) {
	have := e.histories[device]
	d := garage.Document{Kind: "map", ID: "m", Version: len(have) + 1, At: now.Add(e.skews[device]), Body: []byte{byte('a' + e.edits)}}
	if len(have) > 0 {
		d = keep.Behind(d, have[len(have)-1])
	}
	e.edits++
	e.histories[device] = append(have, d)
}

func (e *editing) send(from, to int, part func(garage.Document) bool) {
	come := slices.DeleteFunc(slices.Clone(e.histories[from]), func(d garage.Document) bool { return !part(d) })
	add, _ := keep.MergeHistory(e.histories[to], come)
	e.histories[to] = append(e.histories[to], add...)
}

func TestHoweverHistoriesMeetTheSameVersionIsNewestEverywhere(t *testing.T) {
	day := 24 * time.Hour
	rapid.Check(t, func(r *rapid.T) {
		e := &editing{histories: make([][]garage.Document, 3)}
		for range e.histories {
			e.skews = append(e.skews, rapid.SampledFrom([]time.Duration{0, -3 * day, 2 * day, -time.Minute}).Draw(r, "clock wrong by"))
		}
		device := rapid.IntRange(0, len(e.histories)-1)
		now := time.Unix(1_900_000_000, 0)
		for range rapid.IntRange(1, 25).Draw(r, "moves") {
			now = now.Add(time.Hour)
			if rapid.Bool().Draw(r, "edit") && e.edits < 20 {
				e.edit(device.Draw(r, "on"), now)
				continue
			}
			n := rapid.IntRange(1, 3).Draw(r, "one in")
			e.send(device.Draw(r, "from"), device.Draw(r, "to"), func(d garage.Document) bool { return d.Version%n == 0 })
		}
		for range 2 { // everybody hears from everybody
			for from := range e.histories {
				for to := range e.histories {
					e.send(from, to, func(garage.Document) bool { return true })
				}
			}
		}
		want := e.histories[0]
		for _, have := range e.histories {
			if len(have) == 0 {
				continue
			}
			if a, b := letters(have[len(have)-1:]), letters(want[len(want)-1:]); a != b {
				r.Fatalf("%q is newest on one device and %q on another: %q, %q", a, b, letters(have), letters(want))
			}
			for n := range e.edits {
				if letter := string(rune('a' + n)); !strings.Contains(letters(have), letter) {
					r.Fatalf("the edit %s is lost in %q", letter, letters(have))
				}
			}
		}
	})
}

func TestAnEditOnALateClockIsNewerThanWhatItBeganFrom(t *testing.T) {
	began := garage.Document{At: time.Unix(1000, 0)}
	for name, at := range map[string]int64{"late": 10, "the same instant": 1000, "right": 2000} {
		got := keep.Behind(garage.Document{At: time.Unix(at, 0)}, began)
		if !got.At.After(began.At) || at == 2000 && !got.At.Equal(time.Unix(2000, 0)) {
			t.Errorf("%s: edited at %v, after %v", name, got.At, began.At)
		}
	}
	end := garage.Document{At: time.Date(9999, 12, 31, 23, 59, 59, 999_999_999, time.UTC)}
	if got, err := keep.Document(keep.Behind(garage.Document{Kind: "map", ID: "m", At: time.Unix(5, 0)}, end)); err != nil {
		t.Errorf("behind the last time there is: %v, %v", got.At, err)
	}
}
