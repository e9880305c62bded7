package web

import (
	"cmp"
	"context"
	"errors"
	"io"
	"net/http"
	"strings"

	"lastbolt/fault"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/photo"
)

// readUpload reads the photo of a form; it has answered when ok is false.
func (h *Host) readUpload(w http.ResponseWriter, r *http.Request) (content []byte, ok bool) {
	if r.ContentLength > uploadLimit+formLimit { // said before anything is read
		w.Header().Set("Connection", "close")
		h.fail(w, r, fault.New(fault.TooLarge, photoTooLarge))
		return nil, false
	}
	r.Body = http.MaxBytesReader(w, r.Body, uploadLimit+formLimit)
	if err := r.ParseMultipartForm(uploadLimit); err != nil {
		if _, big := errors.AsType[*http.MaxBytesError](err); big {
			err = fault.Wrap(err, fault.TooLarge, photoTooLarge)
		} else {
			err = formError(err)
		}
		h.fail(w, r, err)
		return nil, false
	}
	file, _, err := r.FormFile("photo")
	if err != nil {
		h.fail(w, r, fault.New(fault.Bad, "No photo came with the form. Go back, take or choose one, then keep it."))
		return nil, false
	}
	defer file.Close()
	if content, err = io.ReadAll(file); err != nil {
		h.fail(w, r, formError(err))
		return nil, false
	}
	return content, true
}

// keepPhoto checks a photo, turns it the right way up, and keeps it.
func (h *Host) keepPhoto(ctx context.Context, content []byte) (name, media string, err error) {
	p, err := photo.Intake(content)
	if err != nil {
		return "", "", err
	}
	name, err = h.Files.Keep(ctx, p.Content, p.Media)
	return name, p.Media, err
}

// servePhoto gives a photo as it is shown: small for lists, else in screen
// size. Where it was taken is in neither.
func (h *Host) servePhoto(w http.ResponseWriter, r *http.Request) {
	name, size, show := r.PathValue("name"), "screen", photo.Screen
	if r.FormValue("size") == "small" {
		size, show = "small", photo.Thumbnail
	}
	body, err := h.pictures.get(name+" "+size, func() ([]byte, error) {
		content, _, err := h.Files.Open(r.Context(), name)
		if err != nil {
			return nil, err
		}
		return show(content)
	})
	if err != nil {
		h.fail(w, r, err)
		return
	}
	tag := `"` + name + "-" + size + `"`
	w.Header().Set("ETag", tag)
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Type", "image/jpeg")
	if _, err := w.Write(body); err != nil {
		h.logger().Info("photo not sent whole", "error", err)
	}
}

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
