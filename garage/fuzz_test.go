package garage_test

import (
	"context"
	"testing"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/store/memory"
)

// FuzzDocuments reads whatever another program saved as a vehicle, a shelf, a
// map: it reads, or it is said what is wrong; what was read can be saved again.
func FuzzDocuments(f *testing.F) {
	for kind, body := range map[string]string{
		garage.KindVehicle: `{"id":"d","name":"Tern van 1.4","vin":"X","odometer":[{"at":"2026-01-02T03:04:05Z","distance":"84,200 km"}],"maps":["tern"]}`,
		garage.KindShelf:   `{"tools":["trolley jack","torque wrench 5–25 N·m, ±4 %"],"supplies":[{"name":"coolant","amount":"1 L"}]}`,
		garage.KindMap:     "format: lastbolt access map 1\nid: d\nname: Van\nitems: []\n",
		garage.KindLearned: `{"verdicts":[]}`,
	} {
		f.Add(kind, []byte(body))
		f.Add(kind, []byte(`[1e999,{"id":null}]`))
	}
	f.Fuzz(func(t *testing.T, kind string, body []byte) {
		ctx := context.Background()
		st := memory.New()
		id := "d"
		if kind == garage.KindShelf {
			id = "shelf"
		}
		if _, err := st.Put(ctx, garage.Document{Kind: kind, ID: id, Body: body}, 0); err != nil {
			return // no text
		}
		broken := func(err error) {
			if err != nil && fault.CodeOf(err) == fault.Internal {
				t.Errorf("%s %q: %v", kind, body, err)
			}
		}
		vehicles := garage.Vehicles{Documents: st}
		list, err := vehicles.List(ctx)
		broken(err)
		for _, v := range list {
			_, _ = garage.ReadVIN(v.VIN)
		}
		shelf, version, err := garage.LoadShelf(ctx, st)
		broken(err)
		if err == nil && version > 0 {
			_, err = garage.SaveShelf(ctx, st, shelf, garage.Edit{Base: version})
			broken(err)
		}
		maps := garage.NewMaps(st)
		_, _, err = maps.Load(ctx, id)
		broken(err)
		_, err = maps.List(ctx)
		broken(err)
	})
}
