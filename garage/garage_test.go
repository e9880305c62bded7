package garage_test

import (
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/plan/access"
	"lastbolt/quantity"
	"lastbolt/store/memory"
)

var at = time.Date(2031, 5, 4, 9, 30, 0, 0, time.UTC)

func km(s string) quantity.Written[quantity.Length] { return quantity.MustParse[quantity.Length](s) }

func TestAVehicleComesBackTidied(t *testing.T) {
	vehicles := garage.Vehicles{Documents: memory.New()}
	ctx := t.Context()
	given := garage.Vehicle{
		ID: " tern-1 ", Name: " Tern van, blue ", VIN: "1g4ah59h-45g 118341", Plate: "ربح 12",
		Odometer:  []garage.Reading{{At: at, Distance: km("82350 km")}, {At: at.AddDate(-1, 0, 0), Distance: km("45000 mi")}},
		Documents: []garage.Paper{{Title: "Owner's handbook", Where: "glove box"}, {Title: " "}},
		Maps:      []string{"tern", "", "tern"},
	}
	version, err := vehicles.Save(ctx, given, garage.Edit{At: at})
	if version != 1 || err != nil {
		t.Fatalf("Save = %d, %v", version, err)
	}
	got, version, err := vehicles.Load(ctx, "tern-1")
	if err != nil || version != 1 {
		t.Fatalf("Load = %d, %v", version, err)
	}
	want := given
	want.ID, want.Name, want.VIN = "tern-1", "Tern van, blue", "1G4AH59H45G118341"
	want.Odometer = []garage.Reading{{At: at.AddDate(-1, 0, 0), Distance: km("45000 mi")}, {At: at, Distance: km("82350 km")}}
	want.Documents, want.Maps = want.Documents[:1], []string{"tern"}
	if d := cmp.Diff(want, got, cmp.Comparer(func(a, b quantity.Written[quantity.Length]) bool { return a == b })); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if last, ok := got.LastReading(); !ok || last.Distance.String() != "82350 km" {
		t.Errorf("LastReading = %v, %v", last, ok)
	}
	_, err = vehicles.Save(ctx, given, garage.Edit{At: at})
	if !errors.Is(err, garage.ErrStale) {
		t.Errorf("saving it as new again: %v, want ErrStale", err)
	}
	if _, err := vehicles.Save(ctx, garage.Vehicle{ID: "a", Name: "Zebra"}, garage.Edit{At: at}); err != nil {
		t.Fatal(err)
	}
	list, err := vehicles.List(ctx)
	if err != nil || len(list) != 2 || list[0].ID != "tern-1" || list[1].ID != "a" {
		t.Errorf("List = %+v, %v; want by name", list, err)
	}
}

func TestAVehicleThatCannotBeRightIsRefusedInWords(t *testing.T) {
	ok := garage.Vehicle{ID: "a", Name: "A"}
	for _, test := range []struct {
		name   string
		change func(*garage.Vehicle)
		say    string
	}{
		{"no name", func(v *garage.Vehicle) { v.Name = " " }, "has no name"},
		{"no id", func(v *garage.Vehicle) { v.ID = "" }, "has no id"},
		{"long", func(v *garage.Vehicle) { v.Plate = strings.Repeat("é", 201) }, "plate has 201 characters"},
		{"short VIN", func(v *garage.Vehicle) { v.VIN = "1234" }, "has 4 characters, not 17"},
		{"no unit", func(v *garage.Vehicle) { v.Odometer = []garage.Reading{{At: at}} }, "Odometer line 1"},
		{"below zero", func(v *garage.Vehicle) { v.Odometer = []garage.Reading{{Distance: km("-3 km")}} }, "Odometer line 1"},
	} {
		v := ok
		test.change(&v)
		_, err := garage.Vehicles{Documents: memory.New()}.Save(t.Context(), v, garage.Edit{At: at})
		if !fault.Is(err, fault.Bad) || !strings.Contains(fault.Say(err), test.say) {
			t.Errorf("%s: %v, want a sentence with %q", test.name, err, test.say)
		}
	}
}

func TestTheCheckDigitOfAVIN(t *testing.T) {
	for _, test := range []struct {
		vin  string
		want byte
	}{
		// 49 CFR 565, table V works this one out: sum 411, remainder 4.
		{"1G4AH59H_5G118341", '4'},
		// All ones: weights sum to 89, 89 mod 11 = 1. Worked by hand.
		{"11111111_11111111", '1'},
	} {
		for _, digit := range "0123456789X" {
			vin, err := garage.ReadVIN(strings.Replace(test.vin, "_", string(digit), 1))
			if err != nil {
				t.Fatal(err)
			}
			if vin.Want != test.want || vin.Matches() != (byte(digit) == test.want) {
				t.Errorf("%s with %c: wants %c, matches %v", test.vin, digit, vin.Want, vin.Matches())
			}
			if vin.Matches() == strings.Contains(vin.Say(), "misread") {
				t.Errorf("%c: says %q", digit, vin.Say())
			}
		}
	}
	if vin, err := garage.ReadVIN("11111111111111111"); err != nil || !vin.Matches() {
		t.Errorf("all ones: %+v, %v", vin, err)
	}
	for text, say := range map[string]string{
		"1G4AH59HO5G118341":  "Place 9 of the VIN is O",
		"1G4AH59H45G11834é":  "neither a letter nor a digit",
		"1G4AH59H45G1183411": "has 18 characters",
		"🔧":                  "Place 1",
	} {
		if _, err := garage.ReadVIN(text); !strings.Contains(fault.Say(err), say) {
			t.Errorf("%s: %v, want %q in it", text, err, say)
		}
	}
}

func TestAMapIsKeptAsItWasWritten(t *testing.T) {
	yaml, err := os.ReadFile("../demo/tern.yaml")
	if err != nil {
		t.Fatal(err)
	}
	ctx := t.Context()
	documents := memory.New()
	maps := garage.NewMaps(documents)
	saved, version, err := maps.Save(ctx, "tern.yaml", yaml, garage.Edit{At: at, Note: "first"})
	if err != nil || version != 1 {
		t.Fatalf("Save = %d, %v", version, err)
	}
	again := append([]byte("# a second look\n"), yaml...)
	if _, version, err = maps.Save(ctx, "tern.yaml", again, garage.Edit{Base: 1, At: at}); err != nil || version != 2 {
		t.Fatalf("second Save = %d, %v", version, err)
	}
	loaded, d, err := maps.Load(ctx, saved.ID)
	if err != nil || string(d.Body) != string(again) || d.Version != 2 || loaded.Name != saved.Name {
		t.Errorf("Load: version %d, %v", d.Version, err)
	}
	if _, d, err = maps.LoadVersion(ctx, saved.ID, 1); err != nil || string(d.Body) != string(yaml) {
		t.Errorf("LoadVersion 1: %v", err)
	}
	history, err := maps.History(ctx, saved.ID)
	if err != nil || len(history) != 2 || history[1].Note != "first" {
		t.Errorf("History = %+v, %v", history, err)
	}
	if _, err := documents.Put(ctx, garage.Document{Kind: garage.KindMap, ID: "zz", Body: []byte("items: [")}, 0); err != nil {
		t.Fatal(err)
	}
	list, err := maps.List(ctx)
	if err != nil || len(list) != 2 {
		t.Fatalf("List = %+v, %v", list, err)
	}
	if l := list[0]; l.Items != len(saved.Items) || l.Fasteners < 150 || l.Ways < l.Items || !l.Invented || l.Version != 2 {
		t.Errorf("line of the map = %+v", l)
	}
	if l := list[1]; l.Name != "zz" || !strings.Contains(l.Broken, "cannot be read") {
		t.Errorf("line of the broken map = %+v", l)
	}
}

func TestAChangedMapKeepsTheCommentsOfItsFile(t *testing.T) {
	const text = "format: lastbolt access map 1\nid: x\nname: X\nitems:\n  # by hand\n  - id: a\n    name: A # one\n    ways: [{id: w, minutes: {off: 1, on: 1}}]\n  - id: b\n    name: B # two\n    ways: [{id: w, minutes: {off: 1, on: 1}}]\n"
	maps := garage.NewMaps(memory.New())
	if _, _, err := maps.Save(t.Context(), "x.yaml", []byte(text), garage.Edit{At: at}); err != nil {
		t.Fatal(err)
	}
	was, old, err := maps.Load(t.Context(), "x")
	if err != nil {
		t.Fatal(err)
	}
	m := was.Clone()
	m.Items[1].Name = "Bolt"
	saved, version, err := maps.SaveOver(t.Context(), m, was, old, garage.Edit{At: at, Base: 1})
	if err != nil || version != 2 || saved.Items[1].Name != "Bolt" {
		t.Fatalf("version %d, %v", version, err)
	}
	_, doc, err := maps.Load(t.Context(), "x")
	if err != nil || !strings.Contains(string(doc.Body), "  # by hand\n  - id: a\n    name: A # one\n") || !strings.Contains(string(doc.Body), "# two") {
		t.Errorf("%v, the comments are lost:\n%s", err, doc.Body)
	}
	m.Items[1].Ways = nil
	if _, _, err := maps.SaveOver(t.Context(), m, was, old, garage.Edit{At: at, Base: 2}); !fault.Is(err, fault.Bad) {
		t.Errorf("a map with something wrong gives %v, want it refused", err)
	}
}

func TestABrokenMapIsRefusedWithItsPlace(t *testing.T) {
	_, _, err := garage.NewMaps(memory.New()).Save(t.Context(), "mine.yaml", []byte("format: lastbolt access map 1\nid: x\nname: X\nitmes: []\n"), garage.Edit{At: at})
	var problems access.Problems
	if !fault.Is(err, fault.Bad) || !errors.As(err, &problems) || !strings.Contains(fault.Say(err), "mine.yaml:4:") {
		t.Errorf("got %v", err)
	}
}

func TestVerdictsAddUpAndTheNewestCounts(t *testing.T) {
	ctx := t.Context()
	learned := garage.Learned{Documents: memory.New()}
	for _, v := range []garage.Verdict{
		{Suggestion: "order a b", Accepted: false, At: at},
		{Suggestion: "minutes a", Accepted: true, At: at},
		{Suggestion: "order a b", Accepted: true, At: at.Add(1), By: "bay 1"},
	} {
		if err := learned.Decide(ctx, "tern", v); err != nil {
			t.Fatal(err)
		}
	}
	got, err := learned.Verdicts(ctx, "tern")
	want := map[string]garage.Verdict{
		"minutes a": {Suggestion: "minutes a", Accepted: true, At: at},
		"order a b": {Suggestion: "order a b", Accepted: true, At: at.Add(1), By: "bay 1"},
	}
	if d := cmp.Diff(want, got); d != "" || err != nil {
		t.Errorf("%v (-want +got):\n%s", err, d)
	}
	if other, err := learned.Verdicts(ctx, "teal"); len(other) != 0 || err != nil {
		t.Errorf("another map: %v, %v", other, err)
	}
}

func TestTheShelfIsEmptyUntilItIsSaved(t *testing.T) {
	ctx := t.Context()
	documents := memory.New()
	shelf, version, err := garage.LoadShelf(ctx, documents)
	if err != nil || version != 0 || len(shelf.Tools) != 0 {
		t.Fatalf("LoadShelf = %+v, %d, %v", shelf, version, err)
	}
	shelf.Tools = []string{" 10 mm  socket", "10 mm Socket"}
	shelf.Supplies = []garage.Supply{{Name: "coolant", Amount: "5 L"}}
	if _, err := garage.SaveShelf(ctx, documents, shelf, garage.Edit{At: at}); err != nil {
		t.Fatal(err)
	}
	shelf, version, err = garage.LoadShelf(ctx, documents)
	if err != nil || version != 1 || len(shelf.Tools) != 1 || shelf.Supplies[0].Amount != "5 L" {
		t.Errorf("LoadShelf = %+v, %d, %v", shelf, version, err)
	}
}
