package sqlite_test

import (
	"testing"

	"lastbolt/keep"
	"lastbolt/store/sqlite"
	"lastbolt/store/storetest"
)

func open(t testing.TB, dir string) *sqlite.Store {
	t.Helper()
	s, err := sqlite.Open(dir, sqlite.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

func TestSQLiteBehavesAsAStore(t *testing.T) {
	storetest.Run(t, func(t *testing.T) keep.Backend { return open(t, t.TempDir()) })
}
