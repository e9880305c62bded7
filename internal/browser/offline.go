package browser

import (
	"context"
	"time"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
)

// lookForWorkers is how often a tab that is cut off looks whether a service
// worker was started, which would begin with a network.
const lookForWorkers = 10 * time.Millisecond

// Offline cuts the tab and its service workers off the network, or joins them
// to it again. A worker that starts while the tab is cut off is cut off within a
// few milliseconds, sooner than a program in it can begin.
func (b *Tab) Offline(off bool) {
	b.t.Helper()
	if b.rejoin != nil {
		b.rejoin()
		b.rejoin = nil
	}
	err := cut(b.ctx, off)
	if err == nil {
		// The first command stops requests; this one sets navigator.onLine and
		// fires the page's online and offline events.
		_, err = chromedp.Call(b.ctx, network.OverrideNetworkState, network.OverrideNetworkStateParams{
			Offline: off, DownloadThroughput: -1, UploadThroughput: -1,
		})
	}
	if err == nil && off {
		w := &workers{tab: b.ctx, cut: map[target.ID]context.Context{}}
		if err = w.look(); err == nil {
			b.rejoin = w.watch()
		}
	}
	if err != nil {
		b.fail("the network could not be switched: %v", err)
	}
}

// cut switches the network of one target.
func cut(ctx context.Context, off bool) error {
	_, err := chromedp.Call(ctx, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{
		EmulateOfflineServiceWorker: &off,
		MatchedNetworkConditions:    []*network.Conditions{{Offline: off, DownloadThroughput: -1, UploadThroughput: -1}},
	})
	return err
}

// workers are a tab's service workers that are cut off, each with its session.
// A worker's network is its own: the commands to the page do not reach it.
type workers struct {
	tab context.Context
	cut map[target.ID]context.Context
}

// look cuts off the workers that run now.
func (w *workers) look() error {
	all, err := chromedp.Targets(w.tab)
	if err != nil {
		return err
	}
	own := chromedp.FromContext(w.tab).BrowserContextID
	for _, i := range all {
		if i.Type != "service_worker" || i.BrowserContextID != own || w.cut[i.TargetID] != nil {
			continue
		}
		ctx, _ := chromedp.NewContext(w.tab, chromedp.WithTargetID(i.TargetID), chromedp.WithDetachOnCancel()) // ends with the tab
		w.cut[i.TargetID] = ctx
		if err := cut(ctx, true); err != nil && w.runs(i.TargetID) {
			return err
		}
	}
	return nil
}

// runs tells whether a worker still runs: one may stop at any moment.
func (w *workers) runs(id target.ID) bool {
	all, err := chromedp.Targets(w.tab)
	for _, i := range all {
		if i.TargetID == id {
			return true
		}
	}
	return err != nil
}

// watch goes on looking. What it gives ends that and joins the workers again.
func (w *workers) watch() (rejoin func()) {
	end, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		for w.tab.Err() == nil {
			select {
			case <-end:
				return
			case <-time.After(lookForWorkers):
				_ = w.look() // the next look tries again
			}
		}
	}()
	return func() {
		close(end)
		<-ended
		for _, ctx := range w.cut {
			_ = cut(ctx, false) // it may have stopped
			_ = chromedp.Cancel(ctx)
		}
	}
}
