package job

import "time"

// A Summary is the line a list of jobs shows. It is derived from the state.
type Summary struct {
	ID        string    `json:"id"`
	Title     string    `json:"title"`
	Vehicle   string    `json:"vehicle,omitempty"`
	VehicleID string    `json:"vehicle_id,omitempty"`
	Complaint string    `json:"complaint,omitempty"`
	Stage     Stage     `json:"stage"`
	Next      string    `json:"next,omitempty"` // what to do next, in a few words
	Owed      int       `json:"owed"`           // rings open
	Done      int       `json:"done"`
	Total     int       `json:"total"`
	ToGet     int       `json:"to_get"`       // lines of the shopping list still open
	Due       time.Time `json:"due,omitzero"` // the earliest follow-up still open
	DueText   string    `json:"due_text,omitempty"`
	Paused    bool      `json:"paused,omitempty"`
	Disputes  int       `json:"disputes,omitempty"`
	Started   time.Time `json:"started,omitzero"`
	Touched   time.Time `json:"touched"`
	Released  bool      `json:"released,omitempty"`
}

// Summarise makes the line of a job.
func Summarise(s *State) Summary {
	m := Summary{
		ID: s.ID, Title: s.Title, Vehicle: s.Vehicle, VehicleID: s.VehicleID, Complaint: s.Complaint, Stage: s.Stage,
		Owed: len(s.Open), Done: s.Progress.Done, Total: s.Progress.Total, Paused: s.Pause != nil,
		Started: s.Started, Touched: s.Touched, Released: s.IsReleased(),
	}
	for i := range s.List {
		if !s.List[i].Settled() {
			m.ToGet++
		}
	}
	for _, c := range s.Conflicts {
		if c.Resolved == "" {
			m.Disputes++
		}
	}
	m.Next = nextText(s)
	for _, f := range s.FollowUps {
		if f.Done == nil && !f.Due.IsZero() && (m.Due.IsZero() || f.Due.Before(m.Due)) {
			m.Due, m.DueText = f.Due, f.Title
		}
	}
	return m
}

func nextText(s *State) string {
	switch s.Stage {
	case StagePlan:
		return "Say what is to be done"
	case StageReady:
		return "See that everything is at hand"
	case StageProve:
		return "Prove it: " + s.OpenTests()[0].Name
	case StageRelease:
		return "Release"
	case StageReleased:
		return ""
	}
	if s.Next != nil {
		return s.Next.Verb() + ": " + s.Next.Name
	}
	return "Take off the next thing"
}

// Verb says what the step does, in a word or two.
func (s *Step) Verb() string {
	switch {
	case s.Opens && s.Planned != nil && s.AsideWay:
		return "Set aside"
	case s.Opens:
		return "Take off"
	case s.Closes:
		return "Put back"
	case s.Action != "":
		return capital(string(s.Action))
	default:
		return "Do"
	}
}
