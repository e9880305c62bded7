package access

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// HazardIDs are the caution triggers a way or work can name, in the order
// lists show them. The cautions themselves are not kept here.
var HazardIDs = []string{
	"jack", "alone", "heavy", "coolant", "battery", "airbag", "aircon", "dust", "fuel", "running", "highvoltage",
	"spring", "tensioner", "wheel", "brake", "eyes", "chemicals", "fluids", "hot", "road",
}

// Sources are the sources a figure can have.
var Sources = []Source{Maker, Published, Measured, Computed, CommonPractice, NotKnown}

// Actions are the actions work can be for.
var Actions = []Action{Replace, Reseal, Inspect, AccessOnly}

// Bounds of what is believed. They catch slips (a torque in the field for the
// count, seconds for minutes), not opinions.
const (
	mostMinutes  = 100_000 // ten weeks: longer than any cure
	mostPieces   = 500
	mostPeople   = 8
	mostTorque   = 5000 // N·m
	mostLength   = 5    // m
	mostVolume   = 0.5  // m³
	mostNeedDeep = 20
)

// Check gives what is wrong with a map, and advice, with paths and without
// places in a file. Parse and Review use it, and so can an editor that holds a
// map it did not read. It is linear in the size of the map but for the proof
// that no way contradicts itself, which has a budget of work and says when
// that ran out.
func Check(m *Map) Problems {
	c := &checker{m: m, items: make(map[string]int, len(m.Items)), positions: make(map[string]bool, len(m.Positions))}
	c.head()
	c.names()
	for i := range m.Items {
		c.item(i)
	}
	c.texts()
	if len(m.Items) <= MaxItems {
		c.reach()
		c.backOrder()
	}
	c.toolSlips()
	return c.found
}

type checker struct {
	m         *Map
	found     Problems
	items     map[string]int // id to the first item that has it
	positions map[string]bool
	searched  int
}

func (c *checker) add(path, what, mend string) {
	if len(c.found) < enough {
		c.found = append(c.found, Problem{Path: path, What: what, Mend: mend})
	}
}

func (c *checker) advise(path, what, mend string) {
	if len(c.found) < enough {
		c.found = append(c.found, Problem{Path: path, What: what, Mend: mend, Advice: true})
	}
}

// suggest is didYouMean over all of many names, for as many problems as are
// shown: in a large map each search takes a while.
func (c *checker) suggest(word string, names func() []string, otherwise string) string {
	if c.searched++; c.searched > shownProblems {
		return otherwise
	}
	return didYouMean(word, names(), otherwise)
}

func (c *checker) itemIDs() []string {
	ids := make([]string, len(c.m.Items))
	for i := range c.m.Items {
		ids[i] = c.m.Items[i].ID
	}
	return ids
}

func at(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }

func (c *checker) head() {
	m := c.m
	switch {
	case m.Format == Format:
	case m.Format == "":
		c.add("format", "the format line is missing", "make the first line: format: "+Format)
	case len(m.Format) > len(Format)-1 && m.Format[:len(Format)-1] == Format[:len(Format)-1]:
		c.add("format", "this map is "+quote(m.Format)+", which this program does not read", "use a newer Lastbolt, or write format: "+Format+" if it is one")
	default:
		c.add("format", quote(m.Format)+" is not an access map's format line", "write format: "+Format)
	}
	c.id("id", "the map", m.ID)
	c.name("name", "the map", m.Name)
	switch {
	case len(m.Items) == 0:
		c.add("items", "the map has no items", "add at least one: - {id: undertray, name: Undertray, ways: […]}")
	case len(m.Items) > MaxItems:
		p := itemsProblem(0, len(m.Items))
		c.add(p.Path, p.What, p.Mend)
	}
}

func (c *checker) id(path, of, id string) {
	switch {
	case id == "":
		c.add(path, of+" has no id", "give it a short one, such as belt-shield")
	case !validID(id):
		c.add(path, quote(id)+" cannot be an id", "use letters, digits and hyphens only, such as "+quote(orItem(slug(id))))
	}
}

func orItem(s string) string {
	if s == "" {
		return "item"
	}
	return s
}

func (c *checker) name(path, of, name string) {
	if strings.TrimSpace(name) == "" {
		c.add(path, of+" has no name", "write the name the mechanic reads")
	}
}

// names fills the tables of ids and finds those given twice.
func (c *checker) names() {
	for i, p := range c.m.Positions {
		path := at("positions", i)
		c.id(path+".id", "a position", p.ID)
		c.name(path+".name", "position "+quote(p.ID), p.Name)
		if p.ID != "" && c.positions[p.ID] {
			c.add(path+".id", "two positions have the id "+quote(p.ID), "give this one another id")
		}
		c.positions[p.ID] = true
	}
	for i := range c.m.Items {
		id := c.m.Items[i].ID
		if first, twice := c.items[id]; twice && id != "" {
			c.add(at("items", i)+".id", fmt.Sprintf("two items have the id %s (the first is %s)", quote(id), quote(c.m.Items[first].Name)), "give this one another id")
		} else if id != "" {
			c.items[id] = i
		}
	}
	s := c.m.SetUp
	c.minutes("set_up.position", "position", s.Position)
	c.minutes("set_up.tool", "tool", s.Tool)
	for i, t := range s.Between {
		path := at("set_up.between", i)
		c.position(path+".from", t.From, true)
		c.position(path+".to", t.To, true)
		if t.From == t.To && t.From != "" {
			c.add(path+".to", "from and to are both "+quote(t.From), "name two different positions, or take the line out")
		}
		c.minutes(path+".minutes", "minutes", t.Minutes)
	}
}

func (c *checker) position(path, id string, required bool) {
	if id == "" && required {
		c.add(path, "no position is named here", "write the id of a position")
	}
	if id == "" || c.positions[id] {
		return
	}
	otherwise := "add it to positions, or leave the field out if anywhere will do"
	if len(c.m.Positions) == 0 {
		otherwise = "the map has no positions: add positions: [{id: " + orItem(slug(id)) + ", name: …}]"
	}
	c.add(path, quote(id)+" is not a position of this map", c.suggest(id, func() []string {
		var ids []string
		for _, p := range c.m.Positions {
			ids = append(ids, p.ID)
		}
		return ids
	}, otherwise))
}

// ref checks a reference to an item and gives its place, or -1.
func (c *checker) ref(path, id string) int {
	if i, ok := c.items[id]; ok {
		return i
	}
	if id == "" {
		c.add(path, "no item is named here", "write the id of an item")
		return -1
	}
	c.add(path, quote(id)+" is not an item of this map", c.suggest(id, c.itemIDs, "add an item with this id, or take it out here"))
	return -1
}

func (c *checker) refs(path string, ids []string) {
	for i, id := range ids {
		c.ref(at(path, i), id)
		if slices.Contains(ids[:i], id) && i < 100 {
			c.add(at(path, i), quote(id)+" is named twice here", "take one out")
		}
	}
}

func (c *checker) minutes(path, name string, f float64) {
	switch {
	case f < 0:
		c.add(path, fmt.Sprintf("%s is %s, less than nothing", name, figure(f)), "write minutes from 0 up")
	case math.IsNaN(f) || f > mostMinutes:
		c.add(path, fmt.Sprintf("%s is %s minutes, longer than anything on a vehicle takes", name, figure(f)), "write minutes, not seconds")
	}
}

func (c *checker) span(path, name string, s Span) {
	for _, f := range []float64{s.Low, s.Likely, s.High} {
		if !(f >= 0 && f <= mostMinutes) {
			c.minutes(path, name, f)
			return
		}
	}
	if s.Low > s.Likely || s.Likely > s.High {
		low, likely, high := min(s.Low, s.Likely, s.High), s.Low+s.Likely+s.High, max(s.Low, s.Likely, s.High)
		likely -= low + high
		c.add(path, fmt.Sprintf("%s is [%s, %s, %s], which is not in order", name, figure(s.Low), figure(s.Likely), figure(s.High)),
			fmt.Sprintf("write low, likely, high: [%s, %s, %s]?", figure(low), figure(likely), figure(high)))
	}
}

// one checks a word that must be one of a few.
func (c *checker) one(path, what, got string, names []string) {
	if !slices.Contains(names, got) {
		c.add(path, quote(got)+" is not "+what, didYouMean(got, names, "write "+orList(names)))
	}
}

func words[T ~string](list []T) []string {
	out := make([]string, len(list))
	for i, w := range list {
		out[i] = string(w)
	}
	return out
}
