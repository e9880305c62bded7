package browsertest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/internal/browser"
	"lastbolt/keep"
)

// A browser stops a phone's worker whenever it likes, in the middle of a tap
// too. What was acknowledged is there afterwards, once; what was not is there
// once or not at all. (Chromium then leaves the old page waiting; a person opens
// another.) LASTBOLT_CRASHES says how many taps (10 unless given).
func TestTapsOnAPhoneAloneSurviveAWorkerStoppedInTheMiddle(t *testing.T) {
	browser.Start(t)
	taps := 10
	if n, err := strconv.Atoi(os.Getenv("LASTBOLT_CRASHES")); err == nil {
		taps = n
	}
	site := phoneSite(t)
	tab := installed(t, site.URL)
	takeIn(tab, site.URL, copyOf(t, func(ctx context.Context, st keep.Backend) error { return demo.Fill(ctx, st, time.Now()) }))
	tab.Open(site.URL + "/jobs")
	tab.Tap(halfApart)
	job := strings.TrimPrefix(tab.URL(), site.URL)
	job, _, _ = strings.Cut(job, "?")

	const seed = 20
	chance := rand.New(rand.NewPCG(seed, seed))
	acknowledged := map[string]bool{}
	for n := range taps {
		note := fmt.Sprintf("tap %03d of the test", n)
		tab.Open(site.URL + job + "/note")
		tab.Fill("main textarea", note)
		tab.Do(`setTimeout(() => document.querySelector("main form").requestSubmit())`)
		if n%3 == 0 { // the moment after the answer
			tab.WaitFor("the answer", `!location.pathname.endsWith("/note")`)
		} else {
			time.Sleep(time.Duration(chance.IntN(400)) * time.Millisecond)
		}
		tab.StopWorkers()
		time.Sleep(time.Second) // Chromium may leave the page as it was, waiting
		tab.Open(site.URL + "/jobs")
		acknowledged[note] = browser.Eval[bool](tab, `!navigation.entries().at(-2).url.endsWith("/note")`)
	}
	copied := string(fetchedBy(tab, "/phone/copy"))
	done, lost := 0, 0
	for note, acknowledged := range acknowledged {
		switch there := strings.Count(copied, note); {
		case there > 1:
			t.Errorf("%q is there %d times", note, there)
		case there == 0 && acknowledged:
			t.Errorf("%q was acknowledged and is not there", note)
		case acknowledged:
			done++
		case there == 0:
			lost++
		}
	}
	t.Logf("of %d taps %d were acknowledged, %d were not and left nothing, the rest was recorded without an answer", taps, done, lost)
	if done == 0 {
		t.Error("no tap was acknowledged, so nothing was tried")
	}
	tab.Open(site.URL + job + "/record")
	tab.WaitText("The record")
}
