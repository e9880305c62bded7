package browsertest

import (
	"strings"
	"testing"
	"time"

	"lastbolt/internal/browser"
)

// keptOf reads what the worker has kept of a page, nothing where it has not.
func keptOf(tab *browser.Tab, address string) string {
	return browser.Eval[string](tab, strings.Replace(keptBody, "location.href", quote(address), 1))
}

func keptAhead(tab *browser.Tab, address string) bool {
	for range 50 {
		if keptOf(tab, address) != "" {
			return true
		}
		time.Sleep(200 * time.Millisecond)
	}
	return false
}

// The pages that a page leads to are made while it is looked at, so that a first
// tap on one of them waits for nothing, also when the worker was stopped meanwhile.
// What is written in between makes them anew.
func TestThePagesBehindAPageAreMadeWhileItIsLookedAt(t *testing.T) {
	browser.Start(t)
	site := phoneSite(t)
	tab := withDemo(t, site.URL)
	tab.Open(site.URL + "/jobs")
	tab.Tap(halfApart)
	job, _, _ := strings.Cut(tab.URL(), "?")
	for _, address := range []string{job + "/record", job + "/steps", site.URL + "/shelf"} {
		if !keptAhead(tab, address) {
			t.Fatalf("%s was not made while the job was looked at", address)
		}
	}
	record := keptOf(tab, job+"/record")
	asleep(tab, site.URL)
	tab.Open(job + "/steps")
	if !wasKept(tab) {
		t.Error("the first tap on a page made ahead waited for the program")
	}
	if kept, made := browser.Eval[string](tab, keptBody), source(tab); kept != made || !strings.Contains(made, "</html>") {
		t.Errorf("made ahead were %d bytes, the program makes %d others", len(kept), len(made))
	}

	tab.Open(job)
	const note = "rust on the third bolt"
	if !browser.Eval[bool](tab, `fetch(`+quote(strings.TrimPrefix(job, site.URL)+"/note")+`, { method: 'POST', body: new URLSearchParams({ text: `+quote(note)+`, note: `+quote(note)+` }) }).then((answer) => answer.ok)`) {
		t.Fatal("the note was not taken")
	}
	asleep(tab, site.URL)
	tab.Open(job + "/record")
	if wasKept(tab) {
		t.Error("a page made ahead is shown after something was written")
	}
	if now := source(tab); now == record || !strings.Contains(now, note) {
		t.Error("the note did not change the record, so nothing was tried")
	}
	tab.Open(job)
	if !keptAhead(tab, job+"/steps") {
		t.Error("the pages behind the job are not made anew after something was written")
	}
}
