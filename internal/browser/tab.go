package browser

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/serviceworker"
	"github.com/chromedp/chromedp"
)

// reporter is the part of testing.TB that helpers use.
type reporter interface {
	Helper()
	Name() string
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
	Skip(args ...any)
}

// Tab is one page of the browser, on a device of its own. It belongs to one
// test and one goroutine.
//
// Where a helper takes "what", that is a CSS selector, or else words: the
// words on a button, link or other thing to tap, or the label of a field.
// Whole words come before beginnings, beginnings before parts.
type Tab struct {
	t     reporter
	ctx   context.Context
	width int // CSS pixels
	touch bool
	wait  time.Duration // how long helpers wait

	rejoin func() // ends what Offline(true) began; nil while there is a network

	mu         sync.Mutex
	loading    bool
	exceptions []string
	console    []string
}

// Open goes to an address and waits until the page has loaded.
func (b *Tab) Open(address string) {
	b.t.Helper()
	b.do("open "+address, chromedp.Navigate(address))
}

// Reload loads the page again.
func (b *Tab) Reload() {
	b.t.Helper()
	b.do("load the page again", chromedp.Reload())
}

// Back goes to the page before, as the phone's back gesture does.
func (b *Tab) Back() {
	b.t.Helper()
	const now = "location.href + ' ' + performance.timeOrigin"
	before := Eval[string](b, now)
	b.Do("history.back()")
	// A page kept in memory is shown again without loading, so there is no load
	// event to wait for.
	b.WaitFor("the page before", fmt.Sprintf("%s !== %q && document.readyState === 'complete'", now, before))
}

// URL is the page's address.
func (b *Tab) URL() string {
	b.t.Helper()
	return Eval[string](b, "location.href")
}

// Insecure turns an address of this machine into one that the browser takes
// for another machine's, as a phone sees a shop's server over plain HTTP.
func Insecure(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return address
	}
	u.Host = insecureName + ":" + u.Port()
	return u.String()
}

// Eval runs JavaScript in the page and returns its value; a promise is
// awaited. It fails the test when the script throws.
func Eval[T any](b *Tab, script string) T {
	b.t.Helper()
	v, err := evaluate[T](b, script)
	if err != nil {
		b.fail("the script %q failed: %v", script, err)
	}
	return v
}

// Do runs JavaScript in the page for its effect.
func (b *Tab) Do(script string) {
	b.t.Helper()
	Eval[any](b, "(async () => {"+script+"\n})()")
}

// WaitFor waits until a JavaScript expression is true. The words say what is
// waited for and appear when it does not come.
func (b *Tab) WaitFor(words, expression string) {
	b.t.Helper()
	err := b.poll(func() error {
		ok, err := evaluate[bool](b, "!!("+expression+")")
		if err == nil && !ok {
			err = errors.New("it is not so")
		}
		return err
	})
	if err != nil {
		b.fail("waited for %s (%s): %v", words, strings.ReplaceAll(expression, pageScript, "…"), err)
	}
}

// WaitText waits until the words can be read on the page. Differences in
// spacing do not matter.
func (b *Tab) WaitText(words string) {
	b.t.Helper()
	b.WaitFor(fmt.Sprintf("the words %q", words), call("reads", words))
}

// WaitGone waits until the words can no longer be read on the page.
func (b *Tab) WaitGone(words string) {
	b.t.Helper()
	b.WaitFor(fmt.Sprintf("the words %q to go", words), "!"+call("reads", words))
}

// Reads tells whether the words can be read on the page now.
func (b *Tab) Reads(words string) bool {
	b.t.Helper()
	return Eval[bool](b, call("reads", words))
}

// Has tells whether there is such a thing to see on the page now.
func (b *Tab) Has(what string) bool {
	b.t.Helper()
	return Eval[bool](b, "!!"+call("find", what))
}

// Text waits for the first visible match of what and returns the words in it.
func (b *Tab) Text(what string) string {
	b.t.Helper()
	b.WaitFor(fmt.Sprintf("%q to be seen", what), call("find", what))
	return Eval[string](b, call("find", what)+".innerText.trim()")
}

// Texts returns the words in every visible match of a CSS selector now.
func (b *Tab) Texts(selector string) []string {
	b.t.Helper()
	return Eval[[]string](b, call("texts", selector))
}

// StopWorkers ends every service worker at once, as a browser may at any
// moment; the next request starts them again.
func (b *Tab) StopWorkers() {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, serviceworker.Enable, cdp.Empty{})
	if err == nil {
		_, err = chromedp.Call(b.ctx, serviceworker.StopAllWorkers, cdp.Empty{})
	}
	if err != nil {
		b.fail("the workers could not be stopped: %v", err)
	}
}

// WithoutScripts switches the page's own scripts off, from the next page on.
// Helpers that look at the page go on working.
func (b *Tab) WithoutScripts() {
	b.t.Helper()
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		b.fail("scripts could not be switched off: %v", err)
	}
}

// Exceptions returns what the page's scripts threw and nobody caught. A test
// that has any fails at its end.
func (b *Tab) Exceptions() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.exceptions)
}

// Console returns what the page and the browser wrote to the console.
func (b *Tab) Console() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.console)
}

// shots is the folder that LASTBOLT_SHOTS names, from the module's root, or "".
func shots() string {
	folder := os.Getenv("LASTBOLT_SHOTS")
	if folder == "" || filepath.IsAbs(folder) {
		return folder
	}
	return filepath.Join(moduleRoot(), folder)
}

// Screenshot writes the whole page as NAME.png into the folder that
// LASTBOLT_SHOTS names. Without that variable it does nothing.
func (b *Tab) Screenshot(name string) {
	b.t.Helper()
	if folder := shots(); folder != "" {
		b.shoot(folder, name, chromedp.FullScreenshot(100))
	}
}

// ScreenshotScreen is Screenshot of only what the screen shows.
func (b *Tab) ScreenshotScreen(name string) {
	b.t.Helper()
	if folder := shots(); folder != "" {
		b.shoot(folder, name, chromedp.CaptureScreenshot())
	}
}

func (b *Tab) shoot(folder, name string, how chromedp.Action[[]byte]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, b.wait)
	defer cancel()
	picture, err := chromedp.Run(ctx, how)
	if err == nil {
		err = os.MkdirAll(folder, 0o755)
	}
	if err == nil {
		err = os.WriteFile(filepath.Join(folder, name+".png"), picture, 0o644)
	}
	if err != nil {
		b.t.Errorf("the screenshot %s was not taken: %v", name, err)
	}
}

// PDF prints the page as the browser prints it on A4, and returns the file.
func (b *Tab) PDF() []byte {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, b.wait)
	defer cancel()
	file, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4)))
	if err != nil {
		b.fail("the page could not be printed: %v", err)
	}
	return file
}

// do runs a step of the browser's within the time a tab waits.
func (b *Tab) do(words string, step chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, b.wait)
	defer cancel()
	if err := chromedp.Do(ctx, step); err != nil {
		b.fail("could not %s: %v", words, err)
	}
}

// poll calls try until it returns nil or the waiting ends, and then returns its
// last error. Errors are expected while a page is being replaced by the next.
func (b *Tab) poll(try func() error) error {
	deadline := time.Now().Add(b.wait)
	for {
		err := try()
		if err == nil || time.Now().After(deadline) || b.ctx.Err() != nil {
			return err
		}
		time.Sleep(40 * time.Millisecond)
	}
}

func evaluate[T any](b *Tab, script string) (T, error) {
	ctx, cancel := context.WithTimeout(b.ctx, b.wait)
	defer cancel()
	return chromedp.Run(ctx, chromedp.Evaluate[T](script, chromedp.EvalAwaitPromise))
}

// call is a JavaScript expression that calls a function of page.js.
func call(function string, args ...any) string {
	var list []string
	for _, a := range args {
		text, err := json.Marshal(a)
		if err != nil {
			panic("browser: argument that is not JSON: " + err.Error())
		}
		list = append(list, string(text))
	}
	return "(() => {" + pageScript + "\nreturn " + function + "(" + strings.Join(list, ", ") + ");})()"
}

// fail ends the test with a sentence, the page's address and its words.
func (b *Tab) fail(format string, args ...any) {
	b.t.Helper()
	address, err := evaluate[string](b, "location.href")
	if err != nil {
		address = "unknown (" + err.Error() + ")"
	}
	words, err := evaluate[string](b, "document.body ? document.body.innerText.slice(0, 4000) : ''")
	if err != nil {
		words = "could not be read: " + err.Error()
	}
	if folder := shots(); folder != "" {
		b.shoot(folder, "failed-"+strings.ReplaceAll(b.t.Name(), "/", "-"), chromedp.CaptureScreenshot())
	}
	b.t.Fatalf("%s\npage: %s\nconsole: %s\nwords on the page:\n%s",
		fmt.Sprintf(format, args...), address, strings.Join(b.Console(), "\n         "), words)
}
