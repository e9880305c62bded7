package browser

import (
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// NotInstallable is why the browser would not offer to put the page on the
// device's first screen, in the browser's own words; nothing where it would. What
// the manifest names wrongly is among them.
func (b *Tab) NotInstallable() (why []string) {
	b.t.Helper()
	found, err := chromedp.Call(b.ctx, page.GetInstallabilityErrors, cdp.Empty{})
	if err != nil {
		b.fail("the browser could not be asked: %v", err)
	}
	for _, e := range found.InstallabilityErrors {
		if e.ErrorID != "in-incognito" { // each tab of a test is one
			why = append(why, e.ErrorID)
		}
	}
	manifest, err := chromedp.Call(b.ctx, page.GetAppManifest, page.GetAppManifestParams{})
	if err != nil {
		b.fail("the manifest could not be read: %v", err)
	}
	for _, e := range manifest.Errors {
		why = append(why, e.Message)
	}
	return why
}
