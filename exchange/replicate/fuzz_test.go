package replicate_test

import (
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"lastbolt/exchange/replicate"
	"lastbolt/job"
)

// FuzzServer sends the server anything: it takes it or says what is wrong, and is
// never found broken.
func FuzzServer(f *testing.F) {
	for _, seed := range [][3]string{
		{"POST", "events", `{"events":[{"id":"1","job":"j","kind":"note","at":"2026-01-02T03:04:05Z","data":{"text":"x"}}]}`},
		{"POST", "events", `{"events":[{"id":"1","job":"j","kind":"note","at":"2026-01-02T03:04:05Z"},{"id":"1","job":"k","kind":"x","at":"9999-12-31T23:59:59.999999999-23:00","data":1}]}`},
		{"POST", "histories", `{"documents":[{"kind":"map","id":"m","version":1,"at":"2026-01-02T03:04:05Z","body":"eA=="}]}`},
		{"POST", "histories", `{"documents":[{"kind":"map","id":"m","version":-1,"at":"0001-01-01T00:00:00Z","body":null},{"kind":"map","id":"m","version":-1,"at":"2026-01-02T03:04:05Z"}]}`},
		{"GET", "events?after=5&last=x", ""}, {"GET", "documents?digest=x", ""}, {"GET", "histories?kind=map&id=m", ""},
		{"GET", "missing?name=x", ""}, {"GET", "files/../x", ""}, {"PUT", "files/" + strings.Repeat("0", 64), "photo"},
	} {
		f.Add(seed[0], seed[1], []byte(seed[2]))
	}
	f.Fuzz(func(t *testing.T, method, path string, body []byte) {
		if strings.HasPrefix(path, "live") || strings.ContainsAny(path, " \t\r\n\x00#%") {
			return // one never ends; the others are no address
		}
		w := newWorld(t, 1)
		r := httptest.NewRequest(http.MethodGet, replicate.Prefix, strings.NewReader(string(body)))
		u, err := r.URL.Parse(replicate.Prefix + path)
		if err != nil {
			return
		}
		r.Method, r.URL = method, u
		r.Header.Set("Lastbolt-Exchange", replicate.Version)
		out := httptest.NewRecorder()
		w.handle.ServeHTTP(out, r)
		if out.Code >= 500 {
			t.Fatalf("status %d: %s", out.Code, out.Body)
		}
		// What was taken comes to a phone.
		if _, err := w.phones[0].client.Exchange(t.Context()); err != nil {
			t.Fatal(err)
		}
		a, _, err := w.server.st.Changed(t.Context(), 0, 0)
		if err != nil {
			t.Fatal(err)
		}
		b, _, err := w.phones[0].st.Changed(t.Context(), 0, 0)
		if err != nil || len(a) != len(b) {
			t.Fatalf("the server has %d records, the phone %d (%v)", len(a), len(b), err)
		}
	})
}

// FuzzAnswers gives the phone any answers: it never fails for them but by saying
// that the exchange was not done, and keeps what it has.
func FuzzAnswers(f *testing.F) {
	f.Add(200, []byte(`{"events":[{"id":"1","job":"j","kind":"note","at":"2026-01-02T03:04:05Z"}],"position":1,"you":{"anybody":true}}`), []byte(`{"same":true}`))
	f.Add(200, []byte(`{"events":[],"position":-9,"you":{"readOnly":true}}`), []byte(`{"documents":[{"kind":"map","id":"m","digest":"x"}]}`))
	f.Add(200, []byte(`{"events":[{}],"position":1}`), []byte(`0`))
	f.Add(200, []byte(`{"events":[],"position":0,"you":{}}`), []byte(`{"documents":[{"kind":"map","id":"m","digest":"x","version":1,"body":"/w=="}]}`))
	f.Add(409, []byte(`{"say":"no","anew":true}`), []byte(`{}`))
	f.Add(422, []byte(`{"say":"no"}`), []byte(`null`))
	f.Fuzz(func(t *testing.T, status int, first, then []byte) {
		w := newWorld(t, 1)
		p := w.phones[0]
		s, err := p.book.Start(t.Context(), job.Started{Vehicle: "Tern van 1.4"})
		if err != nil {
			t.Fatal(err)
		}
		asked := 0
		p.client.Send = func(context.Context, replicate.Ask) (replicate.Answer, error) {
			body := first
			if asked++; asked%2 == 0 {
				body = then
			}
			if asked > 60 {
				t.Fatal("it asks without end")
			}
			return replicate.Answer{Status: status, Body: body, Header: func(name string) string {
				if name == "Lastbolt-Exchange" {
					return replicate.Version
				}
				return ""
			}}, nil
		}
		if _, err := p.client.Exchange(t.Context()); err != nil {
			t.Fatal(err)
		}
		if _, err := p.book.Load(t.Context(), s.ID); err != nil {
			t.Fatal(err)
		}
	})
}
