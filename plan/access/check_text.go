package access

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"unicode/utf8"
)

// mostText is the longest text of a field, in bytes; a note longer than this
// belongs in a document.
const mostText = 10_000

// texts looks at every text of the map: valid, without control characters,
// one line but for notes and about, and not too long.
func (c *checker) texts() { c.textsOf("", reflect.ValueOf(c.m).Elem(), false) }

func (c *checker) textsOf(path string, v reflect.Value, lines bool) {
	switch v.Kind() {
	case reflect.String:
		c.text(path, v.String(), lines)
	case reflect.Slice:
		for i := range v.Len() {
			if v.Index(i).Kind() == reflect.String || v.Index(i).Kind() == reflect.Struct {
				c.textsOf(at(path, i), v.Index(i), lines)
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			c.textsOf(path, v.Elem(), lines)
		}
	case reflect.Struct:
		if l, ok := v.Interface().(interface{ inner() (reflect.Value, bool) }); ok {
			items, _ := l.inner()
			c.textsOf(path, items, lines)
			return
		}
		for _, f := range groupOf(v.Type()).fields {
			p := f.name
			if path != "" {
				p = path + "." + p
			}
			c.textsOf(p, v.Field(f.index), f.name == "notes" || f.name == "about")
		}
	}
}

func (c *checker) text(path, s string, lines bool) {
	if len(s) > mostText {
		c.add(path, fmt.Sprintf("a text of %d bytes, longer than the %d it may have", len(s), mostText), "shorten it")
		return
	}
	if !utf8.ValidString(s) {
		c.add(path, "this text is not UTF-8", "write it again")
		return
	}
	for _, r := range s {
		switch {
		case r == '\n' && !lines:
			c.add(path, "this text goes over more than one line", "make it one line; notes may have several")
			return
		case r < ' ' && r != '\n' && r != '\t', r >= 0x7f && r < 0xa0, r == 0xfeff, r == 0xfffe, r == 0xffff:
			c.add(path, fmt.Sprintf("a control character (U+%04X) in this text", r), "delete it")
			return
		}
	}
}

// toolSlips advises about a tool that is spelt one letter away from a tool
// named more often, with the same figures: "10 mm sockte". Two names one slip
// apart share a name with one letter dropped, so this looks each up once.
func (c *checker) toolSlips() {
	type place struct {
		path  string
		count int
	}
	named := map[string]*place{}
	var order []string
	note := func(path string, l List[Tool]) {
		for k, t := range l.Items {
			for _, name := range t.Any {
				if p := named[name]; p != nil {
					p.count++
				} else if len(name) < 200 {
					named[name] = &place{at(path, k), 1}
					order = append(order, name)
				}
			}
		}
	}
	for i := range c.m.Items {
		for j := range c.m.Items[i].Ways {
			note(at(at("items", i)+".ways", j)+".tools", c.m.Items[i].Ways[j].Tools)
		}
		for j := range c.m.Items[i].Work {
			note(at(at("items", i)+".work", j)+".tools", c.m.Items[i].Work[j].Tools)
		}
	}
	dropped := map[string][]string{}
	for _, name := range order {
		if utf8.RuneCountInString(name) < 6 {
			continue
		}
		for _, d := range withoutOne(name) {
			dropped[d] = append(dropped[d], name)
		}
	}
	for _, name := range order {
		if named[name].count > 1 || utf8.RuneCountInString(name) < 6 {
			continue
		}
		for _, d := range withoutOne(name) {
			i := slices.IndexFunc(dropped[d], func(o string) bool {
				return o != name && named[o].count > 1 && figuresOf(o) == figuresOf(name)
			})
			if i >= 0 {
				c.advise(named[name].path, fmt.Sprintf("the tool %s is one letter away from %s", quote(name), quote(dropped[d][i])), "write it the same way if it is the same tool")
				break
			}
		}
	}
}

// withoutOne gives a word, and the word without each of its letters.
func withoutOne(s string) []string {
	low := []rune(strings.ToLower(s))
	out := []string{string(low)}
	for i := range low {
		out = append(out, string(low[:i])+string(low[i+1:]))
	}
	return out
}

func figuresOf(s string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r == '/' || r == '.' {
			return r
		}
		return -1
	}, s)
}
