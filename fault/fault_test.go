package fault_test

import (
	"errors"
	"fmt"
	"io"
	"testing"

	"lastbolt/fault"
)

func TestCodeAndSentenceComeFromTheOutermostFault(t *testing.T) {
	cause := fault.Wrap(io.ErrUnexpectedEOF, fault.Damaged, "The file %q ends too early.", "a.json")
	for _, test := range []struct {
		name string
		err  error
		code fault.Code
		say  string
	}{
		{"nil", nil, "", ""},
		{"plain", io.EOF, fault.Internal, fault.Say(errors.New("anything"))},
		{"fault", cause, fault.Damaged, `The file "a.json" ends too early.`},
		{"wrapped", fmt.Errorf("import: %w", cause), fault.Damaged, `The file "a.json" ends too early.`},
		{"twice", fault.Wrap(cause, fault.Bad, "No."), fault.Bad, "No."},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := fault.CodeOf(test.err); got != test.code {
				t.Errorf("CodeOf = %q, want %q", got, test.code)
			}
			if got := fault.Say(test.err); got != test.say {
				t.Errorf("Say = %q, want %q", got, test.say)
			}
			if got := fault.Is(test.err, test.code); got != (test.err != nil) {
				t.Errorf("Is = %v", got)
			}
		})
	}
}

func TestTheCauseIsKeptForTheLog(t *testing.T) {
	err := fault.Wrap(io.ErrUnexpectedEOF, fault.Damaged, "Cut short.")
	if !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Error("the cause is not in the chain")
	}
	if got, want := err.Error(), "Cut short. (unexpected EOF)"; got != want {
		t.Errorf("Error = %q, want %q", got, want)
	}
}
