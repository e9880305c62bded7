// Package browser drives a real browser in tests: a headless Chromium, opened
// once a test binary, and tabs that behave like a mechanic's phone or like a
// desk.
//
// Start with [Phone] or [Desktop]; a test binary that uses them should have
//
//	func TestMain(m *testing.M) { browser.Main(m) }
//
// so that the browser is closed at the end. Every helper waits for what it
// needs and, when it does not come, fails the test with a sentence that names
// what was looked for, the page's address and the words on the page. Where
// Chromium is missing the test skips and says how to install it.
//
// The engine is Chromium's whatever the tab pretends to be; how other browsers
// behave is not tested here.
package browser

import (
	"context"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// patience is how long a helper waits for what it needs. It is long because
// the test machine may be slow; nothing waits longer than it must.
const patience = 20 * time.Second

// shared is the browser of this test binary.
var shared struct {
	once sync.Once
	ctx  context.Context // carries the browser
	stop context.CancelFunc
	err  error
}

// Main runs the tests of a package, closes the browser, does what is to be done
// after, and exits.
func Main(m *testing.M, after ...func()) {
	code := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	for _, do := range after {
		do()
	}
	os.Exit(code)
}

// Start opens the browser unless it is open already. [Phone] and [Desktop]
// call it; a test calls it only to skip early where there is no browser.
func Start(t testing.TB) {
	t.Helper()
	program := chromium()
	if program == "" {
		t.Skip("Chromium is missing, so the pages were not tried in a browser; install it with: apt-get install -y chromium")
	}
	shared.once.Do(func() { shared.ctx, shared.stop, shared.err = launch(program) })
	if shared.err != nil {
		t.Fatalf("Chromium did not start: %v", shared.err)
	}
}

func chromium() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// insecureName resolves to this machine in the test browser only. A page from
// it over plain HTTP is not a secure context, unlike one from 127.0.0.1.
const insecureName = "shop.lastbolt.test"

// localNames, names of a home network, resolve to this machine in the test
// browser: a page from them is a secure context only over TLS that it trusts.
const localNames = "*.local"

func launch(program string) (context.Context, context.CancelFunc, error) {
	home, err := homeThatTrusts()
	if err != nil {
		return nil, nil, err
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(program),
		chromedp.DisableGPU,
		chromedp.WSURLReadTimeout(time.Minute),
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.Flag("host-resolver-rules", "MAP "+insecureName+" 127.0.0.1, MAP "+localNames+" 127.0.0.1"),
		chromedp.Flag("use-fake-device-for-media-stream", true),
		chromedp.Flag("use-fake-ui-for-media-stream", true),
	)
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // Chromium's sandbox refuses root
	}
	if home != "" {
		options = append(options, chromedp.Env("HOME="+home))
	}
	allocated, freeAllocator := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, closeBrowser := chromedp.NewContext(allocated)
	stop := func() {
		closeBrowser()
		freeAllocator() // waits for the process, removes its profile
		if home != "" {
			_ = os.RemoveAll(home) // in the system's folder for such
		}
	}
	if err := chromedp.Do(ctx); err != nil {
		stop()
		return nil, nil, err
	}
	return ctx, stop, nil
}

// Phone opens a tab like a phone's: 390 by 844 CSS pixels at scale 3, with
// touch. Every tab has cookies, storage and service workers of its own, so two
// tabs are two devices. The tab closes at the end of the test.
func Phone(t testing.TB) *Tab {
	t.Helper()
	return open(t, 390, 844, chromedp.EmulateScale(3), chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait)
}

// Desktop opens a tab of 1280 by 900 CSS pixels with a mouse.
func Desktop(t testing.TB) *Tab {
	t.Helper()
	return open(t, 1280, 900)
}

// Narrow opens a phone's tab of 320 by 640 CSS pixels: the narrowest screen
// that must work without scrolling sideways (WCAG 2.2, 1.4.10 Reflow).
func Narrow(t testing.TB) *Tab {
	t.Helper()
	return open(t, 320, 640, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait)
}

func open(t testing.TB, width, height int64, as ...chromedp.EmulateViewportOption) *Tab {
	t.Helper()
	Start(t)
	tab := &Tab{t: t, width: int(width), touch: len(as) > 0, wait: patience}
	ctx, closeTab := chromedp.NewContext(shared.ctx, chromedp.WithNewBrowserContext(), chromedp.WithListener(tab.hear))
	t.Cleanup(closeTab)
	tab.ctx = ctx
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, height, as...)); err != nil {
		t.Fatalf("a browser tab did not open: %v", err)
	}
	t.Cleanup(func() {
		for _, e := range tab.Exceptions() {
			t.Errorf("the page's script failed: %s", e)
		}
	})
	return tab
}

// hear takes the tab's events: what its script complains of, and whether a
// page is on its way. It must not send commands.
func (b *Tab) hear(ev any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch e := ev.(type) {
	case *page.EventFrameStartedLoading:
		b.loading = true
	case *page.EventFrameStoppedLoading:
		b.loading = false
	case *runtime.EventExceptionThrown:
		text := e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil && x.Description != "" {
			text = x.Description
		}
		b.exceptions = append(b.exceptions, text)
	case *log.EventEntryAdded:
		b.console = append(b.console, string(e.Entry.Level)+": "+e.Entry.Text+" "+e.Entry.URL)
	case *runtime.EventConsoleAPICalled:
		text := string(e.Type) + ":"
		for _, a := range e.Args {
			text += " " + string(a.Value) + a.Description
		}
		b.console = append(b.console, text)
	}
}
