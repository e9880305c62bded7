package job

import (
	"time"

	"lastbolt/calc"
)

// WorkedOut keeps an answer of a calculation in the job: what was asked, what
// came out and what each number rests on, so that it can be read when the
// calculation itself has changed.
type WorkedOut struct {
	Step     string            `json:"step,omitempty"`
	Calc     string            `json:"calculation"`
	Title    string            `json:"title"`
	Inputs   map[string]string `json:"inputs,omitempty"`
	Asked    []WorkedLine      `json:"asked,omitempty"`
	Answer   []WorkedLine      `json:"answer,omitempty"`
	Level    calc.Level        `json:"level,omitempty"` // of the first verdict
	Verdict  string            `json:"verdict,omitempty"`
	Cautions []string          `json:"cautions,omitempty"`
}

// A WorkedLine is one input or output as it was shown.
type WorkedLine struct {
	Name  string     `json:"name"`
	Title string     `json:"title"`
	Value string     `json:"value"`
	Basis calc.Basis `json:"basis,omitempty"`
	Why   string     `json:"why,omitempty"`
}

// Worked is an answer kept, with when and by whom.
type Worked struct {
	WorkedOut
	Event string
	At    time.Time
	By    string
}

// KeepWorked keeps an answer on a step, or on the job for an empty one.
func KeepWorked(step string, given map[string]string, out *calc.Outcome) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if step != "" {
			if _, err := s.find(step); err != nil {
				return nil, err
			}
		}
		d := WorkedOut{Step: step, Calc: out.Definition.Name, Title: out.Definition.Title, Inputs: given, Cautions: out.Cautions}
		for _, a := range out.Asked {
			if a.Text != "" {
				d.Asked = append(d.Asked, WorkedLine{Name: a.Input.Name, Title: a.Input.Title, Value: a.Show()})
			}
		}
		for _, res := range out.Results {
			d.Answer = append(d.Answer, WorkedLine{res.Output.Name, res.Output.Title, res.Show(), res.Basis, res.Why})
		}
		if len(out.Verdicts) > 0 {
			d.Level, d.Verdict = out.Verdicts[0].Level, out.Verdicts[0].Say
		}
		return one(r, s, KindWorkedOut, d)
	})
}

func (b *builder) workedOut(e Event, d WorkedOut) {
	b.s.Worked = append(b.s.Worked, Worked{d, e.ID, e.At, e.By})
}

// WorkedOn lists the answers kept on a step, "" for those on the job itself.
func (s *State) WorkedOn(step string) []Worked {
	var all []Worked
	for _, w := range s.Worked {
		if w.Step == step {
			all = append(all, w)
		}
	}
	return all
}
