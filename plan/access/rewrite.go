package access

import (
	"bytes"
	"reflect"
	"strings"

	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/token"
)

// Rewrite writes the map over a text that says was, so that what was written
// there by hand stays: an item that is the same keeps its text to the letter,
// with its comments; the comments of one that changed stand above it. It gives
// the text and the map read back from it, or what is wrong with the map. Where
// the old text is laid out in a way that cannot be kept the text is what
// [Map.Encode] writes, without comments.
func (m *Map) Rewrite(was *Map, old []byte) ([]byte, *Map, error) {
	fresh := m.Encode()
	from, okFrom := cutMap(old)
	to, okTo := cutMap(fresh)
	if okFrom && okTo && len(from.items) == len(was.Items) && len(to.items) == len(m.Items) {
		text := m.over(was, from, to)
		if back, err := Parse(m.ID, text); err == nil && sameMap(back, m) {
			return text, back, nil
		}
	}
	back, err := Parse(m.ID, fresh)
	return fresh, back, err
}

// sameMap compares what maps say; a list that is empty is one not there, unless
// that makes a difference in a file.
func sameMap(a, b *Map) bool { return bytes.Equal(a.Encode(), b.Encode()) }

// over puts the new map's parts in place of the old one's that differ.
func (m *Map) over(was *Map, from, to mapText) []byte {
	var b strings.Builder
	now, then := *m, *was
	now.Items, then.Items = nil, nil
	if reflect.DeepEqual(now, then) {
		b.WriteString(from.head)
	} else {
		b.WriteString(comments(from.head, "") + to.head)
	}
	kept := map[string]int{}
	for i := range was.Items {
		kept[was.Items[i].ID] = i
	}
	for i := range m.Items {
		k, known := kept[m.Items[i].ID]
		switch {
		case known && reflect.DeepEqual(m.Items[i], was.Items[k]):
			b.WriteString(from.items[k])
		case known:
			b.WriteString(comments(from.items[k], from.indent) + shifted(to.items[i], from.indent))
		default:
			b.WriteString(shifted(to.items[i], from.indent))
		}
		if !strings.HasSuffix(b.String(), "\n") { // the old text's last line
			b.WriteByte('\n')
		}
	}
	b.WriteString(from.tail)
	return []byte(b.String())
}

// A mapText is the text of a map cut at its items.
type mapText struct {
	head   string   // up to and with the line "items:"
	items  []string // each with the comments above it
	tail   string   // fields after the items, as old files may have them
	indent string   // before the dash of an item
}

// cutMap cuts a text whose items begin with a dash on lines of their own.
func cutMap(text []byte) (t mapText, ok bool) {
	var part strings.Builder
	var loose string // comments and blank lines whose place is not known yet
	const head, list, tail = 0, 1, 2
	where := head
	for line := range strings.Lines(string(text)) {
		body := strings.TrimLeft(line, " ")
		indent := line[:len(line)-len(body)]
		empty := strings.TrimSpace(body) == "" || body[0] == '#'
		switch {
		case where == head && strings.TrimRight(line, " \r\n") == "items:":
			where, t.head = list, part.String()+line
			part.Reset()
		case where == list && empty:
			loose += line
		case where == list && len(t.items) == 0 && part.Len() == 0:
			if body[0] != '-' {
				return t, false
			}
			t.indent = indent
			part.WriteString(loose + line)
			loose = ""
		case where == list && indent == t.indent && strings.HasPrefix(body, "-"):
			t.items = append(t.items, part.String())
			part.Reset()
			part.WriteString(loose + line)
			loose = ""
		case where == list && len(indent) <= len(t.indent):
			t.items = append(t.items, part.String())
			part.Reset()
			part.WriteString(loose + line)
			loose, where = "", tail
		default:
			part.WriteString(loose + line)
			loose = ""
		}
	}
	switch where {
	case list:
		t.items, t.tail = append(t.items, part.String()), loose
	case tail:
		t.tail = part.String()
	}
	return t, where != head
}

// comments are the comments of a text, a line each, indented alike.
func comments(text, indent string) string {
	var b strings.Builder
	for _, tk := range lexer.Tokenize(text) {
		if tk.Type == token.CommentType {
			b.WriteString(indent + "#" + strings.TrimRight(tk.Value, " \r\n") + "\n")
		}
	}
	return b.String()
}

// shifted is an item as Encode writes it, two spaces in, moved to an indent.
func shifted(text, indent string) string {
	if indent == "  " {
		return text
	}
	var b strings.Builder
	for line := range strings.Lines(text) {
		b.WriteString(indent + strings.TrimPrefix(line, "  "))
	}
	return b.String()
}
