package parts

import (
	"strconv"
	"strings"

	"lastbolt/web/draw"
)

func numberClass(n NumberInfo) string {
	c := "number"
	switch n.Source {
	case Computed:
		c += " is-computed"
	case Practice:
		return "advice"
	case Unknown:
		return c + " is-unknown"
	}
	if n.Long {
		c += " is-long"
	}
	return c
}

func sourceClass(s Source) string {
	if s == Maker {
		return "source is-maker"
	}
	return "source"
}

func cautionClass(w Word) string { return "caution is-" + strings.ToLower(string(w)) }

// cautionLabel makes a screen reader announce what can hurt.
func cautionLabel(c CautionInfo) string {
	if c.Title == "" {
		return string(c.Word)
	}
	return string(c.Word) + ": " + c.Title
}

// cautionSaid is what is read aloud of the part that folds away.
func cautionSaid(c CautionInfo) string {
	if c.Stop == "" {
		return c.Text
	}
	return c.Text + " Stop if: " + c.Stop
}

func fieldClass(f FieldInfo) string {
	if f.Error != "" {
		return "field has-error"
	}
	return "field"
}

func (f FieldInfo) id() string     { return "f-" + f.Name }
func (f FieldInfo) listID() string { return "l-" + f.Name }

// describedBy names the hint and the error for assistive technology.
func (f FieldInfo) describedBy() string {
	var ids []string
	if f.Hint != "" {
		ids = append(ids, "h-"+f.Name)
	}
	if f.Error != "" {
		ids = append(ids, "e-"+f.Name)
	}
	return strings.Join(ids, " ")
}

// htmlType keeps figures out of type=number, whose arrows and wheel change a
// value unseen and which refuses a decimal comma.
func (f FieldInfo) htmlType() string {
	switch f.Type {
	case "", "number":
		return "text"
	}
	return f.Type
}

func (f FieldInfo) inputMode() string {
	if f.Mode == "" && f.Type == "number" {
		return "decimal"
	}
	return f.Mode
}

func (f FieldInfo) inputClass() string {
	if f.Type == "number" {
		return "input is-number"
	}
	return "input"
}

func (f FieldInfo) rows() string {
	if f.Rows > 0 {
		return strconv.Itoa(f.Rows)
	}
	return "3"
}

func pageClass(p PageInfo) string {
	switch {
	case p.Reading:
		return "page is-reading"
	case p.Focus:
		return "page is-focus"
	}
	return "page"
}

func topClass(p PageInfo) string {
	if p.Focus {
		return "top is-focus"
	}
	return "top"
}

func idleMinutes(p PageInfo) string {
	if p.IdleMin > 0 {
		return strconv.Itoa(p.IdleMin)
	}
	return "10"
}

func mainClass(a ActionInfo) string {
	c := "second"
	if a.Main {
		c = "main"
	}
	if a.Hold != "" {
		c += " hold"
	}
	return c
}

func sentWord(a ActionInfo) string {
	if a.Sent != "" {
		return a.Sent
	}
	return "Recorded"
}

func cellClass(head []Column, i int) string {
	if i < len(head) && head[i].Num {
		return "num"
	}
	return ""
}

func headLabel(head []Column, i int) string {
	if i < len(head) {
		return head[i].Label
	}
	return ""
}

var themeChoices = []struct{ value, label string }{
	{"auto", "Auto"}, {"light", "Light"}, {"dark", "Dark"}, {"sun", "Sun"},
}

func isPressed(theme, choice string) string {
	if theme == choice || theme == "" && choice == "auto" {
		return "true"
	}
	return "false"
}

// strip is the same job as a phone shows it, in the strip's own size.
func strip(v draw.Valley) draw.Valley {
	v.Wide, v.Width, v.Height = false, 0, 0
	return v
}
