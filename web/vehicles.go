package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
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
	JobsShown   string     // which of them are on this page, when not all
	JobsOlder   parts.Link // the page of the next ones
}

func (h *Host) vehicleRoutes(mux *Router) {
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
	if err := h.fillVehicle(r.Context(), &v, car, version, numberFrom(r.URL.Query().Get("from"))); err != nil {
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

// fillVehicle fills the page; from is how many of the latest jobs to pass over.
func (h *Host) fillVehicle(ctx context.Context, v *vehicleView, car garage.Vehicle, version, from int) error {
	v.Name, v.About, v.Invented = car.Name, car.About, car.Invented
	v.Facts = h.vehicleFacts(car)
	for _, p := range car.Documents {
		v.Papers = append(v.Papers, parts.Fact{Label: p.Title, Value: strings.Join(nonEmpty(p.Where, p.Note), " · ")})
	}
	jobs, err := h.jobsOf(ctx, car)
	if err != nil {
		return err
	}
	from = min(from, len(jobs))
	to := min(from+jobsAPage, len(jobs))
	for _, s := range jobs[from:to] {
		v.Jobs = append(v.Jobs, h.jobRow(s))
	}
	if to-from < len(jobs) {
		v.JobsShown = fmt.Sprintf("%d to %d of %d jobs, those touched last first.", min(from+1, to), to, len(jobs))
	}
	if to < len(jobs) {
		v.JobsOlder = parts.Link{Label: "Older jobs", Href: fmt.Sprintf("%s?from=%d", vehicleURL(car.ID, ""), to)}
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
	jobs, err := h.allSummaries(ctx, job.Query{Vehicle: car.ID, Closed: true})
	if err != nil {
		return nil, err
	}
	named, err := h.allSummaries(ctx, job.Query{Text: car.Name, Closed: true})
	if err != nil {
		return nil, err
	}
	there := map[string]bool{}
	for _, s := range jobs {
		there[s.ID] = true
	}
	for _, s := range named {
		if garage.PlainName(s.Vehicle) == garage.PlainName(car.Name) && !there[s.ID] {
			jobs = append(jobs, s)
		}
	}
	slices.SortStableFunc(jobs, func(a, b job.Summary) int { return b.Touched.Compare(a.Touched) })
	return jobs, nil
}

// allSummaries lists every job that a query picks, a part at a time. A job that
// is recorded in meanwhile moves to the front, and is then met twice: once is kept.
func (h *Host) allSummaries(ctx context.Context, q job.Query) ([]job.Summary, error) {
	q.Limit = 1000
	var all []job.Summary
	met := map[string]bool{}
	for {
		part, err := h.Book.Summaries(ctx, q)
		if err != nil {
			return nil, err
		}
		for _, s := range part {
			if !met[s.ID] {
				met[s.ID], all = true, append(all, s)
			}
		}
		if len(part) < q.Limit {
			return all, nil
		}
		q.Offset += len(part)
	}
}
