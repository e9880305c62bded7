package job

import (
	"fmt"

	"lastbolt/fault"
)

// Code is the machine's word for why something was not recorded.
type Code string

// The codes of an Error.
const (
	CodeUnknown  Code = "unknown"  // there is no such job, step, test …
	CodeMissing  Code = "missing"  // something must be said first
	CodeWrong    Code = "wrong"    // a value cannot be right
	CodeAlready  Code = "already"  // it is recorded already
	CodeNotYet   Code = "not-yet"  // something else comes first
	CodeRefused  Code = "refused"  // the release is refused
	CodeReleased Code = "released" // the job is closed: amend it
)

// An Error says in one sentence, to the person, why something was not
// recorded. Open lists what stands in the way of a release.
type Error struct {
	Code Code
	Text string
	Open []OpenItem
}

func (e *Error) Error() string { return e.Text }

// Unwrap gives the same sentence as a fault, for callers that know only those.
func (e *Error) Unwrap() error {
	code := fault.Bad
	switch e.Code {
	case CodeUnknown:
		code = fault.NotFound
	case CodeAlready:
		code = fault.Stale
	}
	return fault.New(code, "%s", e.Text)
}

func refuse(code Code, format string, a ...any) *Error {
	return &Error{Code: code, Text: fmt.Sprintf(format, a...)}
}
