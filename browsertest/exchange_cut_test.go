package browsertest

import (
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A phone is cut off its network while the computer goes on. What is recorded
// meanwhile waits on it, also when its worker is started anew, and goes when the
// network is back, once and without a tap.
func TestAPhoneCutOffTheNetworkSendsOnceTheNetworkIsBack(t *testing.T) {
	s := exchangeShop(t)
	h := s.onJob(halfApart, browser.Phone(t))
	keeping(h.tab, s.url)
	write := func(text string) {
		h.open("/note")
		h.form("main form button:not([name])", map[string]string{"main textarea": text})
	}
	onServer := func(text string) int {
		_, page := s.get(h.path("/record"))
		return strings.Count(string(page), text)
	}

	h.tab.Offline(true)
	write("the bracket is bent")
	h.tab.WaitText("No server in reach since ")
	h.tab.WaitText("Waiting to send: 1")
	h.tab.StopWorkers()
	write("and its nut is seized")
	h.tab.WaitText("Waiting to send: 2")
	if onServer("the bracket is bent")+onServer("and its nut is seized") != 0 {
		t.Error("it reached the server although there is no network")
	}

	h.tab.Offline(false)
	h.tab.WaitText("Sent, ") // nobody touched it: the browser said that the network is back
	for _, text := range []string{"the bracket is bent", "and its nut is seized"} {
		if n := onServer(text); n != 1 {
			t.Errorf("the server's record has %q %d times", text, n)
		}
	}
}
