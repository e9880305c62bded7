// Package paper prints a job: the sheet to work from, the list to get ready
// by, labels for trays and bags, a card in true size to push bolts through, the tag that hangs on the steering wheel
// while the job rests, and the record of the finished job.
//
// Start with [Sheet]; [ReadyList], [Labels], [BoltCard], [Tag] and [Record] are made the
// same way, from a job's state and [Options], and each returns a PDF. The same
// state and options give the same bytes. Pages are black on white, carry no
// meaning by colour, and never cut a step in two.
//
// The package draws and nothing else: it opens no files, keeps nothing and has
// no clock. What it needs beyond the state (the time, addresses, photos) the
// host hands in with the options. It makes no estimates and no invoices.
package paper

import (
	"cmp"
	"time"

	"lastbolt/quantity"
)

// Size is the size of the paper.
type Size int

// The sizes of paper.
const (
	A4     Size = iota // 210 × 297 mm
	Letter             // 8.5 × 11 in, 215.9 × 279.4 mm
)

// mm is width and height upright, in millimetres.
func (s Size) mm() (w, h float64) {
	if s == Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// Options say how to print. The zero Options print on A4 in UTC, with values
// in the units of their source, without codes to scan and without photos.
type Options struct {
	Paper Size
	// Now is when it is printed. It stands at the foot of every page and is
	// the date of the document.
	Now  time.Time
	Zone *time.Location // the mechanic's clock; nil for UTC
	// Units are the units to convert to, in brackets behind the source's own.
	Units quantity.Units
	// JobURL is the address of the job's page, for the code at the top of a
	// sheet; empty for none.
	JobURL string
	// ItemURL is the address of an item's page, for the code on its label; nil
	// for none.
	ItemURL func(item string) string
	// Photo hands over a photo by its hash (hex SHA-256): JPEG or PNG, at most
	// [MaxPhoto] bytes. Nil, or an error, leaves a frame that says so.
	Photo func(hash string) ([]byte, error)
}

func (o *Options) when(t time.Time) string { return o.date(t, "2 Jan 2006, 15:04") }
func (o *Options) day(t time.Time) string  { return o.date(t, "2 Jan 2006") }

func (o *Options) date(t time.Time, layout string) string {
	if t.IsZero() {
		return ""
	}
	return t.In(cmp.Or(o.Zone, time.UTC)).Format(layout)
}
