package web

import (
	"cmp"
	"net/http"
	"strings"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
)

// calendar hands the follow-ups to a calendar (RFC 5545).
func (h *Host) calendar(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="look-again.ics"`)
	if _, err := w.Write(job.Calendar(h.Now(), s)); err != nil {
		h.logger().Info("calendar not sent whole", "error", err)
	}
}

// keepMap keeps what a job recorded as an access map of its own.
func (h *Host) keepMap(w http.ResponseWriter, r *http.Request) {
	s, err := h.load(r.Context(), r.PathValue("job"))
	if err != nil {
		h.fail(w, r, err)
		return
	}
	m := job.ToMap(s)
	if m == nil || len(m.Items) == 0 {
		h.fail(w, r, fault.New(fault.Bad, "Nothing came off in this job, so there is no map to keep."))
		return
	}
	m.Name = cmp.Or(strings.TrimSpace(s.Vehicle+" · "+s.Title), m.Name)
	saved, _, err := h.kept().Save(r.Context(), m.ID+".yaml", m.Encode(), garage.Edit{At: h.Now(), Note: "recorded in the job " + s.Title})
	if err != nil {
		h.fail(w, r, err)
		return
	}
	http.Redirect(w, r, "/maps/"+saved.ID, http.StatusSeeOther)
}

// vinProblem is what is wrong with a VIN as written; empty for none.
func vinProblem(vin string) string {
	if vin == "" {
		return ""
	}
	if _, err := garage.ReadVIN(vin); err != nil {
		return sentence(err)
	}
	return ""
}
