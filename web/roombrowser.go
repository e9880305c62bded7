package web

import (
	"lastbolt/keep/usage"
	"lastbolt/web/parts"
)

// A Browser is what keeps everything on a phone, and what it grants.
type Browser struct {
	Used    int64 // bytes in use, with the program itself
	Granted int64 // bytes that it grants in all; 0 where it does not say
	// Promised says that nothing is cleared when the phone is full, unless its
	// owner does it.
	Promised bool
	Alone    bool // nothing is kept anywhere else
}

// card says where everything is, and how safely.
func (b Browser) card() cardView {
	c := cardView{Title: "Kept by the browser", Links: []parts.Link{{Label: "This phone", Href: "/phone"}}}
	add := func(label, value string) { c.Facts = append(c.Facts, parts.Fact{Label: label, Value: value}) }
	if b.Alone {
		c.Title = "Only on this phone"
		c.Text = "A lost phone, or a browser told to forget this site, takes everything along. Keep a copy elsewhere."
		c.Links[0].Label = "Copies"
	}
	if b.Used > 0 {
		add("In use", ByteText(b.Used)+", with the program itself")
	}
	if b.Granted > 0 {
		add("The browser grants", ByteText(b.Granted))
	}
	if b.Promised {
		add("Promise", "The browser has promised not to clear it when the phone is full.")
	} else {
		add("Promise", "none")
	}
	return c
}

// fullText says that what the browser grants is nearly used up; empty while
// there is room.
func (b Browser) fullText() (what, mend string) {
	left := max(0, b.Granted-b.Used)
	if usage.LevelOf(left, b.Granted) == usage.Enough {
		return "", ""
	}
	return "The room that the browser grants is nearly used up: " + ByteText(left) + " left.",
		"Save a copy, and make room on the phone: take away apps, films or pictures of other things. A tap that finds no room is not recorded, and that is said then."
}

// missing says what it means that a photo is not here.
func (b Browser) missing() cardView {
	if b.Alone {
		return cardView{Title: "Missing", Text: "These are shown in jobs and are not on this phone. A copy that has them brings them back: take it in on the page about this phone."}
	}
	return cardView{Title: "Not on this phone", Text: "These are shown in jobs and are not on this phone. They are fetched when they are looked at, if the computer has them and is in reach."}
}
