package phone

import (
	"fmt"
	"time"

	"lastbolt/exchange/replicate"
)

// A Line is what every page of a phone with a server says of the exchange.
type Line struct {
	Text   string `json:"text"`
	Urgent bool   `json:"urgent"` // somebody must do something
	Label  string `json:"label"`  // of the link to where it is done
	Href   string `json:"href"`
}

// LineOf puts a status in words; now and zone are the phone's.
func LineOf(s replicate.Status, now time.Time, zone *time.Location) Line {
	l := Line{Label: "This phone", Href: "/phone"}
	switch {
	case s.Trouble == replicate.NotLetIn:
		l = Line{"The computer does not know this phone any more.", true, "Pair it anew", "/pair"}
	case s.Trouble == replicate.NoPerson:
		l = Line{"The computer asks who has this phone in hand.", true, "Say who", "/who"}
	case s.Trouble == replicate.OtherAge, s.Trouble == replicate.Refusing:
		l.Text, l.Urgent = s.Why, true
	case s.Trouble == replicate.Away:
		l.Text = "No server in reach since " + clock(s.Since, now, zone) + "."
	case len(s.Held) > 0:
		l.Text, l.Urgent = "Some records stay on this phone: "+s.Held[0], true
	case s.Waiting == 0 && !s.At.IsZero():
		l.Text = "Sent, " + clock(s.At, now, zone)
	case s.Waiting == 0:
		l.Text = "Not exchanged with the computer yet."
	}
	if s.Waiting > 0 {
		if l.Text != "" {
			l.Text += " "
		}
		l.Text += fmt.Sprintf("Waiting to send: %d", s.Waiting)
	}
	return l
}

// clock is the time, with the day where that is not today.
func clock(at, now time.Time, zone *time.Location) string {
	at, now = at.In(zone), now.In(zone)
	if at.YearDay() == now.YearDay() && at.Year() == now.Year() {
		return at.Format("15:04")
	}
	return at.Format("2 Jan 15:04")
}
