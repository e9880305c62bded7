package indexed

import (
	"encoding/json"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
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
	f.Add(packStored(keep.Stored{Name: "n", Media: "image/jpeg", Bytes: 5, Kept: time.Date(2026, 3, 1, 8, 30, 0, 1, time.UTC)}))
	f.Add("99999999999999999999:")
	f.Fuzz(func(t *testing.T, s string) {
		events, _ := unpackEvents(s)
		documents, _ := unpackDocuments(s)
		if files, err := unpackStored(s); err == nil {
			again := ""
			for _, f := range files {
				again += packStored(f)
			}
			if back, err := unpackStored(again); err != nil || !slices.Equal(back, files) {
				t.Errorf("%q came back as %+v, not %+v: %v", s, back, files, err)
			}
		}
		if len(events) > 0 && len(documents) > 0 {
			t.Errorf("%q was read both as events and as documents", s)
		}
	})
}

func TestRecordsComeBackAsTheyWerePacked(t *testing.T) {
	at := time.Date(2026, 3, 1, 8, 30, 0, 123456789, time.UTC)
	event := job.Event{ID: "e1", Job: "j:1", Kind: "note", At: at, By: "ü", Data: json.RawMessage(`{"text":"5:x"}`)}
	document := garage.Document{Kind: "map", ID: "m", Version: 3, At: at, By: "b", Note: "1:2", Body: []byte("id: x\n")}
	events, err := unpackEvents(packEvent(event) + packEvent(event))
	if err != nil || len(events) != 2 || !reflect.DeepEqual(events[1], event) {
		t.Errorf("events: got %+v, %v", events, err)
	}
	documents, err := unpackDocuments(packDocument(document))
	if err != nil || len(documents) != 1 || !reflect.DeepEqual(documents[0], document) {
		t.Errorf("documents: got %+v, %v", documents, err)
	}
	known, unknown := keep.Stored{Name: "a", Media: "audio/webm", Bytes: 12, Kept: at}, keep.Stored{Name: "b", Media: "image/jpeg"}
	files, err := unpackStored(packStored(known) + packStored(unknown))
	if err != nil || !reflect.DeepEqual(files, []keep.Stored{known, unknown}) {
		t.Errorf("files: got %+v, %v", files, err)
	}
}
