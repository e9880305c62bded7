package job

import "time"

// A Summary is the line a list of jobs shows for one job. It is derived from
// the job's events and kept only so that a list need not fold every job.
type Summary struct {
	ID        string    `json:"id"`
	Title     string    `json:"title"`
	VehicleID string    `json:"vehicle_id,omitempty"`
	Vehicle   string    `json:"vehicle,omitempty"` // its name, as shown
	Complaint string    `json:"complaint,omitempty"`
	MapID     string    `json:"map"` // the access map, empty for none; lines of old have no such key
	Stage     string    `json:"stage,omitempty"`
	Next      string    `json:"next,omitempty"`     // the next step, in words
	Owed      int       `json:"owed,omitempty"`     // things that must still go back on
	Due       time.Time `json:"due,omitzero"`       // the next thing due; zero is none
	DueWhat   string    `json:"due_what,omitempty"` // what is due then
	Touched   time.Time `json:"touched,omitzero"`   // the newest event
	Started   time.Time `json:"started,omitzero"`
	Released  time.Time `json:"released,omitzero"` // zero while the job is open
	Paused    bool      `json:"paused,omitempty"`
	Done      int       `json:"done,omitempty"` // steps done, of Total
	Total     int       `json:"total,omitempty"`
	ToGet     int       `json:"to_get,omitempty"`   // lines of the shopping list still open
	Disputes  int       `json:"disputes,omitempty"` // records that differ, not settled
}

// Summarise makes the line of a job.
func Summarise(s *State) Summary {
	m := Summary{
		ID: s.ID, Title: s.Title, Vehicle: s.Vehicle, VehicleID: s.VehicleID, MapID: s.MapID, Complaint: s.Complaint, Stage: string(s.Stage),
		Owed: len(s.Open) + len(s.Drained), Done: s.Progress.Done, Total: s.Progress.Total, Paused: s.Pause != nil,
		Started: s.Started, Touched: s.Touched,
	}
	if s.Release != nil {
		m.Released = s.Release.At
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
			m.Due, m.DueWhat = f.Due, f.Title
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
	case s.Opens && s.Condition:
		return "See to"
	case s.Opens && s.Loosens():
		return "Loosen"
	case s.Closes && s.Loosens():
		return "Tighten"
	case s.Opens && s.AsideWay:
		return "Set aside"
	case s.Opens:
		return "Take off"
	case s.Fluid != "":
		return "Fill"
	case s.Closes && s.Condition:
		return "End"
	case s.Closes:
		return "Put back"
	case s.Action != "":
		return capital(string(s.Action))
	default:
		return "Do"
	}
}
