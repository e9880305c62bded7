package browsertest

import (
	"compress/gzip"
	"context"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"lastbolt/demo"
	"lastbolt/internal/browser"
	"lastbolt/store/sqlite"
)

var phoneFile struct {
	once sync.Once
	path string
}

// withPhones are the arguments by which a server hands out the phone's program,
// which is built once.
func withPhones(t *testing.T) []string {
	t.Helper()
	build(t)
	phoneFile.once.Do(func() {
		wasm := filepath.Join(binary.dir, "phone.wasm")
		forPhone(t, "build", "-trimpath", "-ldflags", "-s -w", "-o", wasm, "lastbolt/cmd/phone")
		content, err := os.ReadFile(wasm)
		if err != nil {
			t.Fatal(err)
		}
		out, err := os.Create(wasm + ".gz")
		if err != nil {
			t.Fatal(err)
		}
		z, _ := gzip.NewWriterLevel(out, gzip.BestSpeed)
		if _, err := z.Write(content); err != nil || z.Close() != nil || out.Close() != nil {
			t.Fatal("the phone's program could not be packed")
		}
		phoneFile.path = wasm + ".gz"
	})
	if phoneFile.path == "" {
		t.Fatal("the phone's program could not be built")
	}
	return []string{"--program", phoneFile.path, "--glue", glue(t)}
}

// exchangeShop starts the program on the demo's jobs, with the phone's program
// to hand out.
func exchangeShop(t *testing.T) *server {
	t.Helper()
	browser.Start(t)
	s := &server{t: t, dir: filepath.Join(t.TempDir(), "shop"), args: withPhones(t)}
	s.fill(func(ctx context.Context, st *sqlite.Store) error { return demo.Fill(ctx, st, time.Now()) })
	s.start("127.0.0.1:0")
	return s
}

// keeping has a phone keep the program and everything that the server has.
func keeping(tab *browser.Tab, origin string) {
	tab.Open(origin + "/jobs")
	tab.Tap("Keep working without network")
	tab.ScreenshotScreen("exchange-offer")
	tab.Tap("Keep it on this phone")
	tab.WaitText("Jobs in hand")
	tab.WaitText("Sent, ")
}

// Two phones keep everything themselves. Both record on one job while the
// network is cut; the server is killed meanwhile. When it is back, both show
// the same.
func TestTwoPhonesWithoutNetworkShowTheSameOnceItIsBack(t *testing.T) {
	s := exchangeShop(t)
	one, two := s.onJob(halfApart, browser.Phone(t)), s.onJob(halfApart, browser.Phone(t))
	keeping(one.tab, s.url)
	keeping(two.tab, s.url)
	one.tab.ScreenshotScreen("exchange-jobs")
}
