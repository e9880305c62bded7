package browser

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/security"
	"github.com/chromedp/chromedp"
)

// authority is the PEM file of a certificate authority that the test browser is
// to trust, as a person makes their own browser trust one.
var authority string

// Trust names the certificate authority, as a PEM file, that the browser of this
// test binary trusts beside its own. It must be called before the browser
// starts, best in TestMain.
func Trust(pemFile string) { authority = pemFile }

// NeedsTrust skips the test where the browser cannot be made to trust an
// authority.
func NeedsTrust(t testing.TB) {
	t.Helper()
	Start(t)
	if _, err := exec.LookPath("certutil"); err != nil {
		t.Skip("certutil is missing, so the browser trusts no authority of ours; install it with: apt-get install -y libnss3-tools")
	}
}

// homeThatTrusts is a fresh home folder whose certificate store, from which
// Chromium on Linux takes what its user added, has the authority in it; "" for
// none.
func homeThatTrusts() (string, error) {
	certutil, err := exec.LookPath("certutil")
	if err != nil || authority == "" {
		return "", nil
	}
	home, err := os.MkdirTemp("", "lastbolt-home-")
	if err != nil {
		return "", err
	}
	store := filepath.Join(home, ".pki", "nssdb")
	if err := os.MkdirAll(store, 0o700); err != nil {
		return "", err
	}
	for _, args := range [][]string{
		{"-N", "-d", "sql:" + store, "--empty-password"},
		{"-A", "-d", "sql:" + store, "-n", "lastbolt test", "-t", "C,,", "-i", authority},
	} {
		if out, err := exec.Command(certutil, args...).CombinedOutput(); err != nil {
			return "", fmt.Errorf("certutil %v: %w\n%s", args, err, out)
		}
	}
	return home, nil
}

// GoPastWarnings has the tab go on past certificates that it does not trust, as
// a person does who taps "Advanced" and "Proceed".
func (b *Tab) GoPastWarnings() {
	b.t.Helper()
	if _, err := chromedp.Call(b.ctx, security.SetIgnoreCertificateErrors, security.SetIgnoreCertificateErrorsParams{Ignore: true}); err != nil {
		b.fail("the tab could not be told to go past warnings: %v", err)
	}
}

// Refuses goes to an address and returns why the browser does not show it,
// "net::ERR_CERT_AUTHORITY_INVALID", or "" when it does.
func (b *Tab) Refuses(address string) string {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, chromedp.Navigate(address)); err != nil {
		return err.Error()
	}
	return ""
}
