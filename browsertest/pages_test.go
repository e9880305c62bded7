package browsertest

import (
	"regexp"
	"strings"
	"testing"

	"lastbolt/internal/browser"
)

// A pageType is one kind of page. In themes it is also checked in the dark and
// the sun colours.
type pageType struct {
	name, path string
	themes     bool
}

// allPages are all kinds of pages on the demo's jobs.
func allPages(s *server) []pageType {
	half, planned, done := "/jobs/"+s.jobID(halfApart), "/jobs/"+s.jobID("Alternator"), "/jobs/"+s.jobID("Front left pads and drop link")
	down, up := s.stepOf(half, 1), s.stepOf(half, -1)
	next := s.nextStep(half)
	test := s.linkIn(done+"/prove", `href="([^"]+/test\?test=[^"]+)"`)
	look := s.linkIn(done+"/prove", `href="([^"]+/look-again\?[^"]+)"`)
	aMap := s.linkIn("/maps", `href="(/maps/[^"?]+)"`)
	item := aMap + "/items/oil-cooler"
	car := s.linkIn("/vehicles", `href="(/vehicles/[^"?]+)"`)
	id := next[strings.Index(next, "?"):]
	pages := []pageType{
		{"jobs", "/jobs", true}, {"jobs-released", "/jobs?show=released", false}, {"jobs-nothing", "/jobs?q=zebra", false}, {"job-new", "/jobs/new", true},
		{"job-half", half, true}, {"job-planned", planned, false}, {"job-done", done, false},
		{"plan", planned + "/plan", true}, {"targets", planned + "/targets", true}, {"ready", planned + "/ready", true},
		{"steps", half + "/steps", true}, {"prove", done + "/prove", true}, {"record", done + "/record", true},
		{"step-done", down, false}, {"step-next", next, true}, {"step-up", up, true},
		{"test", test, false}, {"look-again", look, false}, {"amend", done + "/amend", false},
		{"vehicles", "/vehicles", false}, {"vehicle-new", "/new/vehicle", false}, {"vehicle", car, true}, {"vehicle-edit", car + "/edit", false},
		{"shelf", "/shelf", true}, {"shelf-text", "/shelf/text", false},
		{"maps", "/maps", false}, {"map-new", "/new/map", false}, {"map-import", "/import/map", false},
		{"map", aMap, true}, {"map-learned", aMap + "/learned", false}, {"map-item", item, true},
		{"no-such-page", "/nowhere", false}, {"no-such-job", "/jobs/none", false},
	}
	for _, form := range []string{"trouble", "count", "in-the-way", "note", "photo"} {
		pages = append(pages, pageType{form, half + "/" + form + id, form == "trouble"})
	}
	for _, form := range []string{"off", "list", "found", "pause", "release", "edit", "tools", "back"} {
		pages = append(pages, pageType{form, half + "/" + form, false})
	}
	return pages
}

// stepOf is the nth step of the job's list, or the last for -1.
func (s *server) stepOf(job string, n int) string {
	s.t.Helper()
	_, body := s.get(job + "/steps")
	all := regexp.MustCompile(`<li>\s*<a href="([^"]+/step\?id=[^"]+)"`).FindAllSubmatch(body, -1)
	if len(all) == 0 {
		s.t.Fatalf("%s lists no steps", job)
	}
	if n < 0 {
		n += len(all)
	}
	return string(all[n][1])
}

func (s *server) nextStep(job string) string {
	s.t.Helper()
	return s.linkIn(job+"/steps", `<li>\s*<a href="([^"]+/step\?id=[^"]+)"(?:[^<]|<[^/]|</s)*?<span class="tag is-now">`)
}

// linkIn is the first address on a page that matches.
func (s *server) linkIn(page, pattern string) string {
	s.t.Helper()
	_, body := s.get(page)
	m := regexp.MustCompile(pattern).FindSubmatch(body)
	if m == nil {
		s.t.Fatalf("%s leads to nothing like %s", page, pattern)
	}
	return strings.ReplaceAll(string(m[1]), "&amp;", "&")
}

func TestPagesHaveNoSmallTargetsOverflowOrAxeViolations(t *testing.T) {
	s := demoShop(t)
	half := "/jobs/" + s.jobID(halfApart)
	resume := pageType{"resume", half + "/resume", true}
	pages := append([]pageType{resume}, allPages(s)...)
	phone, narrow, desk := browser.Phone(t), browser.Narrow(t), browser.Desktop(t)
	for i, p := range pages {
		if i == 1 {
			s.goOn(s.url + half) // else the next step asks for the last ones
		}
		phone.Open(s.at(p.path))
		fits(t, p.name+" on a phone", phone)
		phone.Screenshot("phone-" + p.name)
		for _, v := range phone.Violations() {
			t.Errorf("%s: %s", p.name, v)
		}
		narrow.Open(s.at(p.path))
		fits(t, p.name+" on a narrow phone", narrow)
		desk.Open(s.at(p.path))
		fits(t, p.name+" at a desk", desk)
		desk.Screenshot("desk-" + p.name)
		for _, v := range desk.Violations() {
			t.Errorf("%s at a desk: %s", p.name, v)
		}
		for _, theme := range []string{"dark", "sun"} {
			if !p.themes {
				continue
			}
			for size, tab := range map[string]*browser.Tab{"phone": phone, "desk": desk} {
				tab.Do(`document.documentElement.dataset.theme = "` + theme + `"`)
				tab.Screenshot(size + "-" + p.name + "-" + theme)
				for _, v := range tab.Violations() {
					t.Errorf("%s in %s, %s: %s", p.name, theme, size, v)
				}
			}
		}
	}
}

// fits checks that nothing is too small to tap and nothing is cut off.
func fits(t *testing.T, where string, tab *browser.Tab) {
	t.Helper()
	for _, small := range tab.SmallTargets() {
		t.Errorf("%s: %s, less than 48", where, small)
	}
	for _, cut := range tab.Overflow() {
		t.Errorf("%s: %s", where, cut)
	}
}
