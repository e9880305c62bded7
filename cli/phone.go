package cli

import (
	"bytes"
	"context"
	"errors"
	"math"
	"net/http"

	"lastbolt/clip"
	"lastbolt/exchange/replicate"
	"lastbolt/fault"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/photo"
	"lastbolt/web"
	"lastbolt/web/phone"
)

// pages are the program's pages with what phones need that keep everything
// themselves: the exchange, and the program for them. A binary without that
// program serves its pages alone, and the exchange to phones that have one.
func (c phoneProgram) pages(st keep.Backend, host *web.Host) (http.Handler, error) {
	pages := host.Handler()
	program, err := c.program()
	switch {
	case err == nil:
		if pages, err = phone.Handler(program, pages, func(ctx context.Context) (phone.Holding, error) { return holding(ctx, host) }); err != nil {
			return nil, err
		}
	case c.Program != "":
		return nil, err
	}
	mux := http.NewServeMux()
	mux.Handle(replicate.Prefix, (&replicate.Server{Store: st, Book: host.Book, Fit: fitToKeep, Log: host.Log}).Handler())
	mux.Handle("/", pages)
	return mux, nil
}

// holding counts what a phone takes in.
func holding(ctx context.Context, host *web.Host) (h phone.Holding, err error) {
	list, err := host.Book.Summaries(ctx, job.Query{Closed: true, Limit: math.MaxInt32})
	h.Jobs = len(list)
	for _, s := range list {
		if s.Released.IsZero() {
			h.InHand++
		}
	}
	if err != nil || host.Room == nil || host.Room.Disk == nil {
		return h, err
	}
	d, err := host.Room.Disk(ctx)
	h.Bytes = d.Database
	return h, err
}

var errPlace = errors.New("cli: a photo with metadata")

// fitToKeep takes what a phone's own intake made of a photo or clip, and
// nothing else: no photo that says where it was taken.
func fitToKeep(content []byte) (media string, err error) {
	if sound, err := clip.Intake(content); err == nil && bytes.Equal(sound.Content, content) {
		return sound.Media, nil
	}
	stripped, err := photo.StripLocation(content)
	if err != nil {
		return "", err
	}
	if !bytes.Equal(stripped, content) {
		return "", fault.Wrap(errPlace, fault.Bad, "The photo says where or when it was taken; only photos without that are taken from phones. Add it anew on the phone")
	}
	return http.DetectContentType(content), nil
}
