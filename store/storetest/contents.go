package storetest

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"sync"
	"testing"

	"lastbolt/fault"
	"lastbolt/keep"
)

// RunContents runs what every [keep.Contents] must show. Open returns an empty
// one and sees to its closing; spoil changes a content behind its back, and with
// nil takes it away.
func RunContents(t *testing.T, open func(t *testing.T) (c keep.Contents, spoil func(name string, content []byte))) {
	for _, test := range []struct {
		name string
		run  func(*testing.T, keep.Contents, func(string, []byte))
	}{
		{"what is kept comes back to the byte, and is kept once", contentsComeBack},
		{"what is gone or changed is damaged, and never shown", contentsDamaged},
		{"keeping again mends what was damaged and touches nothing else", contentsMended},
		{"a list has what is there and nothing else", contentsListed},
		{"what is taken away is gone, and a second time is no error", contentsRemoved},
		{"many writers of one content leave it whole", contentsTogether},
		{"a cancelled call keeps nothing", contentsCancelled},
	} {
		t.Run(test.name, func(t *testing.T) {
			c, spoil := open(t)
			test.run(t, c, spoil)
		})
	}
}

func kept(t *testing.T, c keep.Contents, content []byte) string {
	t.Helper()
	name := keep.Hash(content)
	if err := c.Keep(t.Context(), name, content); err != nil {
		t.Fatal(err)
	}
	return name
}

func contentsComeBack(t *testing.T, c keep.Contents, _ func(string, []byte)) {
	for _, content := range [][]byte{{0}, []byte("a photo"), bytes.Repeat([]byte("0123456789abcdef"), 1<<16)} {
		name := kept(t, c, content)
		kept(t, c, content)
		if got := must[[]byte](t)(c.Read(t.Context(), name)); !bytes.Equal(got, content) {
			t.Errorf("%d bytes came back as %d", len(content), len(got))
		}
	}
	if all := must[[]keep.Content](t)(c.All(t.Context())); len(all) != 3 {
		t.Errorf("%d are there, want 3", len(all))
	}
}

func contentsDamaged(t *testing.T, c keep.Contents, spoil func(string, []byte)) {
	gone, changed, cut := kept(t, c, []byte("gone")), kept(t, c, []byte("changed")), kept(t, c, []byte("cut short"))
	spoil(gone, nil)
	spoil(changed, []byte("chanced"))
	spoil(cut, []byte("cut"))
	for _, name := range []string{gone, changed, cut, keep.Hash([]byte("never was"))} {
		content, err := c.Read(t.Context(), name)
		if !fault.Is(err, fault.Damaged) || content != nil || !strings.Contains(fault.Say(err), name) {
			t.Errorf("got %q and %v, want a Damaged fault that names it", content, err)
		}
	}
}

func contentsMended(t *testing.T, c keep.Contents, spoil func(string, []byte)) {
	name, other := kept(t, c, []byte("mended")), kept(t, c, []byte("other"))
	for _, with := range [][]byte{[]byte("m"), nil} {
		spoil(name, with)
		kept(t, c, []byte("mended"))
		if got := must[[]byte](t)(c.Read(t.Context(), name)); string(got) != "mended" {
			t.Errorf("it reads %q", got)
		}
	}
	if got := must[[]byte](t)(c.Read(t.Context(), other)); string(got) != "other" {
		t.Errorf("the other one reads %q", got)
	}
}

func contentsListed(t *testing.T, c keep.Contents, _ func(string, []byte)) {
	want := []string{}
	for i := range 30 {
		want = append(want, kept(t, c, bytes.Repeat([]byte("x"), i+1)))
	}
	got := must[[]keep.Content](t)(c.All(t.Context()))
	names := []string{}
	for _, x := range got {
		names = append(names, x.Name)
		if x.Bytes < 1 || x.Bytes > 30 || x.At.IsZero() {
			t.Errorf("%s has %d bytes and was written at %v", x.Name, x.Bytes, x.At)
		}
	}
	slices.Sort(names)
	slices.Sort(want)
	same(t, "the list", names, want)
}

func contentsRemoved(t *testing.T, c keep.Contents, _ func(string, []byte)) {
	name, other := kept(t, c, []byte("to go")), kept(t, c, []byte("to stay"))
	for range 2 {
		if err := c.Remove(t.Context(), name); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := c.Read(t.Context(), name); !fault.Is(err, fault.Damaged) {
		t.Errorf("it can still be read: %v", err)
	}
	if _, err := c.Read(t.Context(), other); err != nil {
		t.Errorf("the other one is gone too: %v", err)
	}
}

func contentsTogether(t *testing.T, c keep.Contents, _ func(string, []byte)) {
	content := bytes.Repeat([]byte("together "), 1<<12)
	name := keep.Hash(content)
	var all sync.WaitGroup
	for range 8 {
		all.Go(func() {
			if err := c.Keep(t.Context(), name, content); err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	if got := must[[]byte](t)(c.Read(t.Context(), name)); !bytes.Equal(got, content) {
		t.Error("it is not whole")
	}
}

func contentsCancelled(t *testing.T, c keep.Contents, _ func(string, []byte)) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := c.Keep(ctx, keep.Hash([]byte("late")), []byte("late")); err == nil {
		t.Error("it was kept")
	}
	if all := must[[]keep.Content](t)(c.All(t.Context())); len(all) != 0 {
		t.Errorf("%d are there", len(all))
	}
}
