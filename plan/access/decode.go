package access

import (
	"encoding"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"sync"

	"lastbolt/pattern"
)

// Parse reads a map from YAML (JSON is YAML too). A map with anything wrong is
// refused with Problems, each with its line, column and mend; advice is not an
// error (see Review). The file name is only for the problems.
func Parse(file string, src []byte) (*Map, error) {
	m, found := Review(file, src)
	if errs := found.Errors(); len(errs) > 0 {
		return nil, errs
	}
	return m, nil
}

// Review is Parse with the advice as well, in the order of the file. The map
// is nil only when the file could not be read as YAML at all; with errors in
// the list it holds what could be read.
func Review(file string, src []byte) (*Map, Problems) {
	root, fault := readTree(src)
	if fault != nil {
		fault.File = file
		return nil, Problems{*fault}
	}
	d := &decoder{}
	m := new(Map)
	if root.shape != group {
		return nil, Problems{{File: file, Line: root.line, Column: root.col, What: "a map file is a group of fields, not " + root.shape.String(), Mend: "start with the line: format: " + Format}}
	}
	d.value(root, reflect.ValueOf(m).Elem(), reflect.TypeFor[Map]())
	found := d.found
	for _, p := range Check(m) {
		if !coveredBy(p.Path, found[:len(d.found)]) {
			p.Line, p.Column = root.place(p.Path)
			found = append(found, p)
		}
	}
	for i := range found {
		found[i].File = file
	}
	slices.SortStableFunc(found, func(a, b Problem) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return m, found
}

// coveredBy reports that a problem at or above the path is known already: what
// could not be read is not complained about again for being missing.
func coveredBy(path string, found Problems) bool {
	for i := range found {
		p := found[i].Path
		if p != "" && strings.HasPrefix(path, p) && (len(path) == len(p) || path[len(p)] == '.' || path[len(p)] == '[') {
			return true
		}
	}
	return false
}

// place gives the line and column of a path, or of the nearest thing above it
// that is in the file.
func (n *node) place(path string) (line, col int) {
	line, col = n.line, n.col
	for path != "" {
		var step string
		if path[0] == '[' {
			end := strings.IndexByte(path, ']')
			i, _ := strconv.Atoi(path[1:end])
			path = strings.TrimPrefix(path[end+1:], ".")
			if n.shape != list || i >= len(n.vals) {
				return line, col
			}
			n = n.vals[i]
			line, col = n.line, n.col
			continue
		}
		end := strings.IndexAny(path, ".[")
		if end < 0 {
			end = len(path)
		}
		step, path = path[:end], strings.TrimPrefix(path[end:], ".")
		k, v := n.get(step)
		if v == nil {
			return line, col
		}
		n = v
		line, col = v.line, v.col
		if v.shape != word {
			line, col = k.line, k.col
		}
	}
	return line, col
}

// A decoder fills a Map from nodes and goes on after a fault, so that one run
// reports everything.
type decoder struct {
	path  []string
	found Problems
}

// enough bounds how many faults are collected from one file.
const enough = 200

func (d *decoder) fault(n *node, what, mend string) {
	if len(d.found) < enough {
		d.found = append(d.found, Problem{Line: n.line, Column: n.col, Path: strings.Join(d.path, ""), What: what, Mend: mend})
	}
}

func (d *decoder) push(step string) { d.path = append(d.path, step) }
func (d *decoder) pop()             { d.path = d.path[:len(d.path)-1] }

func (d *decoder) field(name string) {
	if len(d.path) > 0 {
		name = "." + name
	}
	d.push(name)
}

// A shaper is a type with its own shape in a file: Need, Span, Tool, List.
type shaper interface {
	fromNode(d *decoder, n *node)
}

func (d *decoder) value(n *node, v reflect.Value, t reflect.Type) {
	if n.shape == blank {
		return // nothing was written: the same as leaving the field out
	}
	switch p := v.Addr().Interface().(type) {
	case shaper:
		p.fromNode(d, n)
		return
	case encoding.TextUnmarshaler:
		if n.shape != word {
			d.fault(n, d.here()+" is a quantity, not "+n.shape.String(), "write a number with its unit")
		} else if err := p.UnmarshalText([]byte(n.text)); err != nil {
			d.quantity(n, err)
		}
		return
	}
	switch t.Kind() {
	case reflect.Struct:
		d.group(n, v, t)
	case reflect.Slice:
		d.list(n, v, t)
	case reflect.Pointer:
		v.Set(reflect.New(t.Elem()))
		d.value(n, v.Elem(), t.Elem())
	case reflect.String:
		if n.shape != word {
			d.fault(n, d.here()+" is text, not "+n.shape.String(), "write it on one line after the colon")
		} else {
			v.SetString(n.text)
		}
	case reflect.Bool:
		if n.shape != word || n.text != "true" && n.text != "false" {
			d.fault(n, d.here()+" is "+describe(n), "write true or false")
		} else {
			v.SetBool(n.text == "true")
		}
	case reflect.Int:
		if i, err := strconv.Atoi(n.text); n.shape != word || err != nil {
			d.fault(n, d.here()+" is "+describe(n), "write a whole number")
		} else {
			v.SetInt(int64(i))
		}
	case reflect.Float64:
		if f, ok := d.number(n); ok {
			v.SetFloat(f)
		}
	default:
		panic("access: no reading for " + t.String())
	}
}

// quantity splits the quantity's own sentence ("what: write …") into
// what and mend.
func (d *decoder) quantity(n *node, err error) {
	what, mend := err.Error(), "write a number with its unit"
	if i := strings.LastIndex(what, ": write "); i >= 0 {
		what, mend = what[:i], what[i+2:]
	}
	d.fault(n, d.here()+": "+what, mend)
}

var decimal = pattern.Of(`^-?[0-9]+(\.[0-9]+)?$`)

// number reads a plain decimal number. The other spellings YAML has (1e3,
// 0x10, 1_000, .inf) are refused: in a map they are slips.
func (d *decoder) number(n *node) (float64, bool) {
	if n.shape == word && decimal().MatchString(n.text) {
		if f, err := strconv.ParseFloat(n.text, 64); err == nil {
			return f + 0, true // + 0 turns -0 into 0
		}
	}
	mend := "write a number with a decimal point, without a unit"
	if comma := strings.Replace(n.text, ",", ".", 1); n.shape == word && comma != n.text && decimal().MatchString(comma) {
		mend = "write " + comma
	}
	d.fault(n, d.here()+" is "+describe(n), mend)
	return 0, false
}

func describe(n *node) string {
	if n.shape == word {
		return quote(n.text)
	}
	return n.shape.String()
}

// here names the field being read, without the places of lists: "minutes.off".
func (d *decoder) here() string {
	for i := len(d.path) - 1; i >= 0; i-- {
		step := strings.TrimPrefix(d.path[i], ".")
		if step[0] == '[' {
			continue
		}
		if step == "off" || step == "on" || step == "value" || step == "minutes" && i > 0 && d.path[i-1] == ".wait" {
			if i > 0 && d.path[i-1][0] == '.' {
				return strings.TrimPrefix(d.path[i-1], ".") + "." + step
			}
		}
		return step
	}
	return "the file"
}

func (d *decoder) list(n *node, v reflect.Value, t reflect.Type) {
	if n.shape == group && t.Elem().Kind() == reflect.String || n.shape == word {
		d.fault(n, d.here()+" is a list, not "+describe(n), "write it as ["+firstOf(n)+"], or one a line after dashes")
		return
	}
	if n.shape == group {
		d.fault(n, d.here()+" is a list, not one group of fields", "put a dash in front of it, or write [{…}]")
		return
	}
	v.Set(reflect.MakeSlice(t, len(n.vals), len(n.vals)))
	for i, e := range n.vals {
		d.push("[" + strconv.Itoa(i) + "]")
		if e.shape == blank {
			d.fault(e, "part "+strconv.Itoa(i+1)+" of "+d.here()+" is left blank", "take it out or fill it in")
		}
		d.value(e, v.Index(i), t.Elem())
		d.pop()
	}
}

func firstOf(n *node) string {
	if n.shape == word && !strings.ContainsAny(n.text, "\n") && len(n.text) < 40 {
		return n.text
	}
	return "…"
}

// A fieldInfo is one field of a group: its name in files and its place.
type fieldInfo struct {
	name      string
	index     int
	omitEmpty bool
	// keepEmpty marks a list for which empty says something else than absent.
	keepEmpty bool
}

type groupInfo struct {
	noun   string
	fields []fieldInfo
	byName map[string]int
	names  []string
}

var groupCache sync.Map // reflect.Type to *groupInfo

func groupOf(t reflect.Type) *groupInfo {
	if g, ok := groupCache.Load(t); ok {
		return g.(*groupInfo)
	}
	g := &groupInfo{noun: nouns[t.Name()], byName: map[string]int{}}
	for i := range t.NumField() {
		name, options, _ := strings.Cut(t.Field(i).Tag.Get("yaml"), ",")
		if name == "" || name == "-" {
			continue
		}
		g.byName[name] = len(g.fields)
		g.names = append(g.names, name)
		g.fields = append(g.fields, fieldInfo{
			name: name, index: i, omitEmpty: strings.Contains(options, "omitempty"),
			keepEmpty: t.Field(i).Type.Kind() == reflect.Slice && strings.HasSuffix(t.Field(i).Tag.Get("json"), ",omitzero"),
		})
	}
	groupCache.Store(t, g)
	return g
}

var nouns = map[string]string{
	"Map": "a map", "Position": "a position", "SetUp": "set_up", "Transfer": "a part of between", "Item": "an item",
	"Way": "a way", "Need": "a need", "BothWays": "minutes", "Wait": "a wait", "Tool": "a tool", "Fastener": "a group of fasteners",
	"Torque": "a torque", "Piece": "a piece", "Consumable": "a consumable", "Fluid": "a fluid", "Joint": "a joint", "Seal": "a seal",
	"Trouble": "trouble", "Back": "back", "Work": "work", "Test": "a test",
}

// examples show a group's writing where something else was found.
var examples = map[string]string{
	"BothWays": "{off: [3, 5, 9], on: [4, 6, 10]}", "Torque": "{value: 8 N·m, source: maker's document}",
	"Wait": "{kind: cure, minutes: 30}", "Piece": "{name: …, count: 1}", "Consumable": "{name: …, amount: 20 ml}",
	"Fluid": "{name: coolant, amount: 3 L}", "Joint": "{kind: coolant, name: …}", "Seal": "{kind: o-ring, size: 20x2.65, material: EPDM}", "Trouble": "{what: …, odds: 0.2, minutes: 5}",
	"Fastener": "{id: …, count: 4}", "Back": "{after: […]}", "SetUp": "{position: 2, tool: 0.5}", "Position": "{id: above, name: From above}",
}

func (d *decoder) group(n *node, v reflect.Value, t reflect.Type) {
	g := groupOf(t)
	if n.shape != group {
		example := examples[t.Name()]
		if example == "" {
			example = "{" + strings.Join(g.names[:min(2, len(g.names))], ": …, ") + ": …}"
		}
		d.fault(n, fmt.Sprintf("%s is %s where a group of fields should be", d.here(), describe(n)), "write it as "+example)
		return
	}
	for i, key := range n.keys {
		at, ok := g.byName[key.text]
		if !ok {
			d.unknownField(key, n.vals[i], g)
			continue
		}
		f := g.fields[at]
		d.field(f.name)
		d.value(n.vals[i], v.Field(f.index), t.Field(f.index).Type)
		d.pop()
		if fv := v.Field(f.index); fv.Kind() == reflect.Slice && fv.Len() == 0 && !f.keepEmpty {
			fv.SetZero() // [] and leaving it out mean the same here
		}
	}
}

func (d *decoder) unknownField(key, val *node, g *groupInfo) {
	names := g.names
	otherwise := "it has " + andList(names)
	if len(names) > 12 {
		otherwise = "take the line out, or put its text under notes"
	}
	if val.shape == blank && val.line == key.line {
		otherwise = "if it belongs to the text before the comma, put that whole text in quotes"
	}
	d.field(key.text)
	d.fault(key, fmt.Sprintf("%s has no field %s", g.noun, quote(key.text)), didYouMean(key.text, names, otherwise))
	d.pop()
}
