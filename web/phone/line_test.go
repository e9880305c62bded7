package phone

import (
	"testing"
	"time"

	"lastbolt/exchange/replicate"
)

func TestAPageSaysInALineHowTheExchangeStands(t *testing.T) {
	now := time.Date(2026, 11, 25, 14, 5, 0, 0, time.UTC)
	at := now.Add(-3 * time.Minute)
	yesterday := now.AddDate(0, 0, -1)
	for _, test := range []struct {
		s      replicate.Status
		text   string
		urgent bool
		href   string
	}{
		{replicate.Status{}, "Not exchanged with the computer yet.", false, "/phone"},
		{replicate.Status{At: at}, "Sent, 14:02", false, "/phone"},
		{replicate.Status{At: at, Waiting: 7}, "Waiting to send: 7", false, "/phone"},
		{replicate.Status{At: yesterday, Trouble: replicate.Away, Since: at.Add(-22 * time.Minute)}, "No server in reach since 13:40.", false, "/phone"},
		{replicate.Status{Waiting: 7, Trouble: replicate.Away, Since: yesterday}, "No server in reach since 24 Nov 14:05. Waiting to send: 7", false, "/phone"},
		{replicate.Status{Waiting: 1, Trouble: replicate.NotLetIn}, "The computer does not know this phone any more. Waiting to send: 1", true, "/pair"},
		{replicate.Status{Trouble: replicate.NoPerson}, "The computer asks who has this phone in hand.", true, "/who"},
		{replicate.Status{Trouble: replicate.Refusing, Why: "There is no room left."}, "There is no room left.", true, "/phone"},
		{replicate.Status{At: at, Held: []string{"It is in the name of Bo."}}, "Some records stay on this phone: It is in the name of Bo.", true, "/phone"},
	} {
		if got := LineOf(test.s, now, time.UTC); got.Text != test.text || got.Urgent != test.urgent || got.Href != test.href || got.Label == "" {
			t.Errorf("%+v: %+v, want %q, urgent %v, to %s", test.s, got, test.text, test.urgent, test.href)
		}
	}
}
