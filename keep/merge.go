package keep

import (
	"bytes"
	"cmp"
	"slices"
	"strings"

	"lastbolt/garage"
	"lastbolt/job"
)

// MergeHistory returns what must be added to have, the history of one document
// by rising version, so that it holds every version in come too, as often as
// come does. Added versions are numbered on from the end. Versions are the same
// when everything but the number is. When both sides were edited (diverged) and
// ours was edited last, it is added once more, so that it stays the newest.
func MergeHistory(have, come []garage.Document) (add []garage.Document, diverged bool) {
	come = slices.SortedStableFunc(slices.Values(come), func(a, b garage.Document) int { return cmp.Compare(a.Version, b.Version) })
	left := slices.Clone(have)
	for _, d := range come {
		i := slices.IndexFunc(left, func(k garage.Document) bool { return sameDocument(k, d) })
		if i >= 0 {
			left = slices.Delete(left, i, i+1)
			continue
		}
		add = append(add, d)
	}
	if len(add) == 0 {
		return nil, false
	}
	diverged = len(left) > 0
	if diverged {
		if ours := have[len(have)-1]; ours.At.After(add[len(add)-1].At) {
			add = append(add, ours)
		}
	}
	for i := range add {
		add[i].Version = len(have) + 1 + i
	}
	return add, diverged
}

func sameDocument(a, b garage.Document) bool {
	return a.At.Equal(b.At) && a.By == b.By && a.Note == b.Note && bytes.Equal(a.Body, b.Body)
}

// Fold prepares text for searching, so that capitals do not matter.
func Fold(s string) string { return strings.ToLower(Plain(s)) }

// Plain is s without what a column of text does not take: zero characters and
// bytes that are not UTF-8. It is for what is only searched in and compared.
func Plain(s string) string {
	return strings.ToValidUTF8(strings.ReplaceAll(s, "\x00", ""), "\uFFFD")
}

// SearchText is what the words of a query are looked for in, folded.
func SearchText(s job.Summary) string {
	return Fold(s.Title + "\n" + s.Vehicle + "\n" + s.Complaint)
}

// Words are the folded words of a search; every one must occur.
func Words(text string) []string { return strings.Fields(Fold(text)) }

// Limit is how many rows a list asks for: the default where none is given.
func Limit(n, otherwise int) int {
	if n <= 0 {
		return otherwise
	}
	return n
}

// The defaults of job.Query.Limit and of the limit of Changed.
const (
	DefaultSummaries = 100
	DefaultChanged   = 1000
)
