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
	Stage     string    `json:"stage,omitempty"`
	Next      string    `json:"next,omitempty"`     // the next step, in words
	Owed      int       `json:"owed,omitempty"`     // things that must still go back on
	Due       time.Time `json:"due,omitzero"`       // the next thing due; zero is none
	DueWhat   string    `json:"due_what,omitempty"` // what is due then
	Touched   time.Time `json:"touched,omitzero"`   // the newest event
	Started   time.Time `json:"started,omitzero"`
	Released  time.Time `json:"released,omitzero"` // zero while the job is open
	Paused    bool      `json:"paused,omitempty"`
}
