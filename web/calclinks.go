package web

import (
	"cmp"
	"slices"
	"strings"

	"lastbolt/calc/fastener"
	"lastbolt/job"
	"lastbolt/plan/access"
	"lastbolt/web/parts"
)

// calcCardOn is the calculations that a step calls for, filled in from what the
// job knows: what to do about a seized bolt where one seized, an advice value
// where no torque is known, when a hot system may be opened, and so on.
func calcCardOn(s *job.State, st *job.Step) (cardView, bool) {
	c := cardView{Title: "Worth working out here"}
	add := func(label, name string, inputs ...string) {
		c.Links = append(c.Links, parts.Link{Label: label, Href: workOutURL(s, st.ID, name, inputs...)})
	}
	if way := st.Details(); way != nil && st.Opens && (slices.Contains(way.Hazards, "coolant") || slices.Contains(way.Hazards, "hot")) {
		add("When is it cool enough to open?", "cool-down")
	}
	for _, t := range st.Troubles {
		thread := troubleThread(st, t)
		switch t.What {
		case "seized":
			add("A bolt that will not come loose", "seized-bolt", "thread", thread)
		case "stripped":
			add("Thread insert: drill and length", "thread-insert", "thread", thread)
		case "rounded", "sheared":
			add("What a bolt bears", "bolt-strength", "thread", thread)
		}
	}
	if st.Closes {
		for _, g := range st.Groups {
			groupCalcs(add, st, g)
		}
		for _, k := range materialsOf(st) {
			if strings.Contains(strings.ToLower(k), "sealant") || strings.Contains(strings.ToLower(k), "silicone") {
				add("Waits of the sealant today", "sealant-cure")
				add("How much sealant", "sealant-bead")
				break
			}
		}
	}
	if st.Action == access.Reseal {
		add("Is the face flat?", "flatness")
	}
	c.Links = slices.Compact(c.Links)
	return c, len(c.Links) > 0
}

// groupCalcs are those of one group of fasteners on the way back.
func groupCalcs(add func(label, name string, inputs ...string), st *job.Step, g job.Group) {
	f := g.Fastener
	if f.Thread == "" {
		return
	}
	if _, err := fastener.ParseThread(f.Thread); err != nil {
		return
	}
	if f.Torque.Value.IsZero() && st.Critical == "" {
		class := f.Class
		if _, err := fastener.FindGrade(class); err != nil {
			class = ""
		}
		add("No torque for the "+lowerFirst(g.Name)+": what is usual", "torque-advice", "thread", f.Thread, "class", class, "joint", "other")
	}
	if f.Torque.Then != "" {
		add("May the "+lowerFirst(g.Name)+" be used again?", "stretch-bolt")
	}
}

// troubleThread is the thread of the group that gave trouble, or of the only
// one there is.
func troubleThread(st *job.Step, t job.Trouble) string {
	for _, g := range st.Groups {
		if g.ID == t.Group || len(st.Groups) == 1 {
			return g.Fastener.Thread
		}
	}
	return ""
}

func materialsOf(st *job.Step) []string {
	way := st.Details()
	if way == nil {
		return nil
	}
	var names []string
	for _, c := range way.Consumables.Items {
		names = append(names, c.Name)
	}
	return names
}

// lowerFirst begins a name in the middle of a sentence; a name that begins with
// a sign such as M8 stays.
func lowerFirst(name string) string {
	runes := []rune(name)
	if len(runes) > 1 && strings.ToUpper(string(runes[1])) != string(runes[1]) {
		return strings.ToLower(string(runes[0])) + string(runes[1:])
	}
	return name
}

// openingRows is what the job opens and lets out, as the calculation of the
// catch containers asks for it; openings of unknown amount are left out.
func openingRows(s *job.State) string {
	var rows []string
	for _, st := range s.Steps {
		way := st.Details()
		if way == nil || !st.Opens {
			continue
		}
		for _, f := range way.Fluids.Items {
			if !f.Amount.IsZero() {
				rows = append(rows, strings.Join([]string{cmp.Or(f.From, st.Name), f.Name, f.Amount.String()}, "; "))
			}
		}
	}
	return strings.Join(rows, "\n")
}
