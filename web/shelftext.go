package web

import (
	"strings"

	"lastbolt/garage"
)

// The shelf as text, one thing a line:
//
//	Tools:
//	10 mm socket
//
//	Supplies:
//	coolant = 1 L
//	Ceramic brake grease
//
// The last " =" of a supply parts its name from its amount. A dash before a
// line is dropped, so that a list from elsewhere can be pasted.
const (
	toolsHeading    = "Tools:"
	suppliesHeading = "Supplies:"
)

// shelfText writes a shelf so that readShelf reads the same.
func shelfText(s garage.Shelf) string {
	var b strings.Builder
	b.WriteString(toolsHeading + "\n")
	for _, t := range s.Tools {
		b.WriteString(guarded(t) + "\n")
	}
	b.WriteString("\n" + suppliesHeading + "\n")
	for _, p := range s.Supplies {
		line := guarded(p.Name)
		if p.Amount != "" || strings.Contains(p.Name+" ", " = ") {
			line = strings.TrimRight(line+" = "+p.Amount, " ")
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

// guarded puts a dash before what would otherwise read as something else.
func guarded(name string) string {
	if heading(name) != "" || strings.HasPrefix(name+" ", "- ") {
		return "- " + name
	}
	return name
}

func heading(line string) string {
	for _, h := range []string{toolsHeading, suppliesHeading} {
		if strings.EqualFold(line, h) || strings.EqualFold(line, strings.TrimSuffix(h, ":")) {
			return h
		}
	}
	return ""
}

// readShelf reads lines; before the first heading they are tools.
func readShelf(text string) garage.Shelf {
	var s garage.Shelf
	in := toolsHeading
	for line := range strings.SplitSeq(text, "\n") {
		line = strings.TrimSpace(strings.TrimPrefix(line, "\ufeff"))
		if h := heading(line); h != "" {
			in = h
			continue
		}
		if line = strings.TrimSpace(strings.TrimPrefix(line, "- ")); line == "" {
			continue
		}
		if in == toolsHeading {
			s.Tools = append(s.Tools, line)
			continue
		}
		p := garage.Supply{Name: line}
		if at := strings.LastIndex(line+" ", " = "); at >= 0 {
			p.Name, p.Amount = strings.TrimSpace(line[:at]), strings.TrimSpace((line + " ")[at+3:])
		}
		s.Supplies = append(s.Supplies, p)
	}
	return s
}
