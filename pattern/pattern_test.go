package pattern_test

import (
	"testing"

	"lastbolt/pattern"
)

func TestAnExpressionIsMadeOnce(t *testing.T) {
	digits := pattern.Of(`^\d+$`)
	if !digits().MatchString("42") || digits().MatchString("4x") {
		t.Error("the expression is not the one given")
	}
	if first, second := digits(), digits(); first != second {
		t.Error("it is made anew at every call")
	}
}

func TestAnExpressionThatCannotBeReadIsAFaultAtItsFirstUse(t *testing.T) {
	wrong := pattern.Of(`(`)
	defer func() {
		if recover() == nil {
			t.Error("it is taken without a word")
		}
	}()
	wrong()
}
