package lan

import (
	"fmt"
	"sync"
	"testing"
	"time"
)

// Two doors on one folder are two processes: what one changes the other knows
// at its next request, and neither undoes what the other has just done.
func TestTwoProcessesShareOneListOfPhonesAndPeople(t *testing.T) {
	dir := t.TempDir()
	open := func() *Door {
		d, err := Open(dir, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		d.rounds = 1
		return d
	}
	first, second := open(), open()
	if !first.Authority.root.Equal(second.Authority.root) {
		t.Error("each has an authority of its own")
	}
	if err := first.AddPerson("Ada", Owner, "246813"); err != nil {
		t.Fatal(err)
	}
	code, _ := second.Code()
	token, err := second.Pair(code, "the red phone", "10.0.0.7")
	if err != nil {
		t.Fatal(err)
	}
	x, ok := first.device(token)
	if !ok || len(second.People()) != 1 {
		t.Fatalf("one knows the phone the other paired: %v; people: %v", ok, second.People())
	}
	if err := first.Remove(x.ID); err != nil {
		t.Fatal(err)
	}
	if _, ok := second.device(token); ok {
		t.Error("a phone put out by one is let in by the other")
	}

	var wait sync.WaitGroup
	const each = 20
	for i, d := range []*Door{first, second} {
		wait.Go(func() {
			for n := range each {
				if err := d.AddPerson(fmt.Sprintf("person %d of %d", n, i), Mechanic, "135792"); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wait.Wait()
	if a, b := len(first.People()), len(second.People()); a != 1+2*each || b != a {
		t.Errorf("%d and %d people, want %d", a, b, 1+2*each)
	}
}
