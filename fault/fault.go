// Package fault is the program's error value for people: a code that callers
// branch on and one sentence that says what is wrong and how to mend it.
//
// Start with [New] and [Wrap] to make one, [CodeOf] to branch on one, and
// [Say] for the sentence to show. Codes are compared, never texts. An error
// that is not a fault is [Internal]: it is logged in full, and a person is told
// only that something went wrong inside. The mapping of codes to HTTP statuses
// and exit statuses lives where those are used, not here.
package fault

import (
	"errors"
	"fmt"
)

// Code says what sort of thing went wrong.
type Code string

// The codes. Each names what the caller can do about it.
const (
	Internal   Code = "internal"    // a mistake in the program: log it, apologise
	NotFound   Code = "not found"   // there is no such thing
	Stale      Code = "stale"       // someone else changed it first: load it again
	Bad        Code = "bad"         // what was given cannot be used as it is
	TooLarge   Code = "too large"   // what was given is over a limit
	Full       Code = "full"        // no room left on the disk
	ReadOnly   Code = "read only"   // the folder or file cannot be written
	Damaged    Code = "damaged"     // what is stored does not read back whole
	NewVersion Code = "new version" // written by a newer program than this one
	Busy       Code = "busy"        // held by another program: try again
	Cancelled  Code = "cancelled"   // stopped before it was done
)

// An Error is what went wrong. Say is a whole sentence for a person: what is
// wrong, where, and how to mend it. Err is the cause, for the log; it may be
// nil.
type Error struct {
	Code Code
	Say  string
	Err  error
}

// Error returns the sentence, with the cause last in brackets.
func (e *Error) Error() string {
	if e.Err == nil {
		return e.Say
	}
	return fmt.Sprintf("%s (%v)", e.Say, e.Err)
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// New returns a fault whose sentence is formatted as by fmt.Sprintf.
func New(code Code, format string, args ...any) *Error {
	return &Error{Code: code, Say: fmt.Sprintf(format, args...)}
}

// Wrap is New with a cause.
func Wrap(cause error, code Code, format string, args ...any) *Error {
	return &Error{Code: code, Say: fmt.Sprintf(format, args...), Err: cause}
}

// CodeOf returns the code of the outermost fault in err's chain: empty for a
// nil error, Internal when there is none.
func CodeOf(err error) Code {
	if err == nil {
		return ""
	}
	if f, ok := errors.AsType[*Error](err); ok {
		return f.Code
	}
	return Internal
}

// Is reports whether err is a fault of the given code.
func Is(err error, code Code) bool { return err != nil && CodeOf(err) == code }

// Say returns the sentence to show for err: the outermost fault's, without its
// cause, or a plain apology when err is not a fault. A nil error says nothing.
func Say(err error) string {
	if err == nil {
		return ""
	}
	if f, ok := errors.AsType[*Error](err); ok {
		return f.Say
	}
	return "Something went wrong inside the program. What was saved before is kept; try again, and if it comes back look in the log."
}
