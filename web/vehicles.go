package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/quantity"
	"lastbolt/web/parts"
)

type vehiclesView struct {
	Query string
	Rows  []rowView
	None  bool // there is no vehicle at all
}

type vehicleView struct {
	Name, About string
	Invented    bool
	Facts       []parts.Fact
	Jobs, Maps  []rowView
	Papers      []parts.Fact
	Reading     editView
	Versions    []rowView
	Old         string // says which older version this is
	Edit, Start string
	JobsOlder   string
}

func (h *Host) vehicleRoutes(mux *http.ServeMux) {
	mux.HandleFunc("GET /vehicles", h.listVehicles)
	mux.HandleFunc("GET /new/vehicle", func(w http.ResponseWriter, r *http.Request) {
		h.showVehicleForm(w, r, http.StatusOK, "", newTyped(), "", "")
	})
	mux.HandleFunc("POST /new/vehicle", h.keepVehicle)
	mux.HandleFunc("GET /vehicles/{vehicle}", func(w http.ResponseWriter, r *http.Request) { h.showVehicle(w, r, http.StatusOK, newTyped()) })
	mux.HandleFunc("GET /vehicles/{vehicle}/edit", h.editVehicle)
	mux.HandleFunc("POST /vehicles/{vehicle}/edit", h.keepVehicle)
	mux.HandleFunc("POST /vehicles/{vehicle}/odometer", h.addReading)
}

func vehicleURL(id, rest string) string {
	u := "/vehicles/" + url.PathEscape(id)
	if rest != "" {
		u += "/" + rest
	}
	return u
}

func (h *Host) garageVehicles() garage.Vehicles { return garage.Vehicles{Documents: h.Documents} }

func (h *Host) listVehicles(w http.ResponseWriter, r *http.Request) {
	list, err := h.vehicles(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	v := vehiclesView{Query: strings.TrimSpace(r.URL.Query().Get("q")), None: len(list) == 0}
	for _, car := range list {
		if !holdsAll(v.Query, car.Name, car.Plate, car.VIN, car.About) {
			continue
		}
		row := rowView{Href: vehicleURL(car.ID, ""), Name: car.Name}
		beneath := nonEmpty(car.Plate, firstLine(car.About))
		if last, ok := car.LastReading(); ok {
			beneath = append(beneath, last.Distance.String()+" on "+h.day(last.At))
		}
		row.Beneath = strings.Join(beneath, " · ")
		if car.Invented {
			row.Tag, row.State = "invented", "open"
		}
		v.Rows = append(v.Rows, row)
	}
	h.show(w, r, http.StatusOK, vehiclesPage(h.page(r, parts.Vehicles, "Vehicles"), v))
}

// holdsAll reports that each word of the query is in one of the texts.
func holdsAll(query string, texts ...string) bool {
	all := garage.PlainName(strings.Join(texts, " "))
	for _, word := range strings.Fields(garage.PlainName(query)) {
		if !strings.Contains(all, word) {
			return false
		}
	}
	return true
}

func firstLine(s string) string {
	line, _, _ := strings.Cut(s, "\n")
	if r := []rune(line); len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return line
}

func (h *Host) showVehicle(w http.ResponseWriter, r *http.Request, status int, t *typed) {
	id := r.PathValue("vehicle")
	car, version, err := h.garageVehicles().Load(r.Context(), id)
	if err != nil {
		h.fail(w, r, vehicleGone(err))
		return
	}
	v := vehicleView{Edit: vehicleURL(id, "edit"), Start: "/jobs/new?" + url.Values{"vehicle": {car.Name}, "vin": {car.VIN}}.Encode()}
	if n := numberFrom(r.URL.Query().Get("version")); n > 0 && n != version {
		d, err := h.Documents.Version(r.Context(), garage.KindVehicle, id, n)
		if err == nil {
			car, err = oldVehicle(d)
		}
		if err != nil {
			h.fail(w, r, vehicleGone(err))
			return
		}
		v.Old = fmt.Sprintf("This is version %d of %s. The newest is version %d.", n, h.when(d.At), version)
	}
	if err := h.fillVehicle(r.Context(), &v, car, version); err != nil {
		h.fail(w, r, err)
		return
	}
	v.Reading = h.readingForm(id, version, t)
	h.show(w, r, status, vehiclePage(h.page(r, parts.Vehicles, car.Name), v))
}

func oldVehicle(d garage.Document) (garage.Vehicle, error) {
	var car garage.Vehicle
	if err := json.Unmarshal(d.Body, &car); err != nil {
		return car, fault.Wrap(err, fault.Damaged, "Version %d of this vehicle cannot be read. The others can.", d.Version)
	}
	return car, nil
}

func vehicleGone(err error) error {
	if fault.Is(err, fault.NotFound) {
		return fault.Wrap(err, fault.NotFound, "There is no such vehicle here. Look for it under Vehicles.")
	}
	return err
}

func (h *Host) fillVehicle(ctx context.Context, v *vehicleView, car garage.Vehicle, version int) error {
	v.Name, v.About, v.Invented = car.Name, car.About, car.Invented
	v.Facts = h.vehicleFacts(car)
	for _, p := range car.Documents {
		v.Papers = append(v.Papers, parts.Fact{Label: p.Title, Value: strings.Join(nonEmpty(p.Where, p.Note), " · ")})
	}
	jobs, err := h.jobsOf(ctx, car)
	if err != nil {
		return err
	}
	for _, s := range jobs {
		v.Jobs = append(v.Jobs, h.jobRow(s))
	}
	maps, err := h.maps(ctx)
	if err != nil {
		return err
	}
	for _, m := range maps {
		if slices.Contains(car.Maps, m.ID) {
			v.Maps = append(v.Maps, rowView{Href: mapURL(m.ID, ""), Name: m.Name, Beneath: plural(m.Items, "item", "items")})
		}
	}
	history, err := h.Documents.History(ctx, garage.KindVehicle, car.ID)
	if err != nil {
		return err
	}
	for _, d := range history {
		row := rowView{Href: fmt.Sprintf("%s?version=%d", vehicleURL(car.ID, ""), d.Version), Name: fmt.Sprintf("Version %d", d.Version), Beneath: strings.Join(nonEmpty(h.when(d.At), d.By, d.Note), " · ")}
		if d.Version == version {
			row.Tag = "newest"
		}
		v.Versions = append(v.Versions, row)
	}
	return nil
}

func (h *Host) vehicleFacts(car garage.Vehicle) []parts.Fact {
	var facts []parts.Fact
	if car.Plate != "" {
		facts = append(facts, parts.Fact{Label: "Plate", Value: car.Plate})
	}
	if car.VIN != "" {
		fact := parts.Fact{Label: "VIN", Value: car.VIN}
		facts = append(facts, fact)
		if vin, err := garage.ReadVIN(car.VIN); err == nil {
			facts = append(facts, parts.Fact{Label: "Check digit", Value: vin.Say()})
		}
	}
	for _, reading := range slices.Backward(car.Odometer) {
		label := "Odometer"
		if !reading.At.IsZero() {
			label = h.day(reading.At)
		}
		facts = append(facts, parts.Fact{Label: label, Value: strings.Join(nonEmpty(reading.Distance.String(), reading.Note), " · ")})
	}
	return facts
}

// jobsOf gives the jobs of a vehicle, newest first: those recorded under its
// id, and those that were only given its name.
func (h *Host) jobsOf(ctx context.Context, car garage.Vehicle) ([]job.Summary, error) {
	jobs, err := h.Book.Summaries(ctx, job.Query{Vehicle: car.ID, Closed: true})
	if err != nil {
		return nil, err
	}
	named, err := h.Book.Summaries(ctx, job.Query{Text: car.Name, Closed: true})
	if err != nil {
		return nil, err
	}
	for _, s := range named {
		if garage.PlainName(s.Vehicle) == garage.PlainName(car.Name) && !slices.ContainsFunc(jobs, func(o job.Summary) bool { return o.ID == s.ID }) {
			jobs = append(jobs, s)
		}
	}
	slices.SortStableFunc(jobs, func(a, b job.Summary) int { return b.Touched.Compare(a.Touched) })
	return jobs, nil
}

func (h *Host) readingForm(id string, version int, t *typed) editView {
	if !t.Has("at") {
		t.Set("at", h.Now().In(h.zone()).Format(time.DateOnly))
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
	if len(t.wrong) > 0 || t.Get("more") != "" {
		h.showVehicleForm(w, r, http.StatusUnprocessableEntity, id, t, "", "")
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
	s.Sum = countSum(t.rows("odometer"), "reading", "readings")
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
	s.Sum = countSum(t.rows("paper"), "paper", "papers")
	return s
}
