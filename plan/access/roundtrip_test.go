package access

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"
	"lastbolt/quantity"
)

// sameQuantity compares quantities as they are written.
var sameQuantity = cmp.Options{
	cmp.Comparer(func(a, b quantity.Written[quantity.Torque]) bool { return a == b }),
	cmp.Comparer(func(a, b quantity.Written[quantity.Length]) bool { return a == b }),
	cmp.Comparer(func(a, b quantity.Written[quantity.Volume]) bool { return a == b }),
}

// A failer is a *testing.T or a *rapid.T.
type failer interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

func mustParse(t failer, file string, src []byte) *Map {
	t.Helper()
	m, err := Parse(file, src)
	if err != nil {
		t.Fatalf("Parse(%s):\n%v", file, err)
	}
	return m
}

// sameAfterWriting checks that a map survives its own YAML and JSON.
func sameAfterWriting(t failer, m *Map) {
	t.Helper()
	text := m.Encode()
	again, err := Parse("again.yaml", text)
	if err != nil {
		t.Fatalf("what Encode wrote is refused:\n%v\n%s", err, text)
	}
	if diff := cmp.Diff(m, again, sameQuantity); diff != "" {
		t.Fatalf("YAML changed the map:\n%s\n%s", diff, text)
	}
	if twice := again.Encode(); string(twice) != string(text) {
		t.Fatalf("writing twice differs:\n%s", cmp.Diff(string(text), string(twice)))
	}
	js, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	var fromJSON Map
	if err := json.Unmarshal(js, &fromJSON); err != nil {
		t.Fatalf("JSON is refused: %v\n%s", err, js)
	}
	if diff := cmp.Diff(m, &fromJSON, sameQuantity); diff != "" {
		t.Fatalf("JSON changed the map:\n%s", diff)
	}
	if _, err := Parse("map.json", js); err != nil {
		t.Fatalf("Parse refuses the JSON:\n%v\n%s", err, js)
	}
}

func TestTheDemoMapSurvivesWriting(t *testing.T) {
	src, err := os.ReadFile("../../demo/tern.yaml")
	if err != nil {
		t.Fatal(err)
	}
	sameAfterWriting(t, mustParse(t, "tern.yaml", src))
}
