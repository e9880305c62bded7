package browser

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// pageScript holds the functions that look at the page from inside.
//
//go:embed page.js
var pageScript string

// settle is how long after a tap a page may take to begin to load the next.
const settle = 80 * time.Millisecond

// spot is where on the screen something can be touched.
type spot struct {
	X, Y    float64
	Problem string // why it cannot be touched yet, "" when it can
}

// Tap touches (on a desktop: clicks) the first visible match of what, in its
// middle. Where that loads another page, Tap waits until it has loaded.
func (b *Tab) Tap(what string) {
	b.t.Helper()
	at := b.reach(what)
	if b.touch {
		b.do("tap "+what, chromedp.TapXY(at.X, at.Y))
	} else {
		b.do("click "+what, chromedp.MouseClickXY(at.X, at.Y))
	}
	b.arrive()
}

// HoldFor presses the middle of what for the given time.
func (b *Tab) HoldFor(what string, long time.Duration) {
	b.t.Helper()
	at := b.reach(what)
	b.do("press "+what, b.press(at))
	time.Sleep(long)
	b.do("let go of "+what, b.release(at))
	b.arrive()
}

func (b *Tab) press(at spot) chromedp.Action[chromedp.Void] {
	if !b.touch {
		return chromedp.MouseEvent(chromedp.MousePressed, at.X, at.Y, chromedp.ButtonLeft, chromedp.ClickCount(1))
	}
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.DispatchTouchEvent, input.DispatchTouchEventParams{
			Type:        input.DispatchTouchEventTypeTouchStart,
			TouchPoints: []*input.TouchPoint{{X: at.X, Y: at.Y}},
		})
		return err
	})
}

func (b *Tab) release(at spot) chromedp.Action[chromedp.Void] {
	if !b.touch {
		return chromedp.MouseEvent(chromedp.MouseReleased, at.X, at.Y, chromedp.ButtonLeft, chromedp.ClickCount(1))
	}
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.DispatchTouchEvent, input.DispatchTouchEventParams{
			Type:        input.DispatchTouchEventTypeTouchEnd,
			TouchPoints: []*input.TouchPoint{},
		})
		return err
	})
}

// reach waits until what can be touched: seen, not disabled, not moving, and
// with nothing lying over its middle.
func (b *Tab) reach(what string) spot {
	b.t.Helper()
	var at, before spot
	err := b.poll(func() error {
		var err error
		at, err = evaluate[spot](b, call("reach", what))
		switch {
		case err != nil:
			return err
		case at.Problem != "":
			return errors.New(at.Problem)
		case at != before:
			before = at
			return errors.New("it keeps moving")
		}
		return nil
	})
	if err != nil {
		b.fail("could not reach %q: %v", what, err)
	}
	return at
}

// arrive waits for the page that a tap may have asked for.
func (b *Tab) arrive() {
	b.t.Helper()
	time.Sleep(settle)
	err := b.poll(func() error {
		b.mu.Lock()
		defer b.mu.Unlock()
		if b.loading {
			return errors.New("it is still loading")
		}
		return nil
	})
	if err != nil {
		b.fail("the next page did not come: %v", err)
	}
}

// Fill puts a value into the field that what names by selector or label. Text
// is typed over what is there; in a list of choices the value is the option's
// words or value; a check box takes "on" and "off".
func (b *Tab) Fill(what, value string) {
	b.t.Helper()
	var how string
	err := b.poll(func() error {
		var err error
		how, err = evaluate[string](b, call("fill", what, value))
		if err == nil && how != "done" && how != "type" {
			err = errors.New(how)
		}
		return err
	})
	if err != nil {
		b.fail("could not fill %q with %q: %v", what, value, err)
	}
	if how == "type" { // the field has the focus, and its text is selected
		b.do(fmt.Sprintf("type into %s", what), chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, input.InsertText, input.InsertTextParams{Text: value})
			return err
		}))
	}
}

// Press sends keys to what has the focus, named as in the package kb of
// chromedp, for instance kb.Tab or kb.Enter.
func (b *Tab) Press(keys string) {
	b.t.Helper()
	b.do("press keys", chromedp.KeyEvent(keys))
	b.arrive()
}

// Upload chooses files of this machine in a file field, found by CSS selector.
func (b *Tab) Upload(selector string, files ...string) {
	b.t.Helper()
	b.do("choose files for "+selector, chromedp.SetUploadFiles(chromedp.CSS(selector), files))
}

// TapAt is Tap at a part of the way across and down what: 0.5, 0.5 is its
// middle. What lies over it there takes the tap.
func (b *Tab) TapAt(what string, x, y float64) {
	b.t.Helper()
	b.reach(what)
	at := Eval[spot](b, fmt.Sprintf(`(() => {
		const el = %s, place = () => { const r = el.getBoundingClientRect(); return {X: r.left + r.width * %g, Y: r.top + r.height * %g}; };
		window.scrollBy({top: place().Y - innerHeight * 0.35, behavior: "instant"});
		return place();
	})()`, call("find", what), x, y))
	if b.touch {
		b.do("tap on "+what, chromedp.TapXY(at.X, at.Y))
	} else {
		b.do("click on "+what, chromedp.MouseClickXY(at.X, at.Y))
	}
	b.arrive()
}
