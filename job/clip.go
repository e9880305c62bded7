package job

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// KindClip is a sound clip of a step or of the job.
const KindClip Kind = "clip" // ClipRecorded

// The two times a noise is worth having: before the repair and after it.
const (
	ClipBefore = "before"
	ClipAfter  = "after"
)

// ClipRecorded points to a sound clip kept by the hash of its content. Seconds
// is how long it is, 0 where nobody knows.
type ClipRecorded struct {
	Step    string  `json:"step,omitempty"`
	File    string  `json:"file"` // hex SHA-256
	Media   string  `json:"media,omitempty"`
	When    string  `json:"when,omitempty"` // ClipBefore, ClipAfter, or empty for neither
	Seconds float64 `json:"seconds,omitempty"`
	Note    string  `json:"note,omitempty"`
}

// A Clip is a sound clip as recorded.
type Clip struct {
	ClipRecorded
	Event string
	At    time.Time
	By    string
}

// Say names the clip in a few words: "before the repair, 12 s: cold start".
func (c ClipRecorded) Say() string {
	text := "not said when"
	if c.When != "" {
		text = c.When + " the repair"
	}
	if c.Seconds > 0 {
		text += fmt.Sprintf(", %.0f s", max(1, c.Seconds))
	}
	if c.Note != "" {
		text += ": " + c.Note
	}
	return text
}

// AddClip keeps a sound clip that the files hold under its hash.
func AddClip(d ClipRecorded) Action {
	return func(r *Recorder, s *State) ([]Event, error) {
		d.Note = strings.TrimSpace(d.Note)
		switch {
		case d.File == "":
			return nil, refuse(CodeMissing, "There is no sound clip.")
		case d.When != "" && d.When != ClipBefore && d.When != ClipAfter:
			return nil, refuse(CodeWrong, "A clip is from before or from after the repair, not %q.", clip(d.When))
		case !(d.Seconds >= 0 && d.Seconds <= 24*60*60):
			return nil, refuse(CodeWrong, "A clip of %g seconds cannot be right.", d.Seconds)
		}
		if d.Step != "" {
			if _, err := s.find(d.Step); err != nil {
				return nil, err
			}
		}
		if slices.ContainsFunc(s.Clips, func(c Clip) bool { return c.File == d.File && c.Step == d.Step }) {
			return nil, refuse(CodeAlready, "That clip is there already.")
		}
		return one(r, s, KindClip, d)
	}
}

func (b *builder) recorded(e Event, d ClipRecorded) {
	b.s.Clips = append(b.s.Clips, Clip{d, e.ID, e.At, e.By})
}

func (b *builder) clipText(d ClipRecorded) string {
	text := "Sound clip, " + clip(d.Say())
	if d.Step != "" {
		text += " · " + b.stepName(d.Step)
	}
	return text
}
