//go:build linux

package sqlite_test

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"

	"os/signal"

	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

// limited writes until a file would grow over 400 kB, which the system then
// refuses, and checks that what was acknowledged is still there.
func limited(dir string) error {
	signal.Ignore(syscall.SIGXFSZ)
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		return err
	}
	ctx := context.Background()
	limit := unix.Rlimit{Cur: 400 << 10, Max: 400 << 10}
	if err := unix.Setrlimit(unix.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	for n := 0; ; n += 20 {
		if _, err := s.Append(ctx, storetest.Events("belt", n+20)[n:]...); err != nil {
			list, readErr := s.Events(ctx, "belt")
			fmt.Println("kept", len(list) == n, readErr)
			return err
		}
	}
}

func TestADiskThatRefusesWritesLosesNothingAndSaysSo(t *testing.T) {
	out, err := child(t, "limited", filepath.Join(t.TempDir(), "data")).CombinedOutput()
	text := string(out)
	if err == nil || !strings.Contains(text, "kept true <nil>\n") || !strings.Contains(text, "error full The disk did not take") {
		t.Errorf("%v: %s", err, text)
	}
}
