package replicate_test

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"lastbolt/exchange/replicate"
	"lastbolt/job"
)

func TestAPhoneWritesInNoNameThatNeverSignedInOnIt(t *testing.T) {
	w := newWorld(t, 1)
	p := w.phones[0]
	p.device = replicate.Device{People: true, Names: []string{"Ann"}}
	p.person = job.Person{Name: "Ann"}
	id := w.begin(w.server, "Belt")
	p.exchange()
	w.write(p.side, id, "Ann", "hers")
	w.write(p.side, id, "Bo", "his")
	w.write(p.side, id, "", "nobody's")
	w.edit(p.side, "v1", "Bo", "his vehicle")
	s := p.exchange()
	if s.Waiting != 0 || len(s.Held) != 1 || !strings.Contains(s.Held[0], "Bo, who has not signed in") {
		t.Errorf("%d wait, held %q", s.Waiting, s.Held)
	}
	if got := holds(t, w.server.st); !strings.Contains(got, "hers") || !strings.Contains(got, "nobody") || strings.Contains(got, "his") {
		t.Errorf("the server holds\n%s", got)
	}
	p.asked = nil
	p.exchange()
	if strings.Contains(strings.Join(p.asked, " "), "POST") {
		t.Errorf("what was not taken is sent again each time: %q", p.asked)
	}
	p.device.Names, p.person = []string{"Ann", "Bo"}, job.Person{Name: "Bo"} // he signs in
	p.exchange()
	w.mustAgree()
}

// A phone's program that was changed asks for nobody's leave: the server
// decides by itself.
func TestTheServerItselfRefusesForeignNamesAndWhoOnlyReads(t *testing.T) {
	w := newWorld(t, 0)
	id := w.begin(w.server, "Belt")
	before := holds(t, w.server.st)
	body, err := json.Marshal(map[string]any{
		"events":    []job.Event{{ID: "9", Job: id, Kind: job.KindNote, At: w.now, By: "Bo", Data: json.RawMessage(`{"text":"forged"}`)}},
		"documents": []map[string]any{{"kind": "vehicle", "id": "v", "version": 1, "at": w.now, "by": "Bo", "body": "aGlz"}},
	})
	if err != nil {
		t.Fatal(err)
	}
	for name, who := range map[string]job.Person{"in hand of another": {Name: "Ann"}, "reads only": {Name: "Bo", ReadOnly: true}} {
		for _, path := range []string{"events", "histories"} {
			ctx := replicate.WithDevice(job.WithPerson(t.Context(), who), replicate.Device{People: true})
			r := httptest.NewRequestWithContext(ctx, "POST", replicate.Prefix+path, bytes.NewReader(body))
			r.Header.Set("Lastbolt-Exchange", replicate.Version)
			out := httptest.NewRecorder()
			w.handle.ServeHTTP(out, r)
			if got := holds(t, w.server.st); got != before {
				t.Errorf("%s, %s: status %d, the server holds\n%s", name, path, out.Code, got)
			}
			if who.ReadOnly && out.Code != http.StatusForbidden || !who.ReadOnly && !strings.Contains(out.Body.String(), "has not signed in") {
				t.Errorf("%s, %s: status %d %s", name, path, out.Code, out.Body)
			}
		}
	}
}

func TestAPhoneThatOnlyReadsGetsEverythingAndSendsNothing(t *testing.T) {
	w := newWorld(t, 1)
	p := w.phones[0]
	p.person = job.Person{Name: "Cy", ReadOnly: true}
	w.begin(p.side, "before it was paired")
	w.begin(w.server, "Belt")
	if s := p.exchange(); s.Trouble != "" || s.Waiting != 1 || !s.You.ReadOnly {
		t.Errorf("%+v", s)
	}
	if got := holds(t, p.st); !strings.Contains(got, "Belt") {
		t.Errorf("it holds\n%s", got)
	}
	if strings.Contains(holds(t, w.server.st), "before") {
		t.Error("the server took what a reader recorded")
	}
}

// What stands between: a door, a hotel's page, a server of another age.
func TestAnAnswerThatIsNoneLeavesEverythingWaiting(t *testing.T) {
	for name, test := range map[string]struct {
		answer http.HandlerFunc
		want   replicate.Trouble
	}{
		"a door that does not know the phone": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set(replicate.DoorHeader, replicate.Stranger)
			w.WriteHeader(403)
		}, replicate.NotLetIn},
		"a door that asks who it is": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set(replicate.DoorHeader, replicate.Unsigned)
			w.WriteHeader(403)
		}, replicate.NoPerson},
		"a hotel's page": {func(w http.ResponseWriter, _ *http.Request) {
			_, _ = w.Write([]byte("<title>Welcome</title>"))
		}, replicate.Away},
		"another age": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Lastbolt-Exchange", "2")
			w.WriteHeader(426)
			_, _ = w.Write([]byte(`{"say":"Open it again.","older":true}`))
		}, replicate.OtherAge},
		"a full disk": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Lastbolt-Exchange", replicate.Version)
			w.WriteHeader(507)
			_, _ = w.Write([]byte(`{"say":"There is no room left."}`))
		}, replicate.Refusing},
		"half an answer": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Lastbolt-Exchange", replicate.Version)
			_, _ = w.Write([]byte(`{"events":[{"id":`))
		}, replicate.Away},
	} {
		t.Run(name, func(t *testing.T) {
			w := newWorld(t, 1)
			p := w.phones[0]
			w.begin(p.side, "Belt")
			good := w.handle
			w.handle = test.answer
			s := p.exchange()
			if s.Trouble != test.want || s.Waiting != 1 || s.Since.IsZero() {
				t.Errorf("trouble %q, %d wait, since %v", s.Trouble, s.Waiting, s.Since)
			}
			w.handle = good
			p.exchange()
			w.mustAgree()
		})
	}
}

func TestAPhotoWithAPlaceInItIsNotTakenAndSaidSo(t *testing.T) {
	w := newWorld(t, 1)
	p := w.phones[0]
	if _, err := p.st.Keep(t.Context(), []byte("place of the photo"), "image/jpeg"); err != nil {
		t.Fatal(err)
	}
	p.cut = nil
	s := p.exchange()
	names, err := w.server.st.Names(context.Background())
	if err != nil || len(names) > 0 {
		t.Errorf("the server has %q %v", names, err)
	}
	if len(s.Held) != 1 || s.Waiting != 0 {
		t.Errorf("held %q, %d wait", s.Held, s.Waiting)
	}
}

func FuzzWhateverIsSentTheServerAnswersAndHarmsNothing(f *testing.F) {
	f.Add("POST", "events", `{"events":[{"id":"1","job":"j","kind":"note","at":"2026-11-25T10:00:00Z"}]}`)
	f.Add("POST", "histories", `{"documents":[{"kind":"vehicle","id":"v","version":1,"at":"2026-11-25T10:00:00Z","body":"aGlz"}]}`)
	f.Add("GET", "events?after=1&from=0&proof=00", "")
	f.Add("GET", "histories?kind=vehicle&id=v", "")
	f.Add("PUT", "files/"+strings.Repeat("a", 64), "x")
	f.Add("GET", "missing?name=..%2f..", "")
	f.Fuzz(func(t *testing.T, method, path, body string) {
		if strings.HasPrefix(path, "live") {
			return // never ends
		}
		w := newWorld(t, 1)
		w.begin(w.server, "kept")
		r, err := http.NewRequestWithContext(t.Context(), method, "http://shop"+replicate.Prefix+path, strings.NewReader(body))
		if err != nil || strings.Contains(r.URL.Path, "live") {
			return
		}
		r.Header.Set("Lastbolt-Exchange", replicate.Version)
		out := httptest.NewRecorder()
		w.handle.ServeHTTP(out, r)
		if out.Code >= 500 && out.Code != http.StatusInsufficientStorage {
			t.Errorf("%s %s %q: status %d %s", method, path, body, out.Code, out.Body)
		}
		if !strings.Contains(holds(t, w.server.st), "kept") {
			t.Error("what was there is gone")
		}
		w.phones[0].exchange() // whatever was taken, a phone can take in
		w.mustAgree()
	})
}

func FuzzWhateverComesBackAPhoneLosesNothing(f *testing.F) {
	f.Add(200, `{"events":[{"id":"1","job":"j","kind":"note","at":"2026-11-25T10:00:00Z"}],"position":1,"you":{}}`)
	f.Add(200, `{"same":false,"documents":[{"kind":"vehicle","id":"v","digest":"x"}]}`)
	f.Add(409, `{"anew":true}`)
	f.Fuzz(func(t *testing.T, status int, body string) {
		if status < 200 || status > 599 {
			return
		}
		w := newWorld(t, 1)
		p := w.phones[0]
		w.begin(p.side, "kept")
		left := 50
		w.handle = http.HandlerFunc(func(out http.ResponseWriter, _ *http.Request) {
			if left--; left < 0 {
				status = 503
			}
			out.Header().Set("Lastbolt-Exchange", replicate.Version)
			out.WriteHeader(status)
			_, _ = out.Write([]byte(body))
		})
		_, _ = p.client.Exchange(t.Context()) // whatever it says of it
		if !strings.Contains(holds(t, p.st), "kept") {
			t.Error("what was there is gone")
		}
	})
}
