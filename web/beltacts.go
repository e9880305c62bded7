package web

import (
	"net/http"
	"strings"

	"lastbolt/calc/belt"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

func (h *Host) postBeltPhoto(w http.ResponseWriter, r *http.Request) {
	content, ok := h.readUpload(w, r, "photo", photoUpload)
	if !ok {
		return
	}
	name, media, err := h.keepPhoto(r.Context(), content)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	aspect, err := h.aspect(r, name)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	item := r.FormValue("item")
	s, err := h.Book.Do(r.Context(), r.PathValue("job"), job.ChangeBeltRun(job.BeltRunSet{Item: item, Picture: name, Media: media, Aspect: aspect}))
	if err != nil {
		h.refused(w, r, s, err)
		return
	}
	if st := beltStep(s, item); st != "" { // the photo belongs to the step's photos too
		if again, err := h.Book.Do(r.Context(), s.ID, job.AddPhoto(job.PhotoTaken{Step: st, File: name, Media: media, Note: "the belt's run"})); err == nil {
			s = again
		}
	}
	http.Redirect(w, r, beltURL(s, item, ""), http.StatusSeeOther)
}

func beltStep(s *job.State, item string) string {
	if run := s.BeltRun(item); run != nil && run.Step != nil {
		return run.Step.ID
	}
	return ""
}

func makeBeltAbout(r *http.Request) (job.Action, error) {
	d := job.BeltRunSet{Item: r.FormValue("item"), Profile: r.FormValue("profile"), Ribs: numberFrom(r.FormValue("ribs")), Turns: r.FormValue("turns"), Note: strings.TrimSpace(r.FormValue("note"))}
	oneWay := r.FormValue("one_way") == "yes"
	d.OneWay = &oneWay
	var err error
	if d.Length, err = optionalLength(r.FormValue("length"), "The belt's length"); err != nil {
		return nil, err
	}
	return job.ChangeBeltRun(d), nil
}

func makeBeltScale(r *http.Request) (job.Action, error) {
	d := job.BeltRunSet{Item: r.FormValue("item")}
	var err error
	if d.From, err = pointFrom(r, "a"); err == nil {
		d.To, err = pointFrom(r, "b")
	}
	if err != nil {
		return nil, err
	}
	if d.Distance, err = optionalLength(r.FormValue("distance"), "The distance"); err != nil {
		return nil, err
	}
	if d.From == nil || d.To == nil || d.Distance.IsZero() {
		return nil, fault.New(fault.Bad, "Tap both places, and write how far they are apart.")
	}
	return job.ChangeBeltRun(d), nil
}

func makeBeltPulley(r *http.Request) (job.Action, error) {
	d := job.BeltPulleySet{Item: r.FormValue("item"), Pulley: r.FormValue("pulley"), Name: strings.TrimSpace(r.FormValue("name")),
		Surface: belt.Surface(r.FormValue("surface")), Turns: r.FormValue("turns"), Side: belt.Side(r.FormValue("side"))}
	if r.FormValue("remove") != "" {
		gone := true
		return job.SetBeltPulley(job.BeltPulleySet{Item: d.Item, Pulley: d.Pulley, Gone: &gone}), nil
	}
	crank, moves, last := r.FormValue("crank") == "yes", r.FormValue("moves") == "yes", r.FormValue("last") == "yes"
	d.Crank, d.Moves, d.Last = &crank, &moves, &last
	var err error
	if d.At, err = pointFrom(r, "c"); err != nil {
		return nil, err
	}
	if d.Rim, err = pointFrom(r, "r"); err != nil {
		return nil, err
	}
	for _, f := range []struct {
		field, what string
		to          **quantity.Written[quantity.Length]
	}{{"x", "How far across", &d.X}, {"y", "How far up", &d.Y}, {"diameter", "The diameter", &d.Diameter}} {
		l, err := optionalLength(r.FormValue(f.field), f.what)
		if err != nil {
			return nil, err
		}
		if !l.IsZero() {
			*f.to = &l
		}
	}
	return job.SetBeltPulley(d), nil
}

// makeBeltRouting adds a pulley to the run, starts it again, or takes a whole
// run that was found.
func makeBeltRouting(r *http.Request) (job.Action, error) {
	d := job.BeltRoutingSet{Item: r.FormValue("item"), Source: access.Source(r.FormValue("source")), Where: strings.TrimSpace(r.FormValue("where")), Working: r.FormValue("working")}
	for text := range strings.FieldsSeq(r.FormValue("so_far") + " " + r.FormValue("next")) {
		id, side, ok := strings.Cut(text, ":")
		if !ok {
			return nil, fault.New(fault.Bad, "The run did not arrive whole. Go back and tap again.")
		}
		d.Run = append(d.Run, job.BeltTouch{Pulley: id, Side: belt.Side(side)})
	}
	return job.SetBeltRouting(d), nil
}
