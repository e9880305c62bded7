package parts

import "github.com/a-h/templ"

// attributes are those that inputs, areas and selects share.
func (f FieldInfo) attributes() templ.Attributes {
	a := templ.Attributes{"id": f.id(), "name": f.Name, "required": f.Required, "autofocus": f.Focus}
	if by := f.describedBy(); by != "" {
		a["aria-describedby"] = by
	}
	if f.Error != "" {
		a["aria-invalid"] = "true"
	}
	if f.Complete != "" {
		a["autocomplete"] = f.Complete
	}
	return a
}

func (f FieldInfo) inputAttributes() templ.Attributes {
	a := templ.Attributes{}
	if m := f.inputMode(); m != "" {
		a["inputmode"] = m
	}
	if f.Placeholder != "" {
		a["placeholder"] = f.Placeholder
	}
	if len(f.Options) > 0 {
		a["list"] = f.listID()
	}
	return a
}
