package web

import (
	"cmp"
	"context"
	"fmt"
	"net/http"
	"strings"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/web/parts"
)

func (h *Host) jobRoutes(mux *Router) {
	mux.HandleFunc("GET /jobs", h.listJobs)
	mux.HandleFunc("GET /jobs/new", h.newJob)
	mux.HandleFunc("POST /jobs/new", h.startJob)
	view := func(path, title string, make func(r *http.Request, s *job.State) jobView) {
		mux.HandleFunc("GET /jobs/{job}"+path, func(w http.ResponseWriter, r *http.Request) {
			s, err := h.load(r.Context(), r.PathValue("job"))
			if err != nil {
				h.fail(w, r, err)
				return
			}
			h.show(w, r, http.StatusOK, jobPage(h.jobFrame(r, s, title), make(r, s)))
		})
	}
	view("", "Job", h.withShelf(h.viewJob))
	view("/plan", "Plan", h.viewPlan)
	view("/ready", "Get ready", h.withShelf(h.viewReady))
	view("/steps", "All steps", func(_ *http.Request, s *job.State) jobView { return h.viewSteps(s) })
	view("/prove", "Prove", func(_ *http.Request, s *job.State) jobView { return h.viewProve(s) })
	view("/record", "Record", func(_ *http.Request, s *job.State) jobView { return h.viewRecord(s) })
	mux.HandleFunc("GET /jobs/{job}/targets", h.chooseTargets)
	mux.HandleFunc("POST /jobs/{job}/targets", h.planJob)
	mux.HandleFunc("GET /jobs/{job}/step", h.showStep)
	mux.HandleFunc("GET /jobs/{job}/item", h.showJobItem)
	mux.HandleFunc("GET /jobs/{job}/live", h.live)
	mux.HandleFunc("GET /jobs/{job}/paper/{kind}", h.paper)
	mux.HandleFunc("GET /jobs/{job}/follow-ups.ics", h.calendar)
	mux.HandleFunc("POST /jobs/{job}/keep-map", h.keepMap)
	mux.HandleFunc("GET /photos/{name}", h.servePhoto)
	h.learnedRoutes(mux)
	h.formRoutes(mux)
	h.boltRoutes(mux)
	h.actionRoutes(mux)
}

// withShelf gives a page the shelf.
func (h *Host) withShelf(view func(*job.State, garage.Shelf) jobView) func(*http.Request, *job.State) jobView {
	return func(r *http.Request, s *job.State) jobView {
		shelf, err := h.shelf(r.Context())
		v := view(s, shelf)
		if err != nil {
			v.Banner, v.BannerMend = "The shelf could not be read, so everything counts as missing.", sentence(err)
		}
		return v
	}
}

func (h *Host) showStep(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	if r.FormValue("id") == "" { // the step to do now
		to := jobURL(s.ID, "")
		if s.Next != nil {
			to = stepURL(s.ID, s.Next.ID)
		}
		http.Redirect(w, r, to, http.StatusSeeOther)
		return
	}
	st := s.StepByID(r.FormValue("id"))
	if st == nil {
		h.failWith(w, r, fault.New(fault.NotFound, "There is no such step in this job any more. Go back to the job and take the step from there."), backToJob(s.ID))
		return
	}
	// After a long rest the last steps are looked at again before the next one.
	if s.Next != nil && s.Next.ID == st.ID && h.resumption(s).Needed {
		http.Redirect(w, r, jobURL(s.ID, "resume"), http.StatusSeeOther)
		return
	}
	// Opening the step to do next starts its minutes; a step looked at ahead
	// does not, nor a link on another site.
	here := r.Header.Get("Sec-Fetch-Site") != "cross-site"
	if here && s.Next != nil && s.Next.ID == st.ID && st.Begun.IsZero() && !s.IsReleased() && s.Pause == nil {
		if madeAhead(w, r) {
			return
		}
		if again, err := h.Book.Do(r.Context(), s.ID, job.Begin(st.ID)); err == nil {
			s, st = again, again.StepByID(st.ID)
		}
	}
	h.show(w, r, http.StatusOK, stepPage(h.stepFrame(r, s, st), h.viewStep(s, st)))
}

// showJobItem is where the code on a tray's label leads: to the step that puts the
// item back while it is off, else to the step that takes it off.
func (h *Host) showJobItem(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	item := r.FormValue("item")
	to := ""
	for _, st := range s.Steps {
		if st.Item == item && st.Opens {
			to = st.ID
		}
	}
	if ring := s.Ring(item); ring != nil && ring.Up != "" {
		to = ring.Up
	}
	if to == "" {
		h.failWith(w, r, fault.New(fault.NotFound, "This item is not part of the job any more. Go back to the job."), backToJob(s.ID))
		return
	}
	http.Redirect(w, r, stepURL(s.ID, to), http.StatusSeeOther)
}

func (h *Host) newJob(w http.ResponseWriter, r *http.Request) {
	h.showNewJob(w, r, http.StatusOK, "")
}

func (h *Host) showNewJob(w http.ResponseWriter, r *http.Request, status int, problem string) {
	maps, vehicles := []parts.Option{{Value: "", Label: "no map: record as I go"}}, []parts.Option(nil)
	list, err := h.maps(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	for _, m := range list {
		maps = append(maps, parts.Option{Value: m.ID, Label: m.Name})
	}
	owned, err := h.vehicles(r.Context())
	if err != nil {
		h.fail(w, r, err)
		return
	}
	for _, v := range owned {
		vehicles = append(vehicles, parts.Option{Value: v.Name, Label: v.Name})
	}
	mapHint := "It says what is in the way of what. Without one, you record as things come off."
	if len(list) == 0 {
		mapHint = "None is kept yet. Without one, you record as things come off, and can keep that as a map."
	}
	f := formView{Title: "A new job", URL: "/jobs/new", Action: "Start the job", Error: problem, Back: parts.Link{Label: "Jobs in hand", Href: "/jobs"}, Other: parts.Link{Label: "A new map, from a starter", Href: "/new/map"},
		Fields: []parts.FieldInfo{
			{Name: "vehicle", Label: "Vehicle", Value: r.FormValue("vehicle"), Hint: "Any words you know it by.", Options: vehicles, Required: true, Focus: true},
			{Type: "area", Name: "complaint", Label: "What is wrong, what is wanted?", Value: r.FormValue("complaint"), Required: true},
			{Type: "select", Name: "map", Label: "Access map", Value: mapAsked(r, owned), Options: maps, Hint: mapHint},
			{Name: "title", Label: "Title", Value: r.FormValue("title"), Hint: "A few words for lists. Left blank, it is what is to be done, or the complaint."},
			{Name: "odometer", Label: "Odometer", Value: r.FormValue("odometer"), Placeholder: "84,200 km"},
			{Name: "vin", Label: "VIN", Value: r.FormValue("vin"), Hint: "Optional. Its check digit is tested."},
		}}
	h.show(w, r, status, formPage(h.page(r, parts.Jobs, "A new job"), f))
}

// mapAsked is the map to offer first: the one chosen, else the only one that
// fits the vehicle the page was opened for. A choice of "no map" stays.
func mapAsked(r *http.Request, owned []garage.Vehicle) string {
	chosen, name := r.FormValue("map"), garage.PlainName(r.FormValue("vehicle"))
	if r.Form.Has("map") {
		return chosen
	}
	fits, vehicles := "", 0
	for _, v := range owned {
		if garage.PlainName(v.Name) != name {
			continue
		}
		if vehicles++; len(v.Maps) == 1 {
			fits = v.Maps[0]
		}
	}
	if vehicles != 1 {
		return ""
	}
	return fits
}

func (h *Host) startJob(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, formLimit)
	if err := parseForm(r); err != nil {
		h.fail(w, r, formError(err))
		return
	}
	field := func(name string) string { return strings.TrimSpace(r.FormValue(name)) }
	d := job.Started{Title: field("title"), Vehicle: field("vehicle"), VIN: strings.ToUpper(field("vin")), Odometer: field("odometer"), Complaint: field("complaint"), MapID: field("map")}
	if owned := h.ownedVehicle(r.Context(), d.Vehicle, d.VIN); owned != nil {
		d.VehicleID, d.VIN = owned.ID, cmp.Or(d.VIN, owned.VIN)
	}
	if problem := vinProblem(d.VIN); problem != "" {
		h.showNewJob(w, r, http.StatusUnprocessableEntity, problem)
		return
	}
	s, err := h.Book.Start(r.Context(), d)
	if err != nil {
		h.showNewJob(w, r, statusOf(err), sentence(err))
		return
	}
	if d.MapID == "" {
		targets := []job.Target{{Name: d.Complaint, Action: access.Inspect}}
		if _, err := h.Book.Do(r.Context(), s.ID, job.SetTargets(targets, "record as you go")); err != nil {
			h.fail(w, r, err)
			return
		}
		http.Redirect(w, r, jobURL(s.ID, ""), http.StatusSeeOther)
		return
	}
	http.Redirect(w, r, jobURL(s.ID, "targets"), http.StatusSeeOther)
}

// recordPlan keeps the targets and the plan as one: the job is planned or not.
func (h *Host) recordPlan(ctx context.Context, s *job.State, m *access.Map, version int, req opening.Request, plan *opening.Plan) error {
	var targets []job.Target
	for _, t := range req.Targets {
		targets = append(targets, job.Target{Item: t.Item, Name: m.Item(t.Item).Name, Action: t.Action})
	}
	_, err := h.Book.Do(ctx, s.ID, func(rec *job.Recorder, s *job.State) ([]job.Event, error) {
		first, err := job.SetTargets(targets, "")(rec, s)
		if err != nil {
			return nil, err
		}
		second, err := job.UsePlan(plan, m, version, req.Already)(rec, s)
		return append(first, second...), err
	})
	return err
}

// postOff records something that came off: met in the way of a step, or as a
// job without a map goes.
func (h *Host) postOff(w http.ResponseWriter, r *http.Request) {
	h.post(func(r *http.Request) (job.Action, error) {
		d := job.TakenOff{Name: r.FormValue("name"), Tray: strings.TrimSpace(r.FormValue("tray")), Aside: r.FormValue("aside") == "yes", NotYet: r.FormValue("not_yet") == "yes"}
		count, err := countOf(r.FormValue("count"))
		if err != nil {
			return nil, err
		}
		switch {
		case count > 0:
			d.Fasteners = []access.Fastener{{Name: firstWord(r.FormValue("pieces"), "Fasteners"), Count: count}}
		case strings.TrimSpace(r.FormValue("count")) == "0":
			d.NoneOff = true
		}
		if kind := r.FormValue("opens"); kind != "" {
			d.Opens = []access.Joint{{Kind: kind, Name: strings.TrimSpace(d.Name)}}
		}
		if of := r.FormValue("in_way_of"); of != "" {
			d.InWayOf = []string{of}
		}
		if step := r.FormValue("id"); step != "" {
			return job.MeetInTheWay(step, d), nil
		}
		return job.TakeOff(d), nil
	}, func(r *http.Request, s *job.State) string {
		if s.Plan != nil {
			return toNext(r, s)
		}
		return jobURL(s.ID, "")
	})(w, r)
}

func countOf(text string) (int, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, nil
	}
	var n int
	if _, err := fmt.Sscanf(text, "%d", &n); err != nil || n < 0 || fmt.Sprint(n) != text {
		return 0, &job.Error{Code: job.CodeWrong, Text: "\"" + text + "\" is not a count: write a whole number, as in 4."}
	}
	return n, nil
}

func firstWord(text, otherwise string) string {
	if text = strings.TrimSpace(text); text != "" {
		return text
	}
	return otherwise
}

var paperNames = map[string]string{"sheet": "job sheet", "ready": "ready list", "labels": "labels", "tag": "pause tag", "record": "record", "boltcard": "bolt card", "belt": "belt run"}

func (h *Host) paper(w http.ResponseWriter, r *http.Request) {
	kind := r.PathValue("kind")
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err == nil && paperNames[kind] == "" {
		err = fault.New(fault.NotFound, "There is no such paper. There are the job sheet, the ready list, labels, the pause tag, the bolt card and the record.")
	}
	if err == nil && h.Paper == nil {
		err = fault.New(fault.NotFound, "This device cannot print. Open the job where Lastbolt is installed.")
	}
	var body []byte
	if err == nil {
		body, err = h.Paper(kind, s, r)
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf("inline; filename=%q", strings.ReplaceAll(paperNames[kind], " ", "-")+".pdf"))
	w.Header().Set("Cache-Control", "no-store")
	if _, err := w.Write(body); err != nil {
		h.logger().Info("paper not sent whole", "error", err)
	}
}
