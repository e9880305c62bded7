package web

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/quantity"
	"lastbolt/web/parts"
)

// The forms of a vehicle: a reading of the odometer, and all of it.

func (h *Host) readingForm(id string, version int, t *typed) editView {
	if !t.Has("at") {
		t.Set("at", h.today().Format(time.DateOnly))
	}
	return editView{URL: vehicleURL(id, "odometer"), Action: "Keep the reading", Hidden: parts.Pairs("base", strconv.Itoa(version)),
		Sections: []sectionView{{Cells: []cell{
			{Size: half, FieldInfo: t.field(parts.FieldInfo{Name: "distance", Label: "Odometer now", Placeholder: "as in 82 300 km"})},
			{Size: half, FieldInfo: t.field(parts.FieldInfo{Type: "date", Name: "at", Label: "On"})},
			{FieldInfo: t.field(parts.FieldInfo{Name: "note", Label: "Note", Placeholder: "new instrument, starts at 0"})},
		}}}}
}

func (h *Host) addReading(w http.ResponseWriter, r *http.Request) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	id := r.PathValue("vehicle")
	reading := garage.Reading{At: h.dayTyped(t, "at"), Distance: quantityOf[quantity.Length](t, "distance"), Note: t.line("note")}
	if reading.Distance.IsZero() {
		t.refuse("distance", "Write the distance with its unit, as in 82 300 km.")
	}
	if len(t.wrong) > 0 {
		h.showVehicle(w, r, http.StatusUnprocessableEntity, t)
		return
	}
	// A reading is added to whatever is newest: it contradicts no other edit.
	for range 5 {
		var car garage.Vehicle
		var version int
		if car, version, err = h.garageVehicles().Load(r.Context(), id); err != nil {
			break
		}
		car.Odometer = append(car.Odometer, reading)
		_, err = h.garageVehicles().Save(r.Context(), car, garage.Edit{Base: version, At: h.Now(), Note: "odometer " + reading.Distance.String()})
		if !fault.Is(err, fault.Stale) {
			break
		}
	}
	if fault.Is(err, fault.Bad) {
		t.refuse("distance", "%s", sentence(err))
		h.showVehicle(w, r, http.StatusUnprocessableEntity, t)
		return
	}
	if err != nil {
		h.fail(w, r, vehicleGone(err))
		return
	}
	http.Redirect(w, r, vehicleURL(id, "")+"?said="+url.QueryEscape("Odometer: "+reading.Distance.String()), http.StatusSeeOther)
}

func (h *Host) editVehicle(w http.ResponseWriter, r *http.Request) {
	car, version, err := h.garageVehicles().Load(r.Context(), r.PathValue("vehicle"))
	if err != nil {
		h.fail(w, r, vehicleGone(err))
		return
	}
	h.showVehicleForm(w, r, http.StatusOK, car.ID, h.vehicleTyped(car, version), "", "")
}

// vehicleTyped is the form of a vehicle as it is kept.
func (h *Host) vehicleTyped(car garage.Vehicle, version int) *typed {
	t := newTyped()
	t.Set("base", strconv.Itoa(version))
	t.Set("name", car.Name)
	t.Set("about", car.About)
	t.Set("plate", car.Plate)
	t.Set("vin", car.VIN)
	for _, id := range car.Maps {
		t.Set("map:"+id, "yes")
	}
	for i, reading := range car.Odometer {
		row := rowPrefix("odometer", i)
		t.Set(row+"id", reading.At.Format(time.RFC3339Nano))
		t.Set(row+"at", reading.At.In(h.zone()).Format(time.DateOnly))
		t.Set(row+"distance", reading.Distance.String())
		t.Set(row+"note", reading.Note)
	}
	for i, p := range car.Documents {
		row := rowPrefix("paper", i)
		t.Set(row+"title", p.Title)
		t.Set(row+"where", p.Where)
		t.Set(row+"note", p.Note)
	}
	return t
}

// typedVehicle reads the form back.
func (h *Host) typedVehicle(t *typed, old garage.Vehicle) garage.Vehicle {
	car := garage.Vehicle{ID: old.ID, Invented: old.Invented, Name: t.line("name"), About: t.text("about"), Plate: t.line("plate"), VIN: t.line("vin")}
	if car.Name == "" {
		t.refuse("name", "Write what you call it, for example its model and colour.")
	}
	if car.VIN != "" {
		if _, err := garage.ReadVIN(car.VIN); err != nil {
			t.refuse("vin", "%s", sentence(err))
		}
	}
	for name := range t.Values {
		if id, ok := strings.CutPrefix(name, "map:"); ok && t.ticked(name) {
			car.Maps = append(car.Maps, id)
		}
	}
	slices.Sort(car.Maps)
	t.each("odometer", func(row string) {
		reading := garage.Reading{At: h.dayTyped(t, row+"at"), Distance: quantityOf[quantity.Length](t, row+"distance"), Note: t.line(row + "note")}
		if kept, err := time.Parse(time.RFC3339Nano, t.Get(row+"id")); err == nil && h.day(kept) == h.day(reading.At) {
			reading.At = kept // the day was not changed: keep the hour too
		}
		if reading.Distance.IsZero() {
			if t.line(row+"note") == "" {
				return // a date alone says nothing
			}
			t.refuse(row+"distance", "Write the distance with its unit, as in 82 300 km, or empty the line.")
		}
		car.Odometer = append(car.Odometer, reading)
	})
	t.each("paper", func(row string) {
		car.Documents = append(car.Documents, garage.Paper{Title: t.line(row + "title"), Where: t.line(row + "where"), Note: t.line(row + "note")})
	})
	return car
}

func (h *Host) keepVehicle(w http.ResponseWriter, r *http.Request) {
	t, err := readForm(w, r)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	id := r.PathValue("vehicle")
	var old garage.Vehicle
	newest := 0
	if id != "" {
		if old, newest, err = h.garageVehicles().Load(r.Context(), id); err != nil {
			h.fail(w, r, vehicleGone(err))
			return
		}
	}
	car := h.typedVehicle(t, old)
	if t.Get("more") != "" {
		t.wrong = map[string]string{} // not sent off yet: nothing to complain about
	}
	if len(t.wrong) > 0 || t.Get("more") != "" {
		problem, mend, status := "", "", http.StatusOK
		if t.Get("more") == "" {
			problem, mend, status = "Not kept yet: something does not fit.", "What you typed is still here.", http.StatusUnprocessableEntity
		}
		h.showVehicleForm(w, r, status, id, t, problem, mend)
		return
	}
	if id == "" {
		if car.ID, err = h.freeID(r.Context(), garage.KindVehicle, car.Name); err != nil {
			h.fail(w, r, err)
			return
		}
	}
	_, err = h.garageVehicles().Save(r.Context(), car, garage.Edit{Base: numberFrom(t.Get("base")), At: h.Now()})
	switch {
	case fault.Is(err, fault.Stale):
		t.Set("base", strconv.Itoa(newest))
		h.showVehicleForm(w, r, http.StatusConflict, id, t, "This vehicle was changed in the meantime, so this was not kept yet. What you typed is still here.",
			"Look at it in another tab; keeping this again puts it in place of that.")
	case err != nil:
		h.showVehicleForm(w, r, statusOf(err), id, t, sentence(err), "What you typed is still here.")
	default:
		http.Redirect(w, r, vehicleURL(car.ID, "")+"?said=Kept", http.StatusSeeOther)
	}
}

// freeID makes an id from a name that no document of the kind has yet.
func (h *Host) freeID(ctx context.Context, kind, name string) (string, error) {
	base := slugOf(name)
	id := base
	for n := 2; ; n++ {
		_, err := h.Documents.Latest(ctx, kind, id)
		if fault.Is(err, fault.NotFound) {
			return id, nil
		}
		if err != nil {
			return "", err
		}
		id = fmt.Sprintf("%s-%d", base, n)
	}
}

func (h *Host) showVehicleForm(w http.ResponseWriter, r *http.Request, status int, id string, t *typed, problem, mend string) {
	maps, err := h.maps(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	e := editView{Title: "A new vehicle", URL: "/new/vehicle", Action: "Keep the vehicle", Error: problem, Mend: mend,
		Hidden: parts.Pairs("base", t.Get("base")), Back: parts.Link{Label: "Vehicles", Href: "/vehicles"}}
	if id != "" {
		e.Title, e.URL, e.Back = "Edit "+t.Get("name"), vehicleURL(id, "edit"), parts.Link{Label: "Back", Href: vehicleURL(id, "")}
	}
	e.Sections = append(e.Sections, sectionView{Cells: []cell{
		{FieldInfo: t.field(parts.FieldInfo{Name: "name", Label: "What you call it", Placeholder: "Blue Tern van", Focus: id == ""})},
		{FieldInfo: t.field(parts.FieldInfo{Name: "plate", Label: "Plate"})},
		{FieldInfo: t.field(parts.FieldInfo{Name: "vin", Label: "VIN", Complete: "off", Hint: "May stay blank. 17 characters without I, O and Q; its check digit is tested and explained."})},
		{FieldInfo: t.field(parts.FieldInfo{Type: "area", Name: "about", Label: "About it", Hint: "Engine, year, marks, what to mind."})},
	}})
	e.Sections = append(e.Sections, h.mapTicks(t, maps), readingRows(t), paperRows(t))
	p := h.page(r, parts.Vehicles, e.Title)
	p.Reading = true
	h.show(w, r, status, longFormPage(p, e))
}

func (h *Host) mapTicks(t *typed, maps []mapLine) sectionView {
	s := sectionView{Title: "Maps that fit it", Ticks: true}
	for _, m := range maps {
		s.Cells = append(s.Cells, cell{FieldInfo: t.field(parts.FieldInfo{Type: "check", Name: "map:" + m.ID, Label: m.Name})})
	}
	if len(maps) == 0 {
		s.Hint = "There is no map yet."
	}
	return s
}

func readingRows(t *typed) sectionView {
	s := sectionView{Title: "Odometer", Folded: true, More: "odometer"}
	for i := range t.rowsToShow("odometer") {
		row := rowPrefix("odometer", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Reading %d", i+1),
			cell{Size: half, FieldInfo: parts.FieldInfo{Name: row + "distance", Label: "Distance", Placeholder: "as in 82 300 km"}},
			cell{Size: half, FieldInfo: parts.FieldInfo{Type: "date", Name: row + "at", Label: "On"}},
			cell{FieldInfo: parts.FieldInfo{Name: row + "note", Label: "Note"}}))
	}
	s.Sum = countSum(t.filled("odometer"), "reading", "readings")
	return s
}

func paperRows(t *typed) sectionView {
	s := sectionView{Title: "Papers at hand", Folded: true, More: "paper", Hint: "The maker's documents and others: what, and where to find it."}
	for i := range t.rowsToShow("paper") {
		row := rowPrefix("paper", i)
		s.Rows = append(s.Rows, t.row(row, fmt.Sprintf("Paper %d", i+1),
			cell{FieldInfo: parts.FieldInfo{Name: row + "title", Label: "What", Placeholder: "Maker's sheet 9, tightening"}},
			cell{FieldInfo: parts.FieldInfo{Name: row + "where", Label: "Where", Placeholder: "folder on the bench, page 3"}},
			cell{FieldInfo: parts.FieldInfo{Name: row + "note", Label: "Note"}}))
	}
	s.Sum = countSum(t.filled("paper"), "paper", "papers")
	return s
}
