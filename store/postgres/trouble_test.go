package postgres_test

import (
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"lastbolt/fault"
	"lastbolt/store/pgtest"
	"lastbolt/store/postgres"
	"lastbolt/store/storetest"
)

func says(t *testing.T, err error, code fault.Code, say string) {
	t.Helper()
	if !fault.Is(err, code) || !strings.Contains(fault.Say(err), say) {
		t.Errorf("got %v with code %q, want code %q and %q in it", err, fault.CodeOf(err), code, say)
	}
	if err != nil && strings.Contains(err.Error(), pgtest.Password) {
		t.Errorf("the password is in %v", err)
	}
}

func TestWhatThePostgreSQLServerRefusesIsSaidInASentence(t *testing.T) {
	ctx, server := t.Context(), pgtest.Start(t)
	url := fresh(t, server)
	add := func(s *postgres.Store) error {
		_, err := s.Append(ctx, storetest.Event("belt", 1))
		return err
	}
	t.Run("another writer does not end", func(t *testing.T) {
		s := open(t, url+"&lock_timeout=100", t.TempDir())
		c, err := pgx.Connect(ctx, url)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close(ctx)
		if _, err := c.Exec(ctx, "SELECT pg_advisory_lock(1279413332)"); err != nil {
			t.Fatal(err)
		}
		says(t, add(s), fault.Busy, "Another program has been writing to the database")
		_, err = s.Append(ctx, storetest.Events("belt", 3)...)
		says(t, err, fault.Busy, "Nothing was saved this time; try again.")
		if _, err := c.Exec(ctx, "SELECT pg_advisory_unlock(1279413332)"); err != nil {
			t.Fatal(err)
		}
		if err := add(s); err != nil {
			t.Error(err)
		}
	})
	t.Run("the database only reads", func(t *testing.T) {
		s := open(t, url+"&default_transaction_read_only=on", t.TempDir())
		says(t, add(s), fault.ReadOnly, "takes nothing in")
		if list, err := s.Events(ctx, "belt"); err != nil || len(list) != 1 {
			t.Errorf("%d events, %v", len(list), err)
		}
	})
	for _, test := range []struct {
		name, url string
		code      fault.Code
		say       string
	}{
		{"a wrong password", strings.Replace(url, pgtest.Password, "not-it", 1), fault.Bad, "does not let the user \"mechanic\" in"},
		{"a database that is not there", strings.Replace(url, "/postgres?", "/workshop?", 1), fault.NotFound, "Make it first: createdb workshop"},
		{"no address", "host=127.0.0.1 password=" + pgtest.Password, fault.Bad, "does not begin with postgres://"},
		{"an address that cannot be read", "postgres://mechanic:" + pgtest.Password + "@host:port/x", fault.Bad, "cannot be read"},
		{"nobody at the port", "postgres://mechanic:" + pgtest.Password + "@127.0.0.1:1/x", fault.Busy, "The PostgreSQL server at 127.0.0.1:1 does not answer"},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := postgres.Open(ctx, test.url, t.TempDir(), postgres.Options{})
			if s != nil {
				t.Error("it gives a store")
			}
			says(t, err, test.code, test.say)
		})
	}
	t.Run("another program's database", func(t *testing.T) {
		other := fresh(t, server)
		c, err := pgx.Connect(ctx, other)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close(ctx)
		if _, err := c.Exec(ctx, "CREATE TABLE recipe (name TEXT)"); err != nil {
			t.Fatal(err)
		}
		_, err = postgres.Open(ctx, other, t.TempDir(), postgres.Options{})
		says(t, err, fault.Bad, "has another program's tables in it")
	})
	t.Run("a database of a newer program", func(t *testing.T) {
		newer := fresh(t, server)
		open(t, newer, t.TempDir())
		c, err := pgx.Connect(ctx, newer)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close(ctx)
		if _, err := c.Exec(ctx, "INSERT INTO schema_migration VALUES (9999, '9999_later.sql', 'x', '')"); err != nil {
			t.Fatal(err)
		}
		_, err = postgres.Open(ctx, newer, t.TempDir(), postgres.Options{})
		says(t, err, fault.NewVersion, "was written by a newer Lastbolt")
	})
	t.Run("a server that keeps its word is not complained of", func(t *testing.T) {
		if got := open(t, url, t.TempDir()).Notice(); got != "" {
			t.Errorf("it says %q", got)
		}
	})
}
