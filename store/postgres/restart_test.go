package postgres_test

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"lastbolt/fault"
	"lastbolt/store/pgtest"
	"lastbolt/store/postgres"
	"lastbolt/store/storetest"
)

// A mechanic records one event after another, and each again until it is
// acknowledged, as a page does whose button is pressed again.
type mechanic struct {
	job          string
	acknowledged int
	refusals     map[fault.Code]int
}

func (m *mechanic) work(t *testing.T, s *postgres.Store, stop <-chan struct{}) {
	for {
		select {
		case <-stop:
			return
		default:
		}
		_, err := s.Append(context.Background(), storetest.Event(m.job, m.acknowledged))
		if err == nil {
			m.acknowledged++
			continue
		}
		m.refusals[fault.CodeOf(err)]++
		if say := fault.Say(err); !strings.HasPrefix(say, "The PostgreSQL server at 127.0.0.1:") || strings.Contains(err.Error(), pgtest.Password) {
			t.Errorf("says %q", err)
		}
		time.Sleep(10 * time.Millisecond)
	}
}

func TestAServerStartedAnewUnderWorkLosesNothingAndIsFoundAgain(t *testing.T) {
	server := pgtest.Start(t)
	s := open(t, fresh(t, server), t.TempDir())
	told, end := s.Watch("job-0")
	defer end()

	stop := make(chan struct{})
	var wait sync.WaitGroup
	var reads, unread atomic.Int64
	mechanics := make([]*mechanic, 4)
	for i := range mechanics {
		mechanics[i] = &mechanic{job: fmt.Sprintf("job-%d", i), refusals: map[fault.Code]int{}}
		wait.Go(func() { mechanics[i].work(t, s, stop) })
	}
	wait.Go(func() { // a page is looked at meanwhile
		for {
			select {
			case <-stop:
				return
			case <-time.After(time.Millisecond):
			}
			if _, err := s.Events(context.Background(), "job-0"); err == nil {
				reads.Add(1)
			} else if unread.Add(1); !fault.Is(err, fault.Busy) {
				t.Errorf("reading says %v", err)
			}
		}
	})
	for _, mode := range []string{"fast", "immediate", "fast"} {
		time.Sleep(200 * time.Millisecond)
		if err := server.Down(mode); err != nil {
			t.Fatal(err)
		}
		time.Sleep(100 * time.Millisecond) // it is missed
		if err := server.Up(); err != nil {
			t.Fatal(err)
		}
	}
	time.Sleep(200 * time.Millisecond)
	close(stop)
	wait.Wait()

	refused := 0
	for _, m := range mechanics {
		list, err := s.Events(t.Context(), m.job)
		if err != nil {
			t.Fatal(err)
		}
		// One more may be stored than was said: the answer was lost, not the event.
		if n := len(list); n != m.acknowledged && n != m.acknowledged+1 {
			t.Errorf("%s: %d events, %d were acknowledged", m.job, n, m.acknowledged)
		}
		for i, e := range list {
			if want := storetest.Event(m.job, i); e.ID != want.ID {
				t.Fatalf("%s: event %d is %s", m.job, i, e.ID)
			}
		}
		for code, n := range m.refusals {
			if refused += n; code != fault.Busy {
				t.Errorf("%s: refused with code %q", m.job, code)
			}
		}
	}
	t.Logf("%d times refused, %d reads, %d of them refused", refused, reads.Load()+unread.Load(), unread.Load())
	if refused < 3 || unread.Load() == 0 {
		t.Error("nobody noticed that the server was away: this proves nothing")
	}

	// Who watched before the server went away still hears.
	for len(told) > 0 {
		<-told
	}
	deadline := time.After(20 * time.Second)
	for n := 1_000_000; ; n++ {
		if _, err := s.Append(t.Context(), storetest.Event("job-0", n)); err != nil {
			t.Fatal(err)
		}
		select {
		case <-told:
			return
		case <-time.After(100 * time.Millisecond):
		case <-deadline:
			t.Fatal("who watches hears of nothing any more")
		}
	}
}
