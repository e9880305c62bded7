package calc

import (
	"fmt"
	"slices"
	"strings"

	"lastbolt/quantity"
)

// wrong says what contradicts itself in an input's definition.
func (i Input) wrong() string {
	plainKinds := []string{Number, Count, Choice, Text, YesNo, Table, Date}
	switch {
	case i.Name == "" || strings.Trim(i.Name, "abcdefghijklmnopqrstuvwxyz0123456789_") != "":
		return "the name is of small letters, digits and underscores"
	case i.Title == "":
		return "the title is missing"
	case !i.Measured() && !slices.Contains(plainKinds, i.Kind):
		return fmt.Sprintf("%q is no kind", i.Kind)
	case i.Measured() && !slices.Contains(quantity.UnitsNamed(i.Kind), i.Unit):
		return fmt.Sprintf("%q is no unit of %s", i.Unit, i.Kind)
	case i.Seldom && !i.Optional && i.Default == "":
		return "what is seldom needed must be optional or have a default"
	case (i.Kind == Choice) != (len(i.Choices) > 0):
		return "choices and kind do not agree"
	case (i.Kind == Table) != (len(i.Columns) > 0):
		return "columns and kind do not agree"
	}
	for _, text := range []string{i.Min, i.Max} {
		if text == "" {
			continue
		}
		if _, say := i.limit(text); say != "" {
			return "a limit: " + say
		}
	}
	for _, c := range i.Columns {
		if wrong := c.wrong(); wrong != "" {
			return fmt.Sprintf("column %q: %s", c.Name, wrong)
		}
	}
	if i.Default != "" {
		if _, say := i.read(i.Default); say != "" {
			return "the default: " + say
		}
	}
	return ""
}

// wrong says what contradicts itself in an output's definition.
func (o Output) wrong() string {
	plainKinds := []string{Number, Count, Text, YesNo, Table}
	measured := slices.Contains(quantity.Names(), o.Kind)
	switch {
	case o.Name == "" || o.Title == "":
		return "name and title are needed"
	case !measured && !slices.Contains(plainKinds, o.Kind):
		return fmt.Sprintf("%q is no kind", o.Kind)
	case measured && !slices.Contains(quantity.UnitsNamed(o.Kind), o.Unit):
		return fmt.Sprintf("%q is no unit of %s", o.Unit, o.Kind)
	case (o.Kind == Table) != (len(o.Columns) > 0):
		return "columns and kind do not agree"
	}
	for _, c := range o.Columns {
		if wrong := c.wrong(); wrong != "" {
			return fmt.Sprintf("column %q: %s", c.Name, wrong)
		}
	}
	return ""
}

// didYouMean names the nearest of the names, as the end of a sentence with its
// mark.
func didYouMean(name string, names []string) string {
	best, least := "", 4
	for _, n := range names {
		// A name all of whose letters are other ones is not near.
		if d := distance(name, n); d < least && d < max(len(name), len(n)) {
			best, least = n, d
		}
	}
	if best == "" {
		if len(names) > 0 && len(names) <= 12 {
			return "; write " + orList(names) + "."
		}
		return "."
	}
	return fmt.Sprintf("; did you mean %q?", best)
}

// distance counts the letters to change, add or drop to get from a to b.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := before
			if a[i] != b[j] {
				cost++
			}
			before = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

func orList(all []string) string {
	if len(all) < 2 {
		return strings.Join(all, "")
	}
	return strings.Join(all[:len(all)-1], ", ") + " or " + all[len(all)-1]
}
