package web_test

import (
	"context"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/job"
	"lastbolt/quantity"
	"lastbolt/store/memory"
	"lastbolt/web"
)

// A held page is one answer, and for how long it was said to hold.
type heldPage struct {
	body  string
	until time.Time
	kept  bool
	wrote bool // something was recorded on the way
}

// A heldShop is the demo with a clock that a test sets.
type heldShop struct {
	t     *testing.T
	st    *memory.Store
	pages http.Handler
	now   time.Time
}

func newHeldShop(t *testing.T) *heldShop {
	t.Helper()
	s := &heldShop{t: t, st: memory.New(), now: noon}
	if err := demo.Fill(context.Background(), s.st, noon); err != nil {
		t.Fatal(err)
	}
	clock := func() time.Time { return s.now }
	ids := job.NewIDs(clock, strings.NewReader(strings.Repeat("chance", 100000)))
	s.pages = (&web.Host{Book: job.NewBook(s.st, &job.Recorder{Now: clock, NewID: ids.New}), Documents: s.st, Files: s.st,
		Now: clock, Zone: time.FixedZone("of the shop", 5*3600)}).Handler()
	return s
}

func (s *heldShop) events() int64 {
	_, end, err := s.st.Changed(s.t.Context(), 0, 100000)
	if err != nil {
		s.t.Fatal(err)
	}
	return end
}

func (s *heldShop) get(path string) heldPage { return s.make(path, false) }

func (s *heldShop) make(path string, ahead bool) heldPage {
	ctx, hold := web.WithHold(s.t.Context())
	if ahead {
		hold.MakeAhead()
	}
	before, w := s.events(), httptest.NewRecorder()
	s.pages.ServeHTTP(w, httptest.NewRequest("GET", path, nil).WithContext(ctx))
	until, kept := hold.Kept()
	return heldPage{w.Body.String(), until, kept && w.Code == http.StatusOK, s.events() != before}
}

var linked = regexp.MustCompile(`href="(/[^"#]*)`)

// paths are the addresses of all pages that links lead to.
func (s *heldShop) paths() []string {
	return s.walk(func(path string) heldPage { return s.get(path) })
}

// walk opens every page once that a link leads to, in a way of one's own.
func (s *heldShop) walk(open func(path string) heldPage) []string {
	paths := []string{"/jobs", "/jobs?show=due", "/jobs?show=released", "/maps", "/vehicles", "/shelf", "/work-out"}
	seen := map[string]bool{}
	for _, p := range paths {
		seen[p] = true
	}
	ofKind := map[string]int{}
	for i := 0; i < len(paths); i++ {
		for _, m := range linked.FindAllStringSubmatch(open(paths[i]).body, -1) {
			p := html.UnescapeString(m[1])
			path, _, _ := strings.Cut(p, "?")
			kind := path[:strings.LastIndex(path, "/")+1] // enough of each is enough
			if seen[p] || strings.HasPrefix(p, "/static/") || strings.Contains(p, "/paper/") || strings.HasSuffix(p, "/live") || ofKind[kind] > 8 {
				continue
			}
			seen[p] = true
			ofKind[kind]++
			paths = append(paths, p)
		}
	}
	return paths
}

// What a host gives again is to the letter what the page would be: whatever a
// page shows that changes with the time alone ends how long it holds.
func TestAPageIsTheSameUntilItsHoldEnds(t *testing.T) {
	s := newHeldShop(t)
	s.wait(s.jobInHand())
	kept, ended := 0, 0
	for _, path := range s.paths() {
		for _, at := range []time.Duration{0, 19 * time.Minute, 360 * 24 * time.Hour} {
			s.now = noon.Add(at)
			first := s.get(path)
			if !first.kept || first.wrote {
				continue
			}
			kept++
			s.now = s.now.AddDate(30, 0, 0)
			if !first.until.IsZero() {
				ended++
				s.now = first.until.Add(-time.Nanosecond)
			}
			if again := s.get(path); again.body != first.body || again.wrote {
				t.Errorf("%s of %v is another page by %v, before its end", path, noon.Add(at), s.now)
			}
		}
	}
	if kept < 150 || ended < 15 {
		t.Errorf("only %d pages could be kept, %d of them until some time: too little was tried", kept, ended)
	}
}

// A page that was kept for good, or too long, would show what is no longer so.
func TestTheHoldOfAPageEndsWithWhatItShows(t *testing.T) {
	for name, c := range map[string]struct {
		path     string // of which page; JOB is the job
		at, late time.Duration
	}{
		"the hands rest too long":  {"/jobs/JOB", 0, 21 * time.Minute},
		"something comes due soon": {"/jobs", 0, 365 * 24 * time.Hour},
		"the day of a form":        {"/vehicles/VEHICLE", 0, 24 * time.Hour},
	} {
		t.Run(name, func(t *testing.T) {
			s := newHeldShop(t)
			path := strings.NewReplacer("JOB", s.jobInHand(), "VEHICLE", s.vehicle()).Replace(c.path)
			s.now = noon.Add(c.at)
			if first := s.get(path); first.until.IsZero() || !first.until.After(s.now) || first.until.After(s.now.Add(c.late)) {
				t.Errorf("kept %v until %v", first.kept, first.until)
			}
		})
	}
}

func (s *heldShop) jobInHand() string {
	list, err := s.st.Summaries(s.t.Context(), job.Query{})
	if err != nil || len(list) == 0 {
		s.t.Fatal(len(list), err)
	}
	// Something is recorded just now, by the page of the next step.
	page := s.get("/jobs/" + list[0].ID)
	for _, m := range linked.FindAllStringSubmatch(page.body, -1) {
		if p := html.UnescapeString(m[1]); strings.Contains(p, "/step?") {
			s.get(p)
		}
	}
	return list[0].ID
}

// wait has something run without hands for half an hour.
func (s *heldShop) wait(id string) {
	clock := func() time.Time { return s.now }
	book := job.NewBook(s.st, &job.Recorder{Now: clock, NewID: job.NewIDs(clock, strings.NewReader(strings.Repeat("other", 1000))).New})
	if _, err := book.Do(s.t.Context(), id, job.StartWait(job.WaitStarted{Kind: "cure", Minutes: 30})); err != nil {
		s.t.Fatal(err)
	}
}

func (s *heldShop) vehicle() string {
	all, err := s.st.All(s.t.Context(), "vehicle")
	if err != nil || len(all) == 0 {
		s.t.Fatal(len(all), err)
	}
	return all[0].ID
}

// What asks for the time itself, changes something, or is not known to depend on
// nothing else is not kept.
func TestOnlyPagesKnownToHoldAreKept(t *testing.T) {
	s := newHeldShop(t)
	id := s.jobInHand()
	for _, path := range []string{"/jobs/new", "/jobs/" + id + "/release", "/jobs/" + id + "/wrench", "/jobs/" + id + "/note", "/shelf/text", "/storage", "/nowhere", "/new/vehicle"} {
		if got := s.get(path); got.kept {
			t.Errorf("%s is kept", path)
		}
		if ahead := s.make(path, true); ahead.body != "" {
			t.Errorf("%s may not be kept, and is made ahead", path)
		}
	}
	for _, path := range []string{"/jobs", "/jobs/" + id, "/jobs/" + id + "/steps", "/work-out/torque-advice", "/maps", "/shelf"} {
		if got := s.get(path); !got.kept {
			t.Errorf("%s is not kept", path)
		}
	}
}

// A page that is made before anybody opens it records nothing, and is the page
// that is shown then.
func TestAPageMadeAheadRecordsNothing(t *testing.T) {
	s := newHeldShop(t)
	same, looked, recorded := 0, 0, 0
	look := func(path string) heldPage {
		ahead := s.make(path, true)
		if ahead.wrote {
			t.Errorf("%s records something before it is opened", path)
		}
		opened := s.get(path)
		if opened.wrote {
			recorded++
		}
		switch {
		case opened.wrote && ahead.body != "":
			t.Errorf("%s was made before it was opened, which is recorded", path)
		case ahead.kept && (opened.wrote || ahead.body != opened.body || !ahead.until.Equal(opened.until)):
			t.Errorf("%s is another page once it is opened", path)
		case ahead.kept:
			same++
			if strings.Contains(path, "/step?") || strings.Contains(path, "/bolts?") {
				looked++
			}
		}
		return opened
	}
	list, err := s.st.Summaries(t.Context(), job.Query{})
	if err != nil {
		t.Fatal(err)
	}
	for _, j := range list {
		state, err := job.NewBook(s.st, nil).Load(t.Context(), j.ID)
		if err != nil {
			t.Fatal(err)
		}
		if state.Next != nil {
			look("/jobs/" + j.ID + "/step?id=" + url.QueryEscape(state.Next.ID))
		}
	}
	s.walk(look)
	if same < 50 || looked == 0 || recorded == 0 {
		t.Errorf("%d pages were made ahead, %d of them of steps, and opening recorded something on %d: too little was tried", same, looked, recorded)
	}
}

// The bolt map of the step to do next begins the step as the step's page does, so
// it is not made ahead until the step is begun.
func TestABoltMapIsNotMadeAheadWhereOpeningItBeginsTheStep(t *testing.T) {
	s := newHeldShop(t)
	list, err := s.st.Summaries(t.Context(), job.Query{})
	if err != nil || len(list) == 0 {
		t.Fatal(len(list), err)
	}
	id := list[0].ID
	book := job.NewBook(s.st, &job.Recorder{Now: func() time.Time { return s.now }, NewID: job.NewIDs(func() time.Time { return s.now }, strings.NewReader(strings.Repeat("other", 1000))).New})
	state, err := book.Load(t.Context(), id)
	if err != nil || state.Next == nil {
		t.Fatal(err)
	}
	item := state.Next.Item
	do := func(a job.Action) {
		t.Helper()
		if state, err = book.Do(t.Context(), id, a); err != nil {
			t.Fatal(err)
		}
	}
	do(job.ChangeBoltMap(job.BoltMapSet{Item: item, Aspect: 1, Count: 3, From: &job.Point{}, To: &job.Point{X: 1}, Distance: quantity.MustParse[quantity.Length]("100 mm"), Cover: "thick casting"}))
	for _, at := range []job.Point{{X: 0.2, Y: 0.2}, {X: 0.8, Y: 0.2}, {X: 0.5, Y: 0.8}} {
		do(job.SetBolt(job.BoltSet{Item: item, At: &at}))
	}
	order, err := job.WorkOutBolts(t.Context(), state.BoltMap(item), job.UsualPasses, false)
	if err != nil {
		t.Fatal(err)
	}
	do(job.OrderBolts(order))
	path := "/jobs/" + id + "/bolts?item=" + url.QueryEscape(item)
	if ahead := s.make(path, true); ahead.body != "" || ahead.wrote {
		t.Error("it is made before it is opened")
	}
	if opened := s.get(path); !opened.wrote {
		t.Error("opening it did not begin the step, so nothing was tried")
	}
	if ahead := s.make(path, true); ahead.wrote || ahead.body != s.get(path).body {
		t.Error("once the step is begun another page is made ahead")
	}
}
