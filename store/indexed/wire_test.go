package indexed

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestPackedFieldsComeBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a := rapid.SliceOfN(rapid.String(), 3, 3).Draw(r, "a")
		b := rapid.SliceOfN(rapid.String(), 3, 3).Draw(r, "b")
		got, err := unpack(pack(a...)+pack(b...), 3)
		if err != nil || len(got) != 2 || !slices.Equal(got[0], a) || !slices.Equal(got[1], b) {
			r.Fatalf("%q, %q came back as %q, %v", a, b, got, err)
		}
	})
}

func FuzzUnpack(f *testing.F) {
	f.Add(pack("a", "", "ü:1"))
	f.Add("-1:x")
	f.Add("99999999999999999999:")
	f.Fuzz(func(t *testing.T, s string) {
		events, _ := unpackEvents(s)
		documents, _ := unpackDocuments(s)
		if len(events) > 0 && len(documents) > 0 {
			t.Errorf("%q was read both as events and as documents", s)
		}
	})
}
