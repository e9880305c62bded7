package keep

import (
	"bytes"
	"cmp"
	"slices"
	"strings"
	"time"

	"lastbolt/garage"
	"lastbolt/job"
)

// Behind returns d with a time after that of the version it follows. A device
// whose clock runs late would otherwise save what looks older than what it began
// from, and lose against it where histories meet.
func Behind(d, newest garage.Document) garage.Document {
	if next := newest.At.Add(time.Millisecond); !d.At.After(newest.At) && next.Year() <= 9999 {
		d.At = next
	}
	return d
}

// MergeHistory returns what must be added to have, the history of one document
// by rising version, so that it holds every version in come too. Added versions
// are numbered on from the end. Versions are the same when everything but the
// number is. Diverged says that both sides were edited.
//
// However many histories meet in whatever order and parts, the newest version is
// the same everywhere in the end: the one edited last. What was here first keeps
// its number, so the newest is added once more where it would not come last. A
// whole history that has all of ours and more is taken as it is.
func MergeHistory(have, come []garage.Document) (add []garage.Document, diverged bool) {
	come = slices.SortedStableFunc(slices.Values(come), func(a, b garage.Document) int { return cmp.Compare(a.Version, b.Version) })
	if len(have) == 0 {
		add = slices.Clone(come)
	}
	for _, d := range come {
		if len(have) > 0 && !holds(have, d) && !holds(add, d) {
			add = append(add, d)
		}
	}
	if len(add) == 0 {
		return nil, false
	}
	diverged = slices.ContainsFunc(have, func(d garage.Document) bool { return !holds(come, d) })
	newest := come[len(come)-1]
	if diverged || !whole(come) {
		newest = slices.MaxFunc(slices.Concat(have, come), byEdit)
	}
	if !sameDocument(add[len(add)-1], newest) {
		add = append(add, newest)
	}
	for i := range add {
		add[i].Version = len(have) + 1 + i
	}
	return add, diverged
}

// whole reports a history without a gap, from the first version on.
func whole(history []garage.Document) bool {
	for i, d := range history {
		if d.Version != i+1 {
			return false
		}
	}
	return true
}

func holds(history []garage.Document, d garage.Document) bool {
	return slices.ContainsFunc(history, func(k garage.Document) bool { return sameDocument(k, d) })
}

// byEdit orders versions by when they were edited; what else differs decides
// between two of one instant, so that it decides the same everywhere.
func byEdit(a, b garage.Document) int {
	return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.By, b.By), cmp.Compare(a.Note, b.Note), bytes.Compare(a.Body, b.Body))
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

// Due reports that the job has something due by the time; every job has by the
// zero time.
func Due(s job.Summary, by time.Time) bool {
	return by.IsZero() || !s.Due.IsZero() && !s.Due.After(by)
}

// SummaryOrder compares two jobs in the order that a query lists them.
func SummaryOrder(q job.Query) func(a, b job.Summary) int {
	if !q.DueBy.IsZero() {
		return func(a, b job.Summary) int { return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.ID, b.ID)) }
	}
	return func(a, b job.Summary) int {
		return cmp.Or(b.Touched.Compare(a.Touched), cmp.Compare(b.ID, a.ID))
	}
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
