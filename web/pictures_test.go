package web

import (
	"errors"
	"strconv"
	"sync"
	"sync/atomic"
	"testing"
)

func TestAPictureIsMadeOnce(t *testing.T) {
	var p pictures
	var made atomic.Int32
	var all sync.WaitGroup
	for range 20 {
		all.Go(func() {
			body, err := p.get("a", func() ([]byte, error) { made.Add(1); return []byte("a"), nil })
			if string(body) != "a" || err != nil {
				t.Errorf("got %q, %v", body, err)
			}
		})
	}
	all.Wait()
	if n := made.Load(); n != 1 {
		t.Errorf("made %d times", n)
	}
}

func TestAPictureThatFailedIsTriedAgain(t *testing.T) {
	var p pictures
	if _, err := p.get("a", func() ([]byte, error) { return nil, errors.New("no disk") }); err == nil {
		t.Fatal("the failure is lost")
	}
	if body, err := p.get("a", func() ([]byte, error) { return []byte("a"), nil }); err != nil || string(body) != "a" {
		t.Errorf("got %q, %v after the disk came back", body, err)
	}
}

func TestPicturesStayWithinTheirRoom(t *testing.T) {
	var p pictures
	made := map[string]int{}
	ask := func(key string) {
		if _, err := p.get(key, func() ([]byte, error) { made[key]++; return make([]byte, mostPictures/10), nil }); err != nil {
			t.Fatal(err)
		}
	}
	for i := range 30 {
		ask(strconv.Itoa(i))
		ask("often")
	}
	if p.bytes > mostPictures || p.order.Len() != len(p.at) || p.order.Len() > 10 {
		t.Errorf("%d bytes in %d of %d pictures", p.bytes, p.order.Len(), len(p.at))
	}
	ask("0")
	if made["often"] != 1 || made["0"] != 2 {
		t.Errorf("the one in use was made %d times, the one long unused %d times; want 1 and 2", made["often"], made["0"])
	}
}
