package sqlite

import (
	"context"
	"strings"
	"testing"

	"lastbolt/fault"
	"lastbolt/store/storetest"
)

func TestALockedDatabaseIsSaidToBeOneAndGoesOnAfterwards(t *testing.T) {
	ctx := context.Background()
	s, err := Open(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.write.ExecContext(ctx, "PRAGMA busy_timeout = 50"); err != nil { // instead of five seconds
		t.Fatal(err)
	}
	other, err := connect(s.dir+"/"+databaseName, "", 1)
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	tx, err := other.BeginTx(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	_, one := s.Append(ctx, storetest.Event("belt", 1))
	_, several := s.Append(ctx, storetest.Events("belt", 3)...)
	_, document := s.Put(ctx, storetest.Document("tern", 0), 0)
	for what, err := range map[string]error{"an event": one, "several events": several, "a document": document} {
		if !fault.Is(err, fault.Busy) || !strings.HasPrefix(fault.Say(err), "Another program has been writing to the folder "+s.dir+" for a while. Nothing was saved") {
			t.Errorf("%s: got %v", what, err)
		}
	}
	if list, err := s.Events(ctx, "belt"); err != nil || len(list) > 0 { // reading goes on
		t.Errorf("%d events, %v", len(list), err)
	}
	if err := tx.Rollback(); err != nil {
		t.Fatal(err)
	}
	if n, err := s.Append(ctx, storetest.Events("belt", 3)...); n != 3 || err != nil {
		t.Errorf("afterwards %d events are added, %v", n, err)
	}
}
