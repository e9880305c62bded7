package browsertest

import (
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// addPerson puts a person on the list, as the owner does at the computer.
func (s *server) addPerson(owner *browser.Tab, name, may, pin string) {
	owner.Open(s.url + "/phones")
	owner.Tap("Add a person")
	owner.Fill("Name", name)
	if owner.Has("select") { // the first is asked nothing: it is the owner
		owner.Fill("May", may)
	}
	owner.Fill("PIN", pin)
	owner.Screenshot("lan-add-person")
	owner.Tap("Add")
	owner.WaitText("Phones and people")
}

func signIn(phone *browser.Tab, name, pin string) {
	phone.WaitText("Who has this phone in hand?")
	phone.Fill("Name", name)
	phone.Fill("PIN", pin)
	phone.Tap("It is me")
	phone.WaitText("Jobs in hand")
}

// setTorque says how tight the bolts of the demo's cooler are to be.
func (h *hand) setTorque(value, where string) {
	h.t.Helper()
	h.open("/bolts/torque?item=oil-cooler")
	h.tab.Fill("main [name=value]", value)
	h.tab.Tap("maker's document")
	h.tab.Fill("main [name=where]", where)
	h.tab.Tap("main form button:not([name])")
}

// Two paired phones in the hands of two people write down different torques for
// the same bolts without a network: both see both, with names, once it is back.
// A browser that is not paired gets nothing, not even the program.
func TestTwoPeopleDifferOnATorqueAndAStrangerSeesNothing(t *testing.T) {
	s := lanShop(t, true, withPhones(t)...)
	owner := browser.Desktop(t)
	owner.Open(s.url + "/phones/pair")
	address, _ := pairingCode(t, owner)
	origin := strings.TrimSuffix(address, "/pair")
	job := origin + "/jobs/" + s.jobID(halfApart)
	ann := &hand{t: t, s: s, tab: pairPhone(t, owner, "blue phone"), job: job}
	owner.Open(s.url + "/phones/pair")
	bo := &hand{t: t, s: s, tab: pairPhone(t, owner, "red phone"), job: job}
	s.addPerson(owner, "Ann", "everything (owner)", "482915")
	s.addPerson(owner, "Bo", "record (mechanic)", "771924")
	ann.tab.Reload()
	signIn(ann.tab, "Ann", "482915")
	bo.tab.Reload()
	signIn(bo.tab, "Bo", "771924")
	keeping(ann.tab, origin)
	keeping(bo.tab, origin)

	s.cut()
	ann.setTorque("9 N·m", "sheet 4 (invented)")
	ann.tab.WaitText("Waiting to send: ")
	bo.setTorque("12 N·m", "sheet 5 (invented)")
	bo.tab.WaitText("Waiting to send: ")
	bo.open("/record")
	bo.tab.WaitText("No server in reach since ")

	s.back()
	for _, h := range []*hand{ann, bo, ann} { // ann again: bo has sent since
		h.open("")
		h.tab.WaitText("Sent, ")
	}
	for _, h := range []*hand{ann, bo} {
		h.tab.WaitText("In dispute")
		h.tab.WaitText("9 N·m")
		h.tab.WaitText("12 N·m")
	}
	bo.tab.Screenshot("exchange-torque")

	stranger := browser.Phone(t)
	stranger.Open(origin + "/install")
	stranger.WaitText("Pair this phone")
	for _, path := range []string{"/exchange/events?after=0", "/exchange/documents", "/exchange/live?after=0", "/worker.js", "/phone.js", "/install", "/exchange/files/" + strings.Repeat("a", 64)} {
		seen := browser.Eval[string](stranger, `fetch("`+path+`").then((a) => a.text().then((text) => a.status + text))`)
		if !strings.HasPrefix(seen, "403") || strings.Contains(seen, "Tern") || strings.Contains(seen, "Ann") || strings.Contains(seen, "importScripts") {
			t.Errorf("%s: a browser that is not paired reads %.200q", path, seen)
		}
	}
	if n := browser.Eval[int](stranger, `navigator.serviceWorker.register("/worker.js").then(() => 1, () => 0)`); n != 0 {
		t.Error("a browser that is not paired could keep the program")
	}
	stranger.Open(job)
	stranger.WaitText("Pair this phone")
}
