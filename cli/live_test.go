package cli_test

import (
	"bufio"
	"bytes"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"lastbolt/store/pgtest"
)

// follow opens a live page's stream and hands on the data of every event.
func (s *server) follow(id, lastSeen string) <-chan string {
	s.t.Helper()
	r, err := http.NewRequestWithContext(s.t.Context(), "GET", s.url+"jobs/"+id+"/live", nil)
	if err != nil {
		s.t.Fatal(err)
	}
	r.Header.Set("Accept", "text/event-stream")
	if lastSeen != "" {
		r.Header.Set("Last-Event-ID", lastSeen)
	}
	stream, err := http.DefaultClient.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { stream.Body.Close() })
	if stream.StatusCode != http.StatusOK {
		s.t.Fatalf("the stream answers with status %d", stream.StatusCode)
	}
	told, begun := make(chan string, 1000), make(chan bool)
	go func() {
		lines := bufio.NewScanner(stream.Body)
		for first := true; lines.Scan(); first = false {
			if first {
				close(begun)
			}
			if data, ok := strings.CutPrefix(lines.Text(), "data: "); ok {
				told <- data
			}
		}
		close(told)
	}()
	select {
	case <-begun: // it watches from here on
	case <-time.After(10 * time.Second):
		s.t.Fatal("the stream does not begin")
	}
	return told
}

// hears waits for one event.
func hears(t *testing.T, who string, told <-chan string) (data string) {
	t.Helper()
	select {
	case data, ok := <-told:
		if !ok {
			t.Fatalf("%s: the stream ended", who)
		}
		return data
	case <-time.After(15 * time.Second):
		t.Fatalf("%s hears of nothing", who)
		return ""
	}
}

func TestPhonesOnEveryServerOfOneDatabaseHearOfAChange(t *testing.T) {
	for _, test := range []struct {
		name string
		args func(dir string) []string
	}{
		{"SQLite", func(dir string) []string { return []string{"serve", "--dir", dir} }},
		{"PostgreSQL", func(dir string) []string {
			url := place(t, pgtest.Start(t))
			shell{t}.does("move", "--to", url, "--dir", dir)
			return []string{"serve", "--dir", dir, "--database", url}
		}},
	} {
		t.Run(test.name, func(t *testing.T) {
			dir := t.TempDir()
			id := demoFolder(t, dir)
			args := test.args(dir)
			first, second := serving(t, args...), serving(t, args...)
			here, there := first.follow(id, ""), second.follow(id, "")
			if status, body := first.post("jobs/"+id+"/note", url.Values{"text": {"a clip was broken"}}); status != http.StatusOK {
				t.Fatalf("status %d: %s", status, body)
			}
			at := hears(t, "a phone on the same server", here)
			if got := hears(t, "a phone on the other server", there); got != at {
				t.Errorf("one is told of %s events, the other of %s", at, got)
			}
			if _, body := second.get("jobs/" + id + "/record"); !strings.Contains(body, "a clip was broken") {
				t.Error("the other server does not show the note")
			}
			// Who comes back after a cut hears at once what it missed.
			hears(t, "a phone that was away", second.follow(id, "1"))
		})
	}
}

func TestPagesSayThatTheServerWentAwayAndGoOnByThemselves(t *testing.T) {
	server, dir := pgtest.Start(t), t.TempDir()
	id, at := demoFolder(t, dir), place(t, server)
	shell{t}.does("move", "--to", at, "--dir", dir)
	s := serving(t, "serve", "--dir", dir, "--database", at)
	phone := s.follow(id, "")
	note := func(text string) (int, string) { return s.post("jobs/"+id+"/note", url.Values{"text": {text}}) }

	if err := server.Down("fast"); err != nil {
		t.Fatal(err)
	}
	status, body := note("the hose clip sits at the back")
	if status != http.StatusServiceUnavailable {
		t.Errorf("without its database the page answers with status %d", status)
	}
	contains(t, "the page", body, "The PostgreSQL server at 127.0.0.1:", "Nothing was saved this time")
	if err := server.Up(); err != nil {
		t.Fatal(err)
	}
	if status, body := note("the hose clip sits at the front"); status != http.StatusOK {
		t.Fatalf("with its database back the page answers with status %d: %s", status, body)
	}
	hears(t, "a phone that followed all along", phone)
	_, body = s.get("jobs/" + id + "/record")
	contains(t, "the record", body, "the hose clip sits at the front")
	if said := s.out.String() + s.err.String(); strings.Contains(said, pgtest.Password) || strings.Contains(body, "sits at the back") {
		t.Errorf("the log says %q, or the note that was refused is there", said)
	}
}

// Two machines on one database have one list of people and phones, though each
// has an authority of its own.
func TestMachinesOnOneDatabaseShareTheirPeople(t *testing.T) {
	at := place(t, pgtest.Start(t))
	machine := func() (*server, string) {
		dir := t.TempDir()
		return serving(t, "serve", "--dir", dir, "--database", at, "--lan", "--lan-listen", "127.0.0.1:0"), dir
	}
	first, here := machine()
	second, there := machine()
	if status, body := first.post("phones/add-person", url.Values{"name": {"Ada"}, "role": {"owner"}, "pin": {"246813"}}); status != http.StatusOK {
		t.Fatalf("status %d: %s", status, body)
	}
	for deadline := time.Now().Add(10 * time.Second); ; time.Sleep(50 * time.Millisecond) {
		if _, body := second.get("phones"); strings.Contains(body, "Ada") {
			break
		}
		if time.Now().After(deadline) {
			t.Fatal("the other machine does not know the person")
		}
	}
	a, errA := os.ReadFile(filepath.Join(here, "lan", "authority.pem"))
	b, errB := os.ReadFile(filepath.Join(there, "lan", "authority.pem"))
	if errA != nil || errB != nil || bytes.Equal(a, b) {
		t.Errorf("the authorities: %v, %v, the same: %v", errA, errB, bytes.Equal(a, b))
	}
}
