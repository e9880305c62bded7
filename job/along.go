package job

import (
	"strings"

	"lastbolt/garage"
)

// alongTheWay is what was found necessary once it was open, a line a thing. What
// nobody has marked is held against the shelf, like what the plan needs.
func alongTheWay(s *State, shelf garage.Shelf) []ReadyLine {
	var out []ReadyLine
	for i := range s.List {
		it := &s.List[i]
		line := ReadyLine{Key: it.Key, Name: joined(it.Name, it.Size, it.Number), Need: it.Amount, Note: it.Why, Status: Missing}
		switch {
		case it.Settled():
			line.Status = AtHand
		case it.How == Ordered:
			line.Status = OnOrder
		case it.How == "":
			line.fromShelf(it, shelf)
		}
		out = append(out, line)
	}
	return out
}

// fromShelf takes a thing from the shelf, where it may stand with its size.
func (l *ReadyLine) fromShelf(it *ListItem, shelf garage.Shelf) {
	for _, name := range []string{joined(it.Name, it.Size), it.Name + ", " + it.Size, it.Name} {
		if shelf.HasTool(name) {
			l.Status = AtHand
			return
		}
		if have, ok := shelf.Supply(name); ok {
			need := sum{count: 1}
			if it.Amount != "" {
				need.count = 0
				need.add(it.Amount)
			}
			l.OnHand = have.Amount
			l.Status, l.Short = need.against(have.Amount)
			return
		}
	}
}

func joined(words ...string) string {
	return strings.Join(strings.Fields(strings.Join(words, " ")), " ")
}
