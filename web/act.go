package web

import (
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/pattern"
)

// formLimit is the most a form without files may send; no form of ours comes
// near it.
const formLimit = 1 << 20

// open refuses what makes no sense on a released job.
func open(s *job.State) error {
	if s.IsReleased() {
		return &job.Error{Code: job.CodeReleased, Text: "This job was released; what is recorded stays. Add an amendment instead."}
	}
	return nil
}

// post reads a form and runs an action made from it. Where to go on comes from
// the state after the action.
func (h *Host) post(make func(r *http.Request) (job.Action, error), onward func(r *http.Request, s *job.State) string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, formLimit)
		if err := parseForm(r); err != nil {
			h.fail(w, r, formError(err))
			return
		}
		act, err := make(r)
		if err != nil {
			h.fail(w, r, err)
			return
		}
		s, err := h.Book.Do(r.Context(), r.PathValue("job"), act)
		if err != nil {
			h.refused(w, r, s, err)
			return
		}
		http.Redirect(w, r, onward(r, s), http.StatusSeeOther)
	}
}

// parseForm reads a form without files within the limit that is on its body. One
// that comes in parts, as no page of ours sends it, is read whole or refused: its
// missing fields would count as left blank.
func parseForm(r *http.Request) error {
	err := r.ParseForm()
	if err == nil {
		err = r.ParseMultipartForm(formLimit)
	}
	if errors.Is(err, http.ErrNotMultipart) {
		return nil
	}
	return err
}

func formError(err error) error {
	if _, big := errors.AsType[*http.MaxBytesError](err); big {
		return fault.Wrap(err, fault.TooLarge, "That is more than a form may send. Shorten it, or send photos one at a time.")
	}
	return fault.Wrap(err, fault.Bad, "The form did not arrive whole. Send it again.")
}

// refused shows why nothing was recorded, on the step's own page where there is
// one, so that the next tap is at hand.
func (h *Host) refused(w http.ResponseWriter, r *http.Request, s *job.State, err error) {
	refusal, known := errors.AsType[*job.Error](err)
	if s == nil || !known {
		h.fail(w, r, err)
		return
	}
	if st := s.StepByID(r.FormValue("id")); st != nil {
		v := h.viewStep(s, st)
		v.Error = refusal.Text
		h.show(w, r, statusOf(err), stepPage(h.stepFrame(r, s, st), v))
		return
	}
	h.fail(w, r, err)
}

func toNext(_ *http.Request, s *job.State) string {
	if s.Next != nil {
		return stepURL(s.ID, s.Next.ID)
	}
	return jobURL(s.ID, "")
}

// toStep goes back to the step the form belongs to, or to the job.
func toStep(r *http.Request, s *job.State) string {
	if id := r.FormValue("id"); s.StepByID(id) != nil {
		return stepURL(s.ID, id)
	}
	return jobURL(s.ID, "")
}

func toPage(rest string) func(*http.Request, *job.State) string {
	return func(_ *http.Request, s *job.State) string { return jobURL(s.ID, rest) }
}

// doneForm reads a finished step: counts, tray, sizes, renewed pieces, the
// caution held.
func doneForm(r *http.Request) (job.StepDone, error) {
	d := job.StepDone{Step: r.FormValue("id"), Tray: strings.TrimSpace(r.FormValue("tray")), Note: strings.TrimSpace(r.FormValue("note"))}
	for key, values := range r.PostForm {
		kind, name, ok := strings.Cut(key, ":")
		if !ok || len(values) == 0 {
			continue
		}
		value := strings.TrimSpace(values[0])
		switch kind {
		case "count":
			if value == "" {
				d.NotCounted = append(d.NotCounted, name)
				continue
			}
			n, err := strconv.Atoi(value)
			if err != nil {
				return d, &job.Error{Code: job.CodeWrong, Text: "\"" + value + "\" is not a count: write a whole number, as in 4, or leave it blank for \"not counted\"."}
			}
			if d.Counts == nil {
				d.Counts = map[string]int{}
			}
			d.Counts[name] = n
		case "size":
			if value != "" {
				if d.Sizes == nil {
					d.Sizes = map[string]string{}
				}
				d.Sizes[name] = value
			}
		case "new":
			if d.Renewed == nil {
				d.Renewed = map[string]bool{}
			}
			d.Renewed[name] = value == "yes"
		}
	}
	if held := r.FormValue("held"); held != "" {
		if r.FormValue("confirmed") != "yes" {
			return d, &job.Error{Code: job.CodeMissing, Text: "Check it first: hold the button, or tick the check, once it is true."}
		}
		d.Held = strings.Split(held, ",")
	}
	return d, nil
}

func makeDone(r *http.Request) (job.Action, error) {
	d, err := doneForm(r)
	if err != nil {
		return nil, err
	}
	if r.FormValue("aside") == "yes" {
		return checkedFirst(d, withBolts(d, job.SetAside)), nil
	}
	return checkedFirst(d, withBolts(d, withTorque)), nil
}

// checkedFirst refuses a step whose DANGER was not confirmed, whatever page or
// program sent it.
func checkedFirst(d job.StepDone, act job.Action) job.Action {
	return func(rec *job.Recorder, s *job.State) ([]job.Event, error) {
		if st := s.StepByID(d.Step); st != nil && !st.IsDone() {
			_, ids := holdCheck(s, st)
			for _, id := range strings.Split(ids, ",") {
				if id != "" && !slices.Contains(d.Held, id) {
					return nil, &job.Error{Code: job.CodeMissing, Text: "Check it first: hold the button on the step's page, or tick the check, once it is true."}
				}
			}
		}
		return act(rec, s)
	}
}

// withTorque fills in how each group was tightened, from what the step showed:
// the value, its source. The mechanic confirmed it by the tap.
func withTorque(d job.StepDone) job.Action {
	return func(rec *job.Recorder, s *job.State) ([]job.Event, error) {
		if st := s.StepByID(d.Step); st != nil && st.Closes && len(d.Tightened) == 0 {
			for _, g := range st.Groups {
				t := g.Fastener.Torque
				if t.Value.IsZero() || job.RefusedTorque(st.Critical, t) != "" {
					continue
				}
				value := t.Value.String()
				if t.Then != "" {
					value += ", " + t.Then
				}
				d.Tightened = append(d.Tightened, job.Tightened{Group: g.ID, Value: value, Source: t.Source})
			}
		}
		return job.DoStep(d)(rec, s)
	}
}

// actionRoutes are the taps: each records, and leads on.
func (h *Host) actionRoutes(mux *Router) {
	simple := func(path string, onward func(*http.Request, *job.State) string, make func(r *http.Request) (job.Action, error)) {
		mux.HandleFunc("POST /jobs/{job}/"+path, h.post(make, onward))
	}
	simple("done", toNext, makeDone)
	simple("begin", toStep, func(r *http.Request) (job.Action, error) { return job.Begin(r.FormValue("id")), nil })
	simple("undo", undoneTo, func(r *http.Request) (job.Action, error) { return job.UndoLast(r.FormValue("event")), nil })
	simple("got", h.backTo, func(r *http.Request) (job.Action, error) {
		return job.Mark(r.FormValue("key"), r.FormValue("name"), job.How(r.FormValue("how")), r.FormValue("note")), nil
	})
	simple("none", h.backTo, func(r *http.Request) (job.Action, error) { return job.SayNone(r.FormValue("what")), nil })
	simple("settle", toPage(""), func(r *http.Request) (job.Action, error) {
		return job.Resolve(r.FormValue("conflict"), r.FormValue("event"), ""), nil
	})
	simple("explain", toPage(""), func(r *http.Request) (job.Action, error) {
		return job.ExplainCount(r.FormValue("item"), r.FormValue("group"), r.FormValue("why")), nil
	})
	simple("trouble", toStep, troubleForm)
	simple("note", toStep, func(r *http.Request) (job.Action, error) {
		return job.WriteNote(r.FormValue("id"), r.FormValue("text")), nil
	})
	simple("list", toPage(""), func(r *http.Request) (job.Action, error) {
		w := job.Wanted{Name: r.FormValue("name"), Amount: r.FormValue("amount"), Number: r.FormValue("number"), Size: r.FormValue("size")}
		return job.PutOnList(w, r.FormValue("id"), r.FormValue("why")), nil
	})
	simple("found", toPage(""), func(r *http.Request) (job.Action, error) {
		return job.LeaveFound(job.FoundNotDone{What: r.FormValue("what"), Severity: r.FormValue("severity"), Advice: r.FormValue("advice"), By: r.FormValue("by")}), nil
	})
	simple("pause", toPage(""), func(r *http.Request) (job.Action, error) {
		return job.PauseJob(job.Paused{Why: r.FormValue("why"), Loose: lines(r.FormValue("loose")), MustNotStart: lines(r.FormValue("must")), Until: r.FormValue("until")}), nil
	})
	simple("resume", toNext, resumeForm)
	simple("test", toPage("prove"), func(r *http.Request) (job.Action, error) {
		return job.RecordTest(r.FormValue("test"), r.FormValue("value"), r.FormValue("note")), nil
	})
	simple("tools", toPage("prove"), toolsForm)
	simple("wait-over", h.backTo, func(r *http.Request) (job.Action, error) {
		return job.EndWait(r.FormValue("wait"), r.FormValue("note")), nil
	})
	simple("release", toPage("record"), func(r *http.Request) (job.Action, error) {
		return job.ReleaseJob(job.Released{Who: r.FormValue("who"), Odometer: strings.TrimSpace(r.FormValue("odometer")), Statement: r.FormValue("statement")}), nil
	})
	simple("amend", toPage("record"), func(r *http.Request) (job.Action, error) {
		return job.Amend(r.FormValue("who"), r.FormValue("text")), nil
	})
	simple("look-again", toPage("prove"), func(r *http.Request) (job.Action, error) {
		return job.LookAgain(job.FollowUpDone{FollowUp: r.FormValue("follow"), Found: r.FormValue("found"), Odometer: r.FormValue("odometer")}), nil
	})
	simple("edit", toPage(""), func(r *http.Request) (job.Action, error) {
		d := job.Renamed{Title: r.FormValue("title"), Vehicle: r.FormValue("vehicle"), VIN: r.FormValue("vin"), Complaint: r.FormValue("complaint")}
		if owned := h.ownedVehicle(r.Context(), d.Vehicle, d.VIN); owned != nil {
			d.VehicleID = owned.ID
		}
		return job.Rename(d), nil
	})
	mux.HandleFunc("POST /jobs/{job}/off", h.postOff)
	mux.HandleFunc("POST /jobs/{job}/back", h.turnBack)
	mux.HandleFunc("POST /jobs/{job}/photo", h.addPhoto)
	mux.HandleFunc("POST /jobs/{job}/sound", h.addClip)
	mux.HandleFunc("GET /clips/{name}", h.serveClip)
}

// backTo returns to the page the form was on, within this job.
func (h *Host) backTo(r *http.Request, s *job.State) string {
	at := ""
	if place := r.FormValue("at"); placeForm().MatchString(place) {
		at = "#" + place // the page opens where the tap was
	}
	switch from := r.FormValue("from"); from {
	case "ready", "prove", "steps", "plan":
		return jobURL(s.ID, from) + at
	}
	if id := r.FormValue("id"); id != "" {
		return stepURL(s.ID, id)
	}
	return jobURL(s.ID, "") + at
}

// placeForm is made when it is first wanted: a hundred times every letter there is
// takes long.
var placeForm = pattern.Of(`^at-[\pL\pN-]{1,100}$`)

func troubleForm(r *http.Request) (job.Action, error) {
	d := job.TroubleMet{Step: r.FormValue("id"), What: r.FormValue("what"), Note: strings.TrimSpace(r.FormValue("note"))}
	if need := strings.TrimSpace(r.FormValue("needs")); need != "" {
		d.Needs = []job.Wanted{{Name: need, Amount: strings.TrimSpace(r.FormValue("amount"))}}
	}
	return job.HadTrouble(d), nil
}

func resumeForm(r *http.Request) (job.Action, error) {
	since, _ := time.Parse(time.RFC3339, r.FormValue("since")) // absent: since the last thing recorded
	steps := r.Form["step"]
	return func(rec *job.Recorder, s *job.State) ([]job.Event, error) {
		events, err := job.GoOn(since)(rec, s)
		if err != nil || len(steps) == 0 {
			return events, err
		}
		more, err := job.Reconfirm(steps...)(rec, s)
		return append(events, more...), err
	}, nil
}

func toolsForm(r *http.Request) (job.Action, error) {
	n, err := strconv.Atoi(strings.TrimSpace(r.FormValue("counted")))
	if err != nil {
		return nil, &job.Error{Code: job.CodeWrong, Text: "Write how many tools came back as a whole number, as in 14."}
	}
	d := job.ToolsCounted{Counted: n, Missing: lines(r.FormValue("missing"))}
	if why := strings.TrimSpace(r.FormValue("declared")); why != "" {
		d.Declared = map[string]string{}
		for _, m := range d.Missing {
			d.Declared[m] = why
		}
	}
	return job.CountTools(d), nil
}

// lines are the lines of a text area, without blank ones.
func lines(text string) []string {
	var out []string
	for _, l := range strings.Split(text, "\n") {
		if l = strings.TrimSpace(l); l != "" {
			out = append(out, l)
		}
	}
	return out
}
