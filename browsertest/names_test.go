package browsertest

import (
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

const (
	// attack would run if any page wrote it as it came.
	attack = `"'><img src=x onerror="hit=1"><script>hit=1</script>`
	emoji  = "Grandma’s 🚐 no. 1️⃣"
	hebrew = "טנדר לבן עם סולם"
)

// Emoji, right-to-left names and markup in every text field come out on the
// pages as they were written, and nothing of them runs.
func TestWordsComeOutAsWrittenAndNothingRuns(t *testing.T) {
	s := emptyShop(t)
	h := &hand{t: t, s: s, tab: browser.Phone(t)}
	tab := h.tab
	h.start(map[string]string{"Vehicle": emoji + " " + hebrew, "What is wrong, what is wanted?": attack, "Title": "T " + attack})
	h.post("/off", "name", hebrew, "count", "3", "pieces", attack, "tray", attack)
	h.post("/off", "name", "N "+attack, "count", "1", "tray", emoji)
	h.post("/trouble", "what", "broken clip", "needs", attack, "amount", attack, "note", attack)
	h.post("/note", "text", attack)
	h.post("/list", "name", attack, "amount", attack, "size", attack, "number", attack, "why", attack)
	h.post("/found", "what", attack, "severity", "soon", "advice", attack, "by", attack)
	h.post("/pause", "why", attack, "loose", attack, "must", attack, "until", attack)
	h.post("/tools", "counted", "3", "missing", attack, "declared", attack)
	h.post("/edit", "complaint", "C "+attack)

	for _, page := range []string{"", "/steps", "/ready", "/prove", "/record", "/release", "/resume", "/off", "/pause", "/tools"} {
		h.open(page)
		h.nothingRan(page)
	}
	h.open("")
	for _, words := range []string{emoji, hebrew, attack} {
		tab.WaitText(words)
	}
	tab.Screenshot("names-job")
	for _, page := range []string{"/jobs", "/jobs?q=" + url.QueryEscape(attack), "/vehicles", "/maps", "/shelf"} {
		tab.Open(s.url + page)
		h.nothingRan(page)
	}
	h.papers(map[string]string{"sheet": "onerror", "ready": "onerror", "labels": "onerror", "tag": "onerror", "record": "onerror"})
}

// post sends a form of the job as the page does; pairs are names and values.
func (h *hand) post(path string, pairs ...string) {
	h.t.Helper()
	form := url.Values{}
	for i := 0; i < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	answer, err := http.PostForm(h.job+path, form)
	if err != nil {
		h.t.Fatalf("%s did not answer: %v", path, err)
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK { // after the way onward
		body, _ := io.ReadAll(answer.Body)
		h.t.Errorf("%s was refused with %d: %.2000s", path, answer.StatusCode, body[max(0, strings.Index(string(body), "error-box")):])
	}
}

func (h *hand) nothingRan(page string) {
	h.t.Helper()
	if browser.Eval[bool](h.tab, `window.hit === 1 || document.querySelectorAll("body img[src=x], body script, body [onerror]").length > 0`) {
		h.t.Errorf("on %q what was typed became part of the page", page)
	}
}
