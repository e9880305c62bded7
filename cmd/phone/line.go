//go:build js && wasm

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"time"

	"lastbolt/store/indexed"
	"lastbolt/web/parts"
)

// A phone with a server writes down every exchange, each half minute while a page
// is open, and all that a page shows of it is one line at its end. So that line
// is laid by for the pages that the worker has kept, which are else the same.

// noticeHeader tells the worker how the line stands in the page, escaped as in an
// address. The worker takes it off.
const noticeHeader = "Lastbolt-Notice"

// ledgerNotes keeps the text of the exchange. Who has the phone in hand is on the
// pages in many places; all else of it is only in the line.
type ledgerNotes struct{ *indexed.Store }

func youOf(text string) string {
	var l struct {
		You json.RawMessage `json:"you"`
	}
	if err := json.Unmarshal([]byte(text), &l); err != nil {
		return "not known"
	}
	return string(l.You)
}

// SetNote looks at what is there each time: another program may have written it.
func (n ledgerNotes) SetNote(ctx context.Context, name, text string) error {
	before, err := n.Note(ctx, name)
	if err != nil {
		return err
	}
	if youOf(before) == youOf(text) {
		return n.SetNoteAside(ctx, name, text)
	}
	return n.Store.SetNote(ctx, name, text)
}

// layBy has the worker put the line as it is now on what it has kept.
func (p *partner) layBy(ctx context.Context) {
	marks, err := p.st.Marks(ctx)
	failed := p.st.Failures()
	notice := p.notice(ctx)
	if err != nil || p.st.Failures() != failed {
		return // the program makes the pages anew
	}
	var line bytes.Buffer
	err = parts.NoticeLine().Render(parts.WithNotice(ctx, notice), &line)
	if err == nil {
		err = p.st.SetLine(ctx, line.String(), marks, tomorrow(time.Now()))
	}
	if err != nil {
		fmt.Println("the line for kept pages could not be laid by:", err)
	}
}

// tellNotice says how the line stands in the page that is shown under the context.
func tellNotice(ctx context.Context, h http.Header) {
	var line bytes.Buffer
	if parts.NoticeLine().Render(ctx, &line) == nil {
		h.Set(noticeHeader, url.PathEscape(line.String()))
	}
}

// tomorrow is when a line has to say the day of what was today.
func tomorrow(now time.Time) time.Time {
	return time.Date(now.Year(), now.Month(), now.Day()+1, 0, 0, 0, 0, time.Local)
}
