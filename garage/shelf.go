package garage

import (
	"strings"

	"lastbolt/fault"
)

// A Shelf is what is owned: tools, and supplies that are used up.
type Shelf struct {
	Tools    []string `json:"tools,omitempty"`
	Supplies []Supply `json:"supplies,omitempty"`
}

// A Supply is something on the shelf. Amount is text with a unit ("5 L", "200
// ml", "3"); empty means that how much is left is not known.
type Supply struct {
	Name   string `json:"name"`
	Amount string `json:"amount,omitempty"`
}

// Limits of a shelf, far above what anybody owns.
const (
	maxTools    = 10_000
	maxShelfLen = 200 // of one name, in characters
)

// HasTool reports whether a tool of that name is owned. Names are compared
// without regard to case and spacing.
func (s *Shelf) HasTool(name string) bool {
	key := PlainName(name)
	for _, t := range s.Tools {
		if PlainName(t) == key {
			return true
		}
	}
	return false
}

// Supply finds a supply by its name, compared as HasTool compares.
func (s *Shelf) Supply(name string) (Supply, bool) {
	key := PlainName(name)
	for _, p := range s.Supplies {
		if PlainName(p.Name) == key {
			return p, true
		}
	}
	return Supply{}, false
}

// PlainName is a name in lower case with single spaces, for comparing.
func PlainName(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// Tidy drops blank and repeated lines and trims the rest; the first of
// repeated ones stays. It refuses what cannot be a shelf.
func (s *Shelf) Tidy() error {
	if len(s.Tools) > maxTools || len(s.Supplies) > maxTools {
		return fault.New(fault.TooLarge, "The shelf holds more than %d lines: leave out what is not needed.", maxTools)
	}
	var tidy Shelf
	for _, t := range s.Tools {
		t = strings.Join(strings.Fields(t), " ")
		if err := shelfName(t); err != nil {
			return err
		}
		if t != "" && !tidy.HasTool(t) {
			tidy.Tools = append(tidy.Tools, t)
		}
	}
	for _, p := range s.Supplies {
		p.Name, p.Amount = strings.Join(strings.Fields(p.Name), " "), strings.TrimSpace(p.Amount)
		if err := shelfName(p.Name + p.Amount); err != nil {
			return err
		}
		if _, have := tidy.Supply(p.Name); p.Name != "" && !have {
			tidy.Supplies = append(tidy.Supplies, p)
		}
	}
	*s = tidy
	return nil
}

func shelfName(name string) error {
	if r := []rune(name); len(r) > maxShelfLen {
		return fault.New(fault.Bad, "The line %q… is longer than %d characters: shorten it.", string(r[:30]), maxShelfLen)
	}
	return nil
}
