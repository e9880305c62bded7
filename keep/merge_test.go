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
		{"an edit taken back there", "ab", "aba", "aba", false},
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
			if n := strings.Count(letters(merged), string(d.Body)); n < strings.Count(letters(come), string(d.Body)) {
				r.Fatalf("%q lacks a %q of %q", letters(merged), d.Body, letters(come))
			}
		}
		if again, diverged := keep.MergeHistory(merged, come); len(again) > 0 || diverged {
			r.Fatalf("a second merge adds %q", letters(again))
		}
	})
}
