package web

import (
	"bytes"
	"net/http"
	"strconv"
	"strings"
	"time"

	"lastbolt/clip"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/web/parts"
)

func soundPage(r *http.Request, s *job.State) formView {
	return formView{Title: "Sound", Lead: named(r, s), File: true, Action: "Keep the sound",
		Fields: []parts.FieldInfo{
			{Type: "sound", Name: "sound", Label: "Choose a recording", Limit: clip.MaxSeconds},
			{Type: "choices", Name: "when", Label: "When is it from?", Value: whenOf(r, s), Options: []parts.Option{
				{Value: job.ClipBefore, Label: "before the repair"}, {Value: job.ClipAfter, Label: "after the repair"}, {Value: "", Label: "neither"}}},
			{Name: "note", Label: "What is to be heard?", Placeholder: "cold start, bonnet open"},
		}}
}

// whenOf guesses when a sound is from: before the repair until the way back
// begins.
func whenOf(r *http.Request, s *job.State) string {
	if when := r.FormValue("when"); when != "" {
		return when
	}
	for _, st := range s.Steps {
		if st.Closes && st.IsDone() {
			return job.ClipAfter
		}
	}
	return job.ClipBefore
}

var clipUpload = upload{
	limit:    clip.MaxBytes,
	tooLarge: "The clip is larger than " + strconv.Itoa(clip.MaxBytes>>20) + " MB, so it was not kept. Record a shorter one: two minutes are enough to know a noise by.",
	missing:  "No sound came with the form. Go back, record or choose one, then keep it.",
}

// addClip keeps the sound clip of a form, on a step or on the job.
func (h *Host) addClip(w http.ResponseWriter, r *http.Request) {
	content, ok := h.readUpload(w, r, "sound", clipUpload)
	if !ok {
		return
	}
	c, err := clip.Intake(content)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	name, err := h.Files.Keep(r.Context(), c.Content, c.Media)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	d := job.ClipRecorded{Step: r.FormValue("id"), File: name, Media: c.Media, When: r.FormValue("when"), Seconds: c.Seconds, Note: r.FormValue("note")}
	if d.Seconds == 0 { // the file does not tell, but the page that recorded it may
		if n, err := strconv.ParseFloat(r.FormValue("seconds"), 64); err == nil && n > 0 && n <= clip.MaxSeconds {
			d.Seconds = n
		}
	}
	s, err := h.Book.Do(r.Context(), r.PathValue("job"), job.AddClip(d))
	if err != nil {
		h.refused(w, r, s, err)
		return
	}
	http.Redirect(w, r, toStep(r, s), http.StatusSeeOther)
}

// serveClip gives a sound clip to be played. A player asks for it piece by
// piece.
func (h *Host) serveClip(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("name")
	content, media, err := h.Files.Open(r.Context(), name)
	if err == nil && !clip.Plays(media) {
		err = fault.New(fault.NotFound, "This is no sound clip. Go back to the job.")
	}
	if err != nil {
		h.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", media)
	w.Header().Set("ETag", `"`+name+`"`)
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(content))
}

func (h *Host) clipsOf(clips []job.Clip) []clipView {
	var out []clipView
	for _, c := range clips {
		text := c.Say()
		out = append(out, clipView{
			Src: "/clips/" + c.File, Media: c.Media, Name: strings.ToUpper(text[:1]) + text[1:],
			Beneath: strings.Join(nonEmpty(h.when(c.At), c.By), " · "),
		})
	}
	return out
}

func jobClips(s *job.State) []job.Clip {
	var out []job.Clip
	for _, c := range s.Clips {
		if c.Step == "" {
			out = append(out, c)
		}
	}
	return out
}
