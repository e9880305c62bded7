package opening

import "testing"

func TestAPanicInWhatIsDoneTogetherReachesTheCaller(t *testing.T) {
	done := false
	defer func() {
		if got := recover(); got != "broken" {
			t.Errorf("the caller sees %v, want the panic", got)
		}
		if !done {
			t.Error("the other thing was not finished")
		}
	}()
	together(func() { panic("broken") }, func() { done = true })
	t.Error("the panic was lost")
}
