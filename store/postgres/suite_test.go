package postgres_test

import (
	"testing"

	"lastbolt/keep"
	"lastbolt/store/pgtest"
	"lastbolt/store/postgres"
	"lastbolt/store/storetest"
)

func open(t testing.TB, url, dir string) *postgres.Store {
	t.Helper()
	s, err := postgres.Open(t.Context(), url, dir, postgres.Options{})
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

func fresh(t testing.TB, server *pgtest.Server) string {
	t.Helper()
	url, err := server.Fresh()
	if err != nil {
		t.Fatal(err)
	}
	return url
}

func TestPostgreSQLBehavesAsAStore(t *testing.T) {
	server := pgtest.Start(t)
	storetest.Run(t, func(t *testing.T) keep.Backend { return open(t, fresh(t, server), t.TempDir()) })
}
