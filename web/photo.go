package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strings"

	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/photo"
	"lastbolt/web/parts"
)

func photoPage(r *http.Request, s *job.State) formView {
	return formView{Title: "Photo", Lead: named(r, s), File: true, Action: "Keep the photo", Sub: "where it was taken is removed",
		Fields: []parts.FieldInfo{
			{Type: "photo", Name: "photo", Label: "Take a photo"},
			{Type: "pictures", Name: "photo", Label: "Or choose one"},
			{Name: "note", Label: "What does it show?"},
			{Type: "check", Name: "full", Label: "Keep the full picture", Checked: r.FormValue("full") == "yes",
				Hint: "Else it is made smaller first, which is enough for most and takes much less room."},
		}}
}

// addPhoto keeps the photo of a form, on a step or on the job.
func (h *Host) addPhoto(w http.ResponseWriter, r *http.Request) {
	content, ok := h.readUpload(w, r, "photo", photoUpload)
	if !ok {
		return
	}
	full := r.FormValue("full") == "yes"
	take := photo.IntakeReduced
	if full {
		take = photo.Intake
	}
	name, media, err := h.keepTaken(r.Context(), content, take)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	d := job.PhotoTaken{Step: r.FormValue("id"), File: name, Media: media, Note: strings.TrimSpace(r.FormValue("note")), Full: full}
	s, err := h.Book.Do(r.Context(), r.PathValue("job"), job.AddPhoto(d))
	if err != nil {
		h.refused(w, r, s, err)
		return
	}
	http.Redirect(w, r, toStep(r, s), http.StatusSeeOther)
}

// An upload is what a form may bring as a file.
type upload struct {
	limit             int64 // bytes
	tooLarge, missing string
}

var photoUpload = upload{
	limit: 40 << 20, tooLarge: "The file is larger than 40 MB, so it was not kept. Send a photo of a smaller size.",
	missing: "No photo came with the form. Go back, take or choose one, then keep it.",
}

// readUpload reads the file of a form; it has answered when ok is false. Of
// several inputs of one name the first counts that has a file.
func (h *Host) readUpload(w http.ResponseWriter, r *http.Request, field string, u upload) (content []byte, ok bool) {
	if r.ContentLength > u.limit+formLimit { // said before anything is read
		w.Header().Set("Connection", "close")
		h.fail(w, r, fault.New(fault.TooLarge, "%s", u.tooLarge))
		return nil, false
	}
	r.Body = http.MaxBytesReader(w, r.Body, u.limit+formLimit)
	if err := r.ParseMultipartForm(u.limit); err != nil {
		if _, big := errors.AsType[*http.MaxBytesError](err); big {
			err = fault.Wrap(err, fault.TooLarge, "%s", u.tooLarge)
		} else {
			err = formError(err)
		}
		h.fail(w, r, err)
		return nil, false
	}
	file, _, err := r.FormFile(field)
	if err != nil {
		h.fail(w, r, fault.New(fault.Bad, "%s", u.missing))
		return nil, false
	}
	defer file.Close()
	if content, err = io.ReadAll(file); err != nil {
		h.fail(w, r, formError(err))
		return nil, false
	}
	return content, true
}

// keepPhoto checks a photo, turns it the right way up, makes it smaller where
// it is larger than is kept, and keeps it.
func (h *Host) keepPhoto(ctx context.Context, content []byte) (name, media string, err error) {
	return h.keepTaken(ctx, content, photo.IntakeReduced)
}

func (h *Host) keepTaken(ctx context.Context, content []byte, take func([]byte) (photo.Photo, error)) (name, media string, err error) {
	p, err := take(content)
	if err != nil {
		return "", "", err
	}
	name, err = h.Files.Keep(ctx, p.Content, p.Media)
	return name, p.Media, err
}

// servePhoto gives a photo as it is shown: small for lists, in screen size, or
// as it is kept. Where it was taken is in none of them.
func (h *Host) servePhoto(w http.ResponseWriter, r *http.Request) {
	name, size := r.PathValue("name"), "screen"
	if s := r.FormValue("size"); s == "small" || s == "full" {
		size = s
	}
	tag := `"` + name + "-" + size + `"`
	body, media, err := h.sized(r.Context(), name, size)
	if err != nil {
		h.fail(w, r, err)
		return
	}
	w.Header().Set("ETag", tag)
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Type", media)
	if _, err := w.Write(body); err != nil {
		h.logger().Info("photo not sent whole", "error", err)
	}
}

func (h *Host) sized(ctx context.Context, name, size string) (body []byte, media string, err error) {
	if size == "full" {
		content, media, err := h.Files.Open(ctx, name)
		if err == nil && !strings.HasPrefix(media, "image/") {
			err = fault.New(fault.NotFound, "This is no photo. Go back to the job.")
		}
		if err == nil {
			content, err = photo.StripLocation(content)
		}
		return content, media, err
	}
	show := photo.Screen
	if size == "small" {
		show = photo.Thumbnail
	}
	body, err = h.pictures.get(name+" "+size, func() ([]byte, error) {
		content, _, err := h.Files.Open(ctx, name)
		if err != nil {
			return nil, err
		}
		return show(content)
	})
	return body, "image/jpeg", err
}

// photosOf are photos as a page shows them. Only one that was asked to be kept
// in full has more to see than the screen shows.
func photosOf(photos []job.Photo, name string) []photoView {
	var out []photoView
	for _, p := range photos {
		v := photoView{Small: "/photos/" + p.File + "?size=small", Screen: "/photos/" + p.File, Alt: "Photo: " + name, Note: p.Note}
		if p.Note != "" {
			v.Alt = "Photo: " + p.Note
		}
		if p.Full {
			v.Full = "/photos/" + p.File + "?size=full"
		}
		out = append(out, v)
	}
	return out
}
