package access

import (
	"bytes"
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
)

// none is the word for an explicit nothing.
const none = "none"

func (l *List[T]) fromNode(d *decoder, n *node) {
	*l = List[T]{}
	switch {
	case n.shape == word && n.text == none:
		l.Given = true
	case n.shape == list && len(n.vals) == 0:
		d.fault(n, d.here()+" is an empty list, which says neither none nor not known", "write none if there is nothing, or take the line out if it is not known")
	case n.shape == list:
		l.Given = true
		d.list(n, reflect.ValueOf(&l.Items).Elem(), reflect.TypeFor[[]T]())
	case n.shape == word:
		d.fault(n, d.here()+" is a list, not "+describe(n), "write it as ["+firstOf(n)+"], or the word none")
	default:
		d.fault(n, d.here()+" is a list, not one group of fields", "put a dash in front of it, or write [{…}]")
	}
}

// inner gives the list for the encoder and whether it was given.
func (l List[T]) inner() (reflect.Value, bool) {
	return reflect.ValueOf(l.Items), l.Given || len(l.Items) > 0
}

// MarshalJSON writes null, "none" or the list.
func (l List[T]) MarshalJSON() ([]byte, error) {
	switch {
	case len(l.Items) > 0:
		return json.Marshal(l.Items)
	case l.Given:
		return []byte(`"none"`), nil
	}
	return []byte("null"), nil
}

// UnmarshalJSON reads what MarshalJSON writes. An empty list is refused: it
// says neither none nor not known.
func (l *List[T]) UnmarshalJSON(b []byte) error {
	*l = List[T]{}
	switch string(bytes.TrimSpace(b)) {
	case "null":
		return nil
	case `"none"`:
		l.Given = true
		return nil
	}
	if err := json.Unmarshal(b, &l.Items); err != nil {
		return err
	}
	if len(l.Items) == 0 {
		return fmt.Errorf(`an empty list says neither none nor not known; write "none", or leave it out`)
	}
	l.Given = true
	return nil
}

func (s *Span) fromNode(d *decoder, n *node) {
	if n.shape == word {
		if f, ok := d.number(n); ok {
			*s = Span{f, f, f}
		}
		return
	}
	if n.shape != list || len(n.vals) != 3 {
		what := n.shape.String()
		if n.shape == list {
			what = fmt.Sprintf("a list of %d", len(n.vals))
		}
		d.fault(n, d.here()+" is "+what, "write minutes as [low, likely, high], as in [3, 5, 9], or one number for all three")
		return
	}
	for i, at := range []*float64{&s.Low, &s.Likely, &s.High} {
		d.push("[" + strconv.Itoa(i) + "]")
		*at, _ = d.number(n.vals[i])
		d.pop()
	}
}

// MarshalJSON writes one number, or [low, likely, high].
func (s Span) MarshalJSON() ([]byte, error) {
	if s.Low == s.Likely && s.Likely == s.High {
		return json.Marshal(s.Low)
	}
	return json.Marshal([3]float64{s.Low, s.Likely, s.High})
}

// UnmarshalJSON reads what MarshalJSON writes.
func (s *Span) UnmarshalJSON(b []byte) error {
	var one float64
	if json.Unmarshal(b, &one) == nil {
		*s = Span{one, one, one}
		return nil
	}
	var three []float64
	if err := json.Unmarshal(b, &three); err != nil || len(three) != 3 {
		return fmt.Errorf("minutes are %s; write one number or [low, likely, high]", b)
	}
	*s = Span{three[0], three[1], three[2]}
	return nil
}

// needGroup and toolGroup are Need and Tool without their own shapes.
type (
	needGroup Need
	toolGroup Tool
)

func (n Need) plain() bool { return n.Way == "" && n.All == nil && n.Any == nil }

func (n *Need) fromNode(d *decoder, at *node) {
	switch at.shape {
	case word:
		*n = Need{Item: at.text}
	case group:
		d.group(at, reflect.ValueOf((*needGroup)(n)).Elem(), reflect.TypeFor[needGroup]())
	default:
		d.fault(at, "a need is "+at.shape.String(), "write an item's id, {item: …, way: …}, {all: […]} or {any: […]}")
	}
}

// MarshalJSON writes a plain item as its id.
func (n Need) MarshalJSON() ([]byte, error) {
	if n.plain() {
		return json.Marshal(n.Item)
	}
	return json.Marshal(needGroup(n))
}

// UnmarshalJSON reads what MarshalJSON writes.
func (n *Need) UnmarshalJSON(b []byte) error {
	*n = Need{}
	if json.Unmarshal(b, &n.Item) == nil {
		return nil
	}
	return json.Unmarshal(b, (*needGroup)(n))
}

func (t *Tool) fromNode(d *decoder, at *node) {
	switch at.shape {
	case word:
		*t = Tool{Any: []string{at.text}}
	case group:
		d.group(at, reflect.ValueOf((*toolGroup)(t)).Elem(), reflect.TypeFor[toolGroup]())
	default:
		d.fault(at, "a tool is "+at.shape.String(), "write its name, or {any: [one, or the other]}")
	}
}

// Name is the usual one of the tools that will do, "" for none.
func (t Tool) Name() string {
	if len(t.Any) == 0 {
		return ""
	}
	return t.Any[0]
}

// MarshalJSON writes a single tool as its name.
func (t Tool) MarshalJSON() ([]byte, error) {
	if len(t.Any) == 1 {
		return json.Marshal(t.Any[0])
	}
	return json.Marshal(toolGroup(t))
}

// UnmarshalJSON reads what MarshalJSON writes.
func (t *Tool) UnmarshalJSON(b []byte) error {
	*t = Tool{}
	var one string
	if json.Unmarshal(b, &one) == nil {
		t.Any = []string{one}
		return nil
	}
	return json.Unmarshal(b, (*toolGroup)(t))
}
