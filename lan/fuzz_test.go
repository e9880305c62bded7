package lan

import (
	"encoding/json"
	"reflect"
	"testing"
)

// FuzzTheListOfPhonesAndPeople reads any door.json: it is refused in a sentence,
// or comes back as it was written.
func FuzzTheListOfPhonesAndPeople(f *testing.F) {
	f.Add([]byte(`{"devices":[{"id":"a","name":"phone"}],"people":[{"name":"Ann","role":"owner"}]}`))
	f.Add([]byte(`{"devices":null,"people":[{}]}`))
	f.Add([]byte(`[`))
	f.Fuzz(func(t *testing.T, content []byte) {
		s, err := parseState(content)
		if err != nil {
			return
		}
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		again, err := parseState(text)
		if err != nil {
			t.Fatal(err)
		}
		if twice, err := json.Marshal(again); err != nil || !reflect.DeepEqual(text, twice) {
			t.Fatalf("%s comes back as %s (%v)", text, twice, err)
		}
	})
}
