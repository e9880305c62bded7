package garage_test

import (
	"reflect"
	"strings"
	"testing"

	"lastbolt/fault"
	"lastbolt/garage"
)

func TestAShelfIsTidiedAndSearchedWithoutRegardToCase(t *testing.T) {
	s := garage.Shelf{
		Tools:    []string{" 10 mm  socket", "", "10 MM SOCKET", "jack"},
		Supplies: []garage.Supply{{Name: "Brake  cleaner", Amount: " 500 ml "}, {Name: "brake cleaner", Amount: "1 L"}, {}},
	}
	if err := s.Tidy(); err != nil {
		t.Fatal(err)
	}
	want := garage.Shelf{Tools: []string{"10 mm socket", "jack"}, Supplies: []garage.Supply{{Name: "Brake cleaner", Amount: "500 ml"}}}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("tidied to %+v, want %+v", s, want)
	}
	if !s.HasTool("10 Mm socket") || s.HasTool("10 mm") {
		t.Error("a tool is found by the whole of its name only")
	}
	if p, ok := s.Supply("BRAKE CLEANER"); !ok || p.Amount != "500 ml" {
		t.Errorf("supply %+v, %t", p, ok)
	}
}

func TestWhatCannotBeAShelfIsRefused(t *testing.T) {
	for name, s := range map[string]garage.Shelf{
		"an endless name": {Tools: []string{strings.Repeat("ß", 201)}},
		"too many tools":  {Tools: make([]string, 10_001)},
	} {
		if err := s.Tidy(); err == nil || fault.CodeOf(err) == fault.Internal {
			t.Errorf("%s: %v", name, err)
		}
	}
}
