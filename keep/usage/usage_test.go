package usage_test

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/keep/usage"
	"lastbolt/store/memory"
)

// A shelf is a store with a way to record.
type shelf struct {
	t interface {
		Helper()
		Fatal(...any)
	}
	*memory.Store
	n int
}

func (s *shelf) file(media, content string) string {
	s.t.Helper()
	name, err := s.Keep(context.Background(), []byte(content), media)
	if err != nil {
		s.t.Fatal(err)
	}
	return name
}

func (s *shelf) event(jobID string, data string) {
	s.t.Helper()
	s.n++
	e := job.Event{ID: fmt.Sprintf("%06d", s.n), Job: jobID, Kind: "note", At: time.Date(2031, 5, 4, 0, 0, 0, 0, time.UTC), Data: json.RawMessage(data)}
	if _, err := s.Append(context.Background(), e); err != nil {
		s.t.Fatal(err)
	}
}

func look(t *testing.T, s keep.Sweeper, x *usage.Index) usage.Report {
	t.Helper()
	r, err := usage.Look(t.Context(), s, x)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestAReportSaysWhatTakesRoomByJobLargestFirst(t *testing.T) {
	s, x := &shelf{t: t, Store: memory.New()}, &usage.Index{}
	big, small, hum := s.file("image/jpeg", strings.Repeat("p", 3000)), s.file("image/png", "small"), s.file("audio/webm", strings.Repeat("a", 500))
	s.event("one", `{"file":"`+small+`"}`)
	s.event("two", `{"step":"a", "file" : "`+big+`"}`)
	s.event("two", `{"file":"`+hum+`"}`)
	s.event("two", `{"picture":"`+small+`"}`)
	for range 2 { // the second look reads on where the first stopped
		r := look(t, s, x)
		if r.Photos != (usage.Sum{Files: 2, Bytes: 3005}) || r.Clips != (usage.Sum{Files: 1, Bytes: 500}) || r.Files().Files != 3 {
			t.Errorf("photos %+v, clips %+v", r.Photos, r.Clips)
		}
		if len(r.Jobs) != 2 || r.Jobs[0].ID != "two" || r.Jobs[0].Photos.Bytes != 3005 || r.Jobs[0].Clips.Files != 1 || r.Jobs[1].Photos.Bytes != 5 {
			t.Errorf("jobs %+v", r.Jobs)
		}
		if len(r.Orphans)+len(r.Lost)+len(r.Strays) != 0 {
			t.Errorf("orphans %v, lost %v, strays %v", r.Orphans, r.Lost, r.Strays)
		}
	}
	s.event("three", `{"photo":"`+big+`"}`)
	if r := look(t, s, x); len(r.Jobs) != 3 || r.Jobs[1].ID != "three" {
		t.Errorf("after one event more: %+v", r.Jobs)
	}
}

func TestAFileAnythingMentionsIsNoOrphan(t *testing.T) {
	s, x := &shelf{t: t, Store: memory.New()}, &usage.Index{}
	undone, unknown, document, old, orphan := s.file("image/jpeg", "undone"), s.file("image/jpeg", "unknown field"), s.file("image/jpeg", "document"), s.file("image/jpeg", "old version"), s.file("image/jpeg", "orphan")
	s.event("one", `{"file":"`+undone+`"}`)
	s.event("one", `{"event":"000001"}`) // an undo
	s.event("one", `{"deep":{"er":["see `+unknown+`, to the left"]}}`)
	for i, body := range []string{`{"cover":"` + old + `"}`, `{"cover":"` + document + `"}`} {
		if _, err := s.Put(t.Context(), garage.Document{Kind: "vehicle", ID: "tern", Body: []byte(body)}, i); err != nil {
			t.Fatal(err)
		}
	}
	r := look(t, s, x)
	if len(r.Orphans) != 1 || r.Orphans[0].Name != orphan {
		t.Errorf("orphans %v, want %s alone", r.Orphans, orphan)
	}
	missing := strings.Repeat("ab", 32)
	s.event("one", `{"file":"`+missing+`"}`)
	s.event("two", `{"file":"`+missing+`","hash":"`+strings.Repeat("cd", 32)+`"}`)
	r = look(t, s, x)
	if len(r.Lost) != 1 || r.Lost[0].Name != missing || !slices.Equal(r.Lost[0].Jobs, []string{"one", "two"}) || r.Lost[0].Listed {
		t.Errorf("lost %+v, want %s of both jobs", r.Lost, missing)
	}
}

func TestASweepTakesOldOrphansAndNothingElse(t *testing.T) {
	s, x := &shelf{t: t, Store: memory.New()}, &usage.Index{}
	s.file("image/jpeg", "orphan")
	used := s.file("image/jpeg", "used")
	s.event("one", `{"file":"`+used+`"}`)
	r := look(t, s, x)
	if got, err := usage.Sweep(t.Context(), s, r, time.Now().Add(-usage.Age)); err != nil || got.Removed.Files != 0 || got.Young.Files != 1 {
		t.Errorf("a young orphan: %+v, %v", got, err)
	}
	// Recorded between the look and the sweep: it stays.
	late := s.file("image/jpeg", "late")
	r = look(t, s, x)
	s.event("one", `{"file":"`+late+`"}`)
	got, err := usage.Sweep(t.Context(), s, r, time.Now().Add(time.Hour))
	if err != nil || got.Removed != (usage.Sum{Files: 1, Bytes: int64(len("orphan"))}) {
		t.Errorf("swept %+v, %v; want the one orphan", got, err)
	}
	if names, _ := s.Names(t.Context()); len(names) != 2 {
		t.Errorf("%d files are left, want the used one and the late one", len(names))
	}
}

// Whatever is recorded, a sweep leaves every file that an event mentions.
func TestASweepNeverTakesWhatIsMentioned(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s, x := &shelf{t: rt, Store: memory.New()}, &usage.Index{}
		var files []string
		mentioned := map[string]bool{}
		for i := range rapid.IntRange(1, 12).Draw(rt, "files") {
			files = append(files, s.file("image/jpeg", fmt.Sprint(i)))
		}
		record := func() {
			name := rapid.SampledFrom(files).Draw(rt, "file")
			around := rapid.SampledFrom([]string{`{"file":"%s"}`, `{"x":["%s"]}`, `"%s"`, `{"note":"was %s."}`, `{"%s":1}`}).Draw(rt, "how")
			s.event("one", fmt.Sprintf(around, name))
			mentioned[name] = true
		}
		for range rapid.IntRange(0, 6).Draw(rt, "before") {
			record()
		}
		r, err := usage.Look(context.Background(), s, x)
		if err != nil {
			rt.Fatal(err)
		}
		for range rapid.IntRange(0, 3).Draw(rt, "in between") {
			record()
		}
		if _, err := usage.Sweep(context.Background(), s, r, time.Now().Add(time.Hour)); err != nil {
			rt.Fatal(err)
		}
		left, _ := s.Names(context.Background())
		for _, name := range files {
			if there := slices.Contains(left, name); there != mentioned[name] {
				rt.Errorf("%s: there %t, mentioned %t", name, there, mentioned[name])
			}
		}
	})
}

func TestADiskIsLowBeforeItIsFull(t *testing.T) {
	const gb, mb = 1 << 30, 1 << 20
	for _, row := range []struct {
		free, total int64
		want        usage.Level
	}{
		{500 * gb, 1000 * gb, usage.Enough}, {1 * gb, 1000 * gb, usage.Enough}, {gb - 1, 1000 * gb, usage.Low},
		{256 * mb, 1000 * gb, usage.Low}, {255 * mb, 1000 * gb, usage.Last}, {0, 1000 * gb, usage.Last},
		{300 * mb, 2 * gb, usage.Enough}, {150 * mb, 2 * gb, usage.Low}, {40 * mb, 2 * gb, usage.Last},
		{0, 0, usage.Enough}, {4 * mb, 16 * mb, usage.Enough}, {1 * mb, 16 * mb, usage.Low},
	} {
		if got := usage.LevelOf(row.free, row.total); got != row.want {
			t.Errorf("%d MB of %d MB: level %d, want %d", row.free/mb, row.total/mb, got, row.want)
		}
	}
}
