package job

import (
	"slices"
	"strings"
	"time"
)

// ExplainCount accepts a difference in counts, with its reason.
func ExplainCount(item, group, why string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		why = strings.TrimSpace(why)
		for _, d := range s.Differences {
			if d.Item != item || d.Group != group || d.Explained != "" {
				continue
			}
			if why == "" {
				return nil, refuse(CodeMissing, "Say where it is, or why the counts differ.")
			}
			return one(r, s, KindExplained, CountExplained{item, group, d.Out, d.Back, why})
		}
		return nil, refuse(CodeAlready, "There is no difference there to explain.")
	})
}

// Resolve settles a dispute: the record named holds.
func Resolve(conflict, event, why string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		i := slices.IndexFunc(s.Conflicts, func(c Conflict) bool { return c.Key == conflict })
		if i < 0 {
			return nil, refuse(CodeUnknown, "There is no such dispute in this job.")
		}
		if !slices.ContainsFunc(s.Conflicts[i].Values, func(v ConflictValue) bool { return v.Event == event }) {
			return nil, refuse(CodeUnknown, "Choose one of the values recorded for %s.", s.Conflicts[i].Thing)
		}
		return one(r, s, KindResolved, Resolved{conflict, event, why})
	})
}

// StartWait starts a timer.
func StartWait(d WaitStarted) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if !(d.Minutes > 0) || d.Minutes > 365*24*60 {
			return nil, refuse(CodeWrong, "Write how many minutes to wait, more than none.")
		}
		if d.Kind == "" {
			d.Kind = "wait"
		}
		return one(r, s, KindWaitStarted, d)
	})
}

// EndWait ends a wait by hand.
func EndWait(key, note string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		for _, w := range s.Waits {
			if w.Key == key && w.Ended.IsZero() {
				return one(r, s, KindWaitEnded, WaitEnded{key, note})
			}
		}
		return nil, refuse(CodeAlready, "That wait is over already.")
	})
}

// RecordTest keeps one reading of a test; whether it passes is worked out from
// the test's limits or words.
func RecordTest(test, value, note string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		t := s.TestByID(test)
		if t == nil {
			return nil, refuse(CodeUnknown, "There is no such test in this job: go back to the list of tests.")
		}
		pass, err := t.judge(value)
		if err != nil {
			return nil, err
		}
		value = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(value), t.Unit))
		return one(r, s, KindTest, TestRead{test, t.Name, value, t.Unit, pass, note})
	})
}

// CountTools records the tools read back.
func CountTools(d ToolsCounted) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if d.Counted < 0 {
			return nil, refuse(CodeWrong, "The number of tools cannot be below zero.")
		}
		return one(r, s, KindToolsCounted, d)
	})
}

// LeaveFound records a fault that was seen and left.
func LeaveFound(d FoundNotDone) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if d.What = strings.TrimSpace(d.What); d.What == "" {
			return nil, refuse(CodeMissing, "Say what was found.")
		}
		if d.Severity != "" && !slices.Contains(Severities, d.Severity) {
			return nil, refuse(CodeWrong, "How bad is it? Choose %s.", strings.Join(Severities, ", "))
		}
		return one(r, s, KindFoundNotDone, d)
	})
}

// PauseJob writes the pause sheet.
func PauseJob(d Paused) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if s.Pause != nil {
			return nil, refuse(CodeAlready, "The job is paused already, since %s.", s.Pause.From.Format("2 Jan 15:04"))
		}
		return one(r, s, KindPaused, d)
	})
}

// GoOn ends a pause, or an idle time that began at since; a zero since outside
// a pause means since the last thing recorded.
func GoOn(since time.Time) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if since.IsZero() {
			since = s.Touched
		}
		return one(r, s, KindResumed, Resumed{since})
	})
}

// Reconfirm says that finished steps were looked at again and hold.
func Reconfirm(steps ...string) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if len(steps) == 0 {
			return nil, refuse(CodeMissing, "Say which steps were looked at again.")
		}
		for _, id := range steps {
			if st, err := s.find(id); err != nil {
				return nil, err
			} else if !st.IsDone() {
				return nil, refuse(CodeNotYet, "%s is not done yet.", st.Name)
			}
		}
		return one(r, s, KindReconfirmed, Reconfirmed{steps})
	})
}

// ReleaseJob hands the vehicle over. It is refused while anything that blocks
// is open; the rest is shown and kept with the release.
func ReleaseJob(d Released) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		if d.Who = strings.TrimSpace(d.Who); d.Who == "" {
			return nil, refuse(CodeMissing, "Write who releases the vehicle.")
		}
		if err := odometerProblem(d.Odometer); err != nil {
			return nil, err
		}
		var blocks []OpenItem
		d.Open = nil
		for _, o := range s.OpenItems(r.Now()) {
			if o.Blocks {
				blocks = append(blocks, o)
			}
			d.Open = append(d.Open, o.Text)
		}
		if len(blocks) > 0 {
			err := refuse(CodeRefused, "Not released: %s", blocks[0].Text)
			if n := len(blocks) - 1; n > 0 {
				err = refuse(CodeRefused, "Not released: %s And %d more.", blocks[0].Text, n)
			}
			err.Open = blocks
			return nil, err
		}
		return one(r, s, KindReleased, d)
	})
}

// Amend adds to a released job; the record as released stays.
func Amend(who, text string) Action {
	return func(r *Recorder, s *State) ([]Event, error) {
		if !s.IsReleased() {
			return nil, refuse(CodeNotYet, "The job is not released yet: write a note instead.")
		}
		if strings.TrimSpace(who) == "" || strings.TrimSpace(text) == "" {
			return nil, refuse(CodeMissing, "Write who adds, and what.")
		}
		return one(r, s, KindAmended, Amended{who, text})
	}
}

// LookAgain closes a follow-up with what was found.
func LookAgain(d FollowUpDone) Action {
	return func(r *Recorder, s *State) ([]Event, error) {
		for _, f := range s.FollowUps {
			if f.ID != d.FollowUp {
				continue
			}
			if strings.TrimSpace(d.Found) == "" {
				return nil, refuse(CodeMissing, "Write what you found: a tick says nothing.")
			}
			if err := odometerProblem(d.Odometer); err != nil {
				return nil, err
			}
			return one(r, s, KindFollowUpDone, d)
		}
		return nil, refuse(CodeUnknown, "There is no such follow-up in this job.")
	}
}
