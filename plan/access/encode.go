package access

import (
	"encoding"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"lastbolt/pattern"
)

// lineWidth is how long a group or list may be to stand on one line, and where
// long texts are wrapped.
const lineWidth = 100

// Encode writes the map as YAML: fields in a fixed order, short groups on one
// line, long texts wrapped. Parsing it gives an equal map, and encoding that
// the same bytes. Comments of a file the map was read from are not kept; Rewrite
// keeps them.
func (m *Map) Encode() []byte {
	w := &writer{}
	w.group(encodeGroup(reflect.ValueOf(m).Elem()), 0)
	return []byte(w.b.String())
}

// A cell is a value on its way to the file. width is its length on one line.
type cell struct {
	shape shape
	text  string // word, as it is written
	long  string // word, when it may be wrapped instead
	keys  []string
	vals  []cell
	width int
	block bool // never on one line
}

func wordCell(text string) cell {
	return cell{shape: word, text: text, width: utf8.RuneCountInString(text)}
}

func encodeValue(v reflect.Value) cell {
	switch p := v.Interface().(type) {
	case Span:
		return encodeSpan(p)
	case Need:
		if p.plain() {
			return textCell(p.Item)
		}
		return encodeGroup(v)
	case Tool:
		if len(p.Any) == 1 {
			return textCell(p.Any[0])
		}
		return encodeGroup(v)
	case interface{ inner() (reflect.Value, bool) }:
		if items, _ := p.inner(); items.Len() > 0 {
			return encodeValue(items)
		}
		return wordCell(none)
	case encoding.TextMarshaler:
		text, _ := p.MarshalText()
		return textCell(string(text))
	}
	switch v.Kind() {
	case reflect.Struct:
		return encodeGroup(v)
	case reflect.Slice:
		out := cell{shape: list, width: 2}
		for i := range v.Len() {
			out.add("", encodeValue(v.Index(i)))
		}
		return out
	case reflect.Pointer:
		return encodeValue(v.Elem())
	case reflect.Bool:
		return wordCell(strconv.FormatBool(v.Bool()))
	case reflect.Int:
		return wordCell(strconv.FormatInt(v.Int(), 10))
	case reflect.Float64:
		return wordCell(figure(v.Float()))
	}
	return textCell(v.String())
}

func encodeSpan(s Span) cell {
	if s.Low == s.Likely && s.Likely == s.High {
		return wordCell(figure(s.Low))
	}
	out := cell{shape: list, width: 2}
	for _, f := range []float64{s.Low, s.Likely, s.High} {
		out.add("", wordCell(figure(f)))
	}
	return out
}

func figure(f float64) string { return strconv.FormatFloat(f+0, 'f', -1, 64) }

func encodeGroup(v reflect.Value) cell {
	t := v.Type()
	out := cell{shape: group, width: 2}
	switch v.Interface().(type) {
	case Map, Item, Way, Work:
		out.block = true
	}
	for _, f := range groupOf(t).fields {
		fv := v.Field(f.index)
		if f.omitEmpty && leaveOut(fv, f.keepEmpty) {
			continue
		}
		c := encodeValue(fv)
		if len(f.name)+c.width > lineWidth {
			c.long = foldable(fv)
		}
		out.add(f.name, c)
	}
	return out
}

func leaveOut(v reflect.Value, keepEmpty bool) bool {
	if z, ok := v.Interface().(interface{ IsZero() bool }); ok {
		return z.IsZero()
	}
	if v.Kind() == reflect.Slice {
		return v.IsNil() || v.Len() == 0 && !keepEmpty
	}
	return v.IsZero()
}

func (c *cell) add(key string, v cell) {
	if c.shape == group {
		c.keys = append(c.keys, key)
		c.width += len(key) + 2
	}
	if len(c.vals) > 0 {
		c.width += 2
	}
	c.vals = append(c.vals, v)
	c.width += v.width
	c.block = c.block || v.block
}

// plainWord is text that every YAML reader takes as text without quotes, in
// lists and groups too.
var plainWord = pattern.Of(`^[\pL0-9][\pL\pN /()'°·×.+%½¼¾“”’„–…&=²³⌀µ-]*$`)

// reserved are words some reader takes for something else.
var reserved = []string{"true", "false", "yes", "no", "on", "off", "y", "n", "null", none}

var numberLike = pattern.Of(`^[0-9][0-9_.:eExXoObB+-]*$`)

func textCell(s string) cell {
	plain := plainWord().MatchString(s) && !numberLike().MatchString(s) && !slices.Contains(reserved, strings.ToLower(s)) && !strings.HasSuffix(s, " ")
	if plain {
		return wordCell(s)
	}
	return wordCell(quoted(s))
}

// quoted writes a text in double quotes with only the escapes that YAML and
// JSON share.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\r':
			b.WriteString(`\r`)
		case r < 0x10000 && (!unicode.IsPrint(r) || r == 0xFEFF):
			b.WriteString(`\u`)
			hex := strconv.FormatInt(int64(r), 16)
			b.WriteString(strings.Repeat("0", 4-len(hex)) + hex)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// foldable gives the text of a long one-paragraph string that may be wrapped
// without changing it, or "".
func foldable(v reflect.Value) string {
	if v.Kind() != reflect.String {
		return ""
	}
	s := v.String()
	last := ' '
	for _, r := range s {
		if r == ' ' && last == ' ' || r != ' ' && !unicode.IsPrint(r) {
			return ""
		}
		last = r
	}
	if last == ' ' {
		return ""
	}
	return s
}

type writer struct{ b strings.Builder }

// group writes fields one a line; the first one continues the present line.
func (w *writer) group(c cell, indent int) {
	for i, key := range c.keys {
		if i > 0 {
			w.indent(indent)
		}
		v := c.vals[i]
		w.b.WriteString(key + ":")
		switch {
		case v.shape == word && v.long != "":
			w.fold(v.long, indent+2)
		case v.shape == word || w.fits(v, indent+len(key)+2):
			w.b.WriteByte(' ')
			w.flow(v)
			w.b.WriteByte('\n')
		default:
			w.b.WriteByte('\n')
			w.nested(v, indent+2)
		}
	}
}

func (w *writer) nested(c cell, indent int) {
	w.indent(indent)
	if c.shape == group {
		w.group(c, indent)
		return
	}
	for i, v := range c.vals {
		if i > 0 {
			w.indent(indent)
		}
		w.b.WriteString("- ")
		switch {
		case v.shape == group && !w.fits(v, indent+2):
			w.group(v, indent+2)
		default: // a list straight inside a list is short: a span
			w.flow(v)
			w.b.WriteByte('\n')
		}
	}
}

func (w *writer) fits(c cell, indent int) bool {
	return len(c.vals) == 0 || !c.block && indent+c.width <= lineWidth
}

func (w *writer) indent(n int) { w.b.WriteString(strings.Repeat(" ", n)) }

func (w *writer) flow(c cell) {
	switch c.shape {
	case word:
		w.b.WriteString(c.text)
	case list:
		w.b.WriteByte('[')
		for i, v := range c.vals {
			if i > 0 {
				w.b.WriteString(", ")
			}
			w.flow(v)
		}
		w.b.WriteByte(']')
	case group:
		w.b.WriteByte('{')
		for i, v := range c.vals {
			if i > 0 {
				w.b.WriteString(", ")
			}
			w.b.WriteString(c.keys[i] + ": ")
			w.flow(v)
		}
		w.b.WriteByte('}')
	}
}

// fold writes a long text over several lines.
func (w *writer) fold(s string, indent int) {
	w.b.WriteString(" >-")
	col := lineWidth
	for _, wd := range strings.Split(s, " ") {
		n := utf8.RuneCountInString(wd)
		if col+1+n > lineWidth {
			w.b.WriteByte('\n')
			w.indent(indent)
			col = indent
		} else {
			w.b.WriteByte(' ')
			col++
		}
		w.b.WriteString(wd)
		col += n
	}
	w.b.WriteByte('\n')
}
