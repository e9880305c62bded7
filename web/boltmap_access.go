package web

import (
	"fmt"
	"net/http"
	"strings"

	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// spotsText writes the places of a group of fasteners, a line for each.
func spotsText(list []access.Spot) string {
	var out []string
	for _, s := range list {
		out = append(out, s.String())
	}
	return strings.Join(out, "\n")
}

// spotsTyped reads the places of a group of fasteners.
func spotsTyped(t *typed, name string) []access.Spot {
	var out []access.Spot
	for _, line := range lines(t.text(name)) {
		s, err := access.ParseSpot(line)
		if err != nil {
			t.refuse(name, "%s.", strings.TrimSuffix(err.Error(), "."))
			return nil
		}
		out = append(out, s)
	}
	return out
}

// knownLine offers the places that the access map gives, while there is no bolt
// on the map yet.
func knownLine(s *job.State, m *job.BoltMap) []lineView {
	n := s.KnownBolts(m.Item)
	if n == 0 || len(m.Bolts)+len(m.Keep) > 0 || s.IsReleased() {
		return nil
	}
	return []lineView{{Name: fmt.Sprintf("The access map says where %s are", plural(n, "bolt", "bolts")), Beneath: "check them against the new part",
		Acts: []parts.ActionInfo{{URL: jobURL(s.ID, "bolts/known"), Label: "Take them", Hidden: parts.Pairs("item", m.Item)}}}}
}

func (h *Host) knownBolts(mux *Router) {
	mux.HandleFunc("POST /jobs/{job}/bolts/known", h.post(func(r *http.Request) (job.Action, error) {
		return job.TakeKnownBolts(r.FormValue("item")), nil
	}, func(r *http.Request, s *job.State) string { return boltsURL(s, r.FormValue("item")) }))
}
