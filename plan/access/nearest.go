package access

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// Nearest gives at most three of the names that are close to a misspelt word,
// the closest first.
func Nearest(word string, names []string) []string { return nearest(word, names) }

// nearest gives at most three of the names that are close to a misspelt word,
// the closest first: by edit distance, or because one starts with the other.
func nearest(word string, names []string) []string {
	type near struct {
		name string
		far  int
	}
	word = strings.ToLower(strings.TrimSpace(word))
	limit := max(1, min(3, utf8.RuneCountInString(word)/3))
	var found []near
	for _, name := range names {
		low := strings.ToLower(name)
		far := distance(word, low, limit)
		if far > limit && len(word) >= 3 && (strings.HasPrefix(low, word) || len(low) >= 3 && strings.HasPrefix(word, low)) {
			far = limit + 1
		} else if far > limit && low == slug(word) {
			far = 0
		} else if far > limit {
			continue
		}
		found = append(found, near{name, far})
	}
	slices.SortStableFunc(found, func(a, b near) int { return a.far - b.far })
	var out []string
	for _, f := range found {
		if len(out) == 3 {
			break
		}
		if !slices.Contains(out, f.name) {
			out = append(out, f.name)
		}
	}
	return out
}

// distance is the number of letters to change, add, drop or swap with their
// neighbour (optimal string alignment); it stops early above the limit.
func distance(a, b string, limit int) int {
	if len(a) > 200 || len(b) > 200 {
		return limit + 1
	}
	s, t := []rune(a), []rune(b)
	if d := len(s) - len(t); d > limit || -d > limit {
		return limit + 1
	}
	before, last, row := make([]int, len(t)+1), make([]int, len(t)+1), make([]int, len(t)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(s); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least > limit {
			return limit + 1
		}
		before, last, row = last, row, before
	}
	return last[len(t)]
}

// didYouMean is the mend for a misspelt name: the nearest ones, or what to do
// when none is near.
func didYouMean(word string, names []string, otherwise string) string {
	near := nearest(word, names)
	if len(near) == 0 {
		return otherwise
	}
	for i := range near {
		near[i] = quote(near[i])
	}
	return "did you mean " + orList(near) + "?"
}

// orList joins words as "a, b or c".
func orList(words []string) string { return join(words, " or ") }

// andList joins words as "a, b and c".
func andList(words []string) string { return join(words, " and ") }

func join(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + last + words[n]
}

// quote puts a user's word in quotes, shortened so that one sentence stays
// one line.
func quote(s string) string {
	runes := []rune(s)
	if len(runes) > 60 {
		runes = append(slices.Clone(runes[:59]), '…')
	}
	for i, r := range runes {
		if r < ' ' || r == 0x7f {
			runes[i] = ' '
		}
	}
	return `"` + string(runes) + `"`
}
