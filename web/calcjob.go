package web

import (
	"net/http"
	"net/url"

	"lastbolt/calc"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/web/parts"
)

// forJob is the end of an address that says which job and step a calculation
// is asked for.
func forJob(s *job.State, step string) string {
	return "?" + url.Values{"_job": {s.ID}, "_step": {step}}.Encode()
}

// workOutURL is a calculation's page for a step of a job, with inputs filled in:
// name, value, name, value.
func workOutURL(s *job.State, step, name string, inputs ...string) string {
	return calcURL(name, append([]string{"_job", s.ID, "_step", step}, inputs...)...)
}

func backTo(s *job.State, step string) parts.Link {
	if s.StepByID(step) != nil {
		return parts.Link{Label: "Back to the step", Href: stepURL(s.ID, step)}
	}
	return parts.Link{Label: "Back to the job", Href: jobURL(s.ID, "")}
}

// inJob ties a calculation's page to the job it was asked for: the way back,
// and an action that keeps the answer.
func (v *calcView) inJob(d *calc.Definition, s *job.State, r *http.Request) {
	step := r.FormValue("_step")
	v.Back = backTo(s, step)
	v.Hidden = parts.Pairs("_job", s.ID, "_step", step)
	if v.Example != "" {
		v.Example = "" // in a job an example would look like the job's own values
	}
	if !v.Answer.Asked || len(v.Answer.Problems) > 0 || s.IsReleased() {
		return
	}
	given, _ := typedInputs(d, r)
	pairs := parts.Pairs("id", step, "calculation", d.Name)
	for _, in := range d.Inputs {
		if given[in.Name] != "" {
			pairs = append(pairs, parts.Pair{Name: "in:" + in.Name, Value: given[in.Name]})
		}
	}
	where := "with what was asked, on the job"
	if st := s.StepByID(step); st != nil {
		where = "with what was asked, on " + st.Name
	}
	v.Answer.Keep = &parts.ActionInfo{URL: jobURL(s.ID, "worked-out"), Hidden: pairs, Label: "Keep this answer", Sub: where}
}

// makeWorked works the answer out again from what was asked: what a form says
// came out is not taken.
func makeWorked(r *http.Request) (job.Action, error) {
	d, err := calculations.Find(r.FormValue("calculation"))
	if err != nil {
		return nil, err
	}
	given := map[string]string{}
	for _, in := range d.Inputs {
		if text := r.PostForm.Get("in:" + in.Name); text != "" {
			given[in.Name] = text
		}
	}
	out, err := d.Run(given)
	if err != nil {
		return nil, fault.New(fault.Bad, "%s", fault.Say(err))
	}
	return job.KeepWorked(r.FormValue("id"), given, out), nil
}

// workedCards shows the answers kept on a step, or on the job for "".
func workedCards(s *job.State, step string) []cardView {
	var cards []cardView
	for _, w := range s.WorkedOn(step) {
		c := cardView{Title: w.Title, Text: w.Verdict}
		for _, line := range w.Answer {
			c.Facts = append(c.Facts, parts.Fact{Label: line.Title, Value: line.Value, Source: basisSource(line.Basis), Note: line.Why})
		}
		inputs := []string{}
		for name, value := range w.Inputs {
			inputs = append(inputs, name, value)
		}
		c.Links = []parts.Link{{Label: "See the working", Href: workOutURL(s, step, w.Calc, inputs...)}}
		cards = append(cards, c)
	}
	return cards
}
