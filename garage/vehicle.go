package garage

import (
	"cmp"
	"context"
	"encoding/json"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"lastbolt/fault"
	"lastbolt/quantity"
)

// A Vehicle is one that comes to be worked on. Only ID and Name are needed.
type Vehicle struct {
	ID        string    `json:"id"`
	Name      string    `json:"name"`            // as the mechanic calls it
	About     string    `json:"about,omitempty"` // any text: engine, year, owner's marks
	VIN       string    `json:"vin,omitempty"`   // see ReadVIN; kept as ReadVIN tidies it
	Plate     string    `json:"plate,omitempty"`
	Odometer  []Reading `json:"odometer,omitempty"`  // by rising time
	Documents []Paper   `json:"documents,omitempty"` // maker's and other papers at hand
	Maps      []string  `json:"maps,omitempty"`      // ids of access maps that fit it
	// Invented marks a vehicle made up for the demo.
	Invented bool `json:"invented,omitempty"`
}

// A Reading is the odometer at a time.
type Reading struct {
	At       time.Time                         `json:"at"`
	Distance quantity.Written[quantity.Length] `json:"distance"`
	Note     string                            `json:"note,omitempty"` // "new instrument, starts at 0"
}

// A Paper is a document at hand, with where to find it and what it holds.
type Paper struct {
	Title string `json:"title"`
	Where string `json:"where,omitempty"` // a shelf, an address, a page
	Note  string `json:"note,omitempty"`
}

// Limits of a vehicle's text, in characters, and of its lists.
const (
	maxLine = 200
	maxText = 10_000
	maxList = 10_000
)

// Vehicles is the vehicles kept in Documents.
type Vehicles struct{ Documents Documents }

// List returns all vehicles in their newest version, by name.
func (v Vehicles) List(ctx context.Context) ([]Vehicle, error) {
	docs, err := v.Documents.All(ctx, KindVehicle)
	if err != nil {
		return nil, err
	}
	out := make([]Vehicle, len(docs))
	for i, d := range docs {
		if out[i], err = decode[Vehicle](d); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(out, func(a, b Vehicle) int {
		return cmp.Or(cmp.Compare(PlainName(a.Name), PlainName(b.Name)), cmp.Compare(a.ID, b.ID))
	})
	return out, nil
}

// Load returns a vehicle and its version, from which an edit begins.
func (v Vehicles) Load(ctx context.Context, id string) (Vehicle, int, error) {
	d, err := v.Documents.Latest(ctx, KindVehicle, id)
	if err != nil {
		return Vehicle{}, 0, err
	}
	vehicle, err := decode[Vehicle](d)
	return vehicle, d.Version, err
}

// Save stores the next version of a vehicle, tidied, and returns its number. A
// vehicle that cannot be right is refused with a fault.Bad sentence. A VIN
// whose check digit does not match is kept: see ReadVIN for what to show.
func (v Vehicles) Save(ctx context.Context, vehicle Vehicle, e Edit) (int, error) {
	if err := vehicle.Tidy(); err != nil {
		return 0, err
	}
	return save(ctx, v.Documents, KindVehicle, vehicle.ID, vehicle, e)
}

// Tidy trims the text, orders the odometer, and refuses what cannot be right.
func (v *Vehicle) Tidy() error {
	for _, s := range []*string{&v.ID, &v.Name, &v.Plate, &v.About} {
		*s = strings.TrimSpace(*s)
	}
	switch {
	case v.ID == "":
		return fault.New(fault.Bad, "The vehicle has no id. Give it one, for example its plate.")
	case v.Name == "":
		return fault.New(fault.Bad, "The vehicle has no name. Write what you call it, for example its model and colour.")
	case len(v.Odometer) > maxList || len(v.Documents) > maxList || len(v.Maps) > maxList:
		return fault.New(fault.TooLarge, "One of the vehicle's lists has more than %d lines. Leave out what is not needed.", maxList)
	}
	for _, t := range []struct {
		what, text string
		limit      int
	}{{"id", v.ID, maxLine}, {"name", v.Name, maxLine}, {"plate", v.Plate, maxLine}, {"text", v.About, maxText}} {
		if n := utf8.RuneCountInString(t.text); n > t.limit {
			return fault.New(fault.Bad, "The vehicle's %s has %d characters; at most %d fit. Shorten it.", t.what, n, t.limit)
		}
	}
	if v.VIN != "" {
		vin, err := ReadVIN(v.VIN)
		if err != nil {
			return err
		}
		v.VIN = vin.Text
	}
	return v.tidyLists()
}

func (v *Vehicle) tidyLists() error {
	for i, r := range v.Odometer {
		if r.Distance.IsZero() || r.Distance.Value < 0 {
			return fault.New(fault.Bad, "Odometer line %d has no distance, or one below zero. Write it with its unit, as in \"82 300 km\", or take the line out.", i+1)
		}
	}
	slices.SortStableFunc(v.Odometer, func(a, b Reading) int { return a.At.Compare(b.At) })
	v.Documents = slices.DeleteFunc(v.Documents, func(p Paper) bool {
		return strings.TrimSpace(p.Title+p.Where+p.Note) == ""
	})
	for i, p := range v.Documents {
		if n := utf8.RuneCountInString(p.Title + p.Where + p.Note); n > maxText {
			return fault.New(fault.Bad, "Document %d has %d characters; at most %d fit. Shorten it.", i+1, n, maxText)
		}
	}
	slices.Sort(v.Maps)
	v.Maps = slices.DeleteFunc(slices.Compact(v.Maps), func(id string) bool { return id == "" })
	return nil
}

// LastReading is the newest odometer reading, if there is one.
func (v *Vehicle) LastReading() (Reading, bool) {
	if len(v.Odometer) == 0 {
		return Reading{}, false
	}
	return v.Odometer[len(v.Odometer)-1], true
}

// An Edit says how a version came about: the version it began from (0 for
// something new), when, by whom and why.
type Edit struct {
	Base int
	At   time.Time
	By   string
	Note string
}

func save(ctx context.Context, docs Documents, kind, id string, value any, e Edit) (int, error) {
	body, err := json.Marshal(value)
	if err != nil {
		return 0, fault.Wrap(err, fault.Bad, "The %s %q cannot be written down: one of its times or figures is out of range.", kind, id)
	}
	return docs.Put(ctx, Document{Kind: kind, ID: id, At: e.At, By: e.By, Note: e.Note, Body: body}, e.Base)
}

func decode[T any](d Document) (out T, err error) {
	if err := json.Unmarshal(d.Body, &out); err != nil {
		return out, fault.Wrap(err, fault.Damaged, "Version %d of the %s %q does not read as what it should be. Look at its older versions, or bring it back from an export.", d.Version, d.Kind, d.ID)
	}
	return out, nil
}
