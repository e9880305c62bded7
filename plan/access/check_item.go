package access

import (
	"fmt"
	"slices"
)

func (c *checker) item(i int) {
	it := &c.m.Items[i]
	path := at("items", i)
	called := "an item"
	if it.Name != "" {
		called = quote(it.Name)
	} else if it.ID != "" {
		called = quote(it.ID)
	}
	c.id(path+".id", called, it.ID)
	c.name(path+".name", called, it.Name)
	if it.Kind != "" {
		c.one(path+".kind", "a kind of item", string(it.Kind), []string{string(Part), string(Condition)})
	}
	if it.Repeats && it.Kind != Condition {
		c.add(path+".repeats", called+" repeats, but it is a part", "add kind: condition, or take repeats out")
	}
	if len(it.Ways) == 0 {
		c.add(path+".ways", called+" has no way to get it out of the way", "add ways: [{id: \"off\", minutes: {off: 5, on: 5}}]")
	}
	seen := map[string]bool{}
	for j := range it.Ways {
		w := &it.Ways[j]
		if w.ID != "" && seen[w.ID] {
			c.add(at(path+".ways", j)+".id", fmt.Sprintf("two ways of %s have the id %s", called, quote(w.ID)), "give this one another id")
		}
		seen[w.ID] = true
		c.way(it, w, at(path+".ways", j))
	}
	var done []Action
	for j := range it.Work {
		a := it.Work[j].Action
		if slices.Contains(done, a) {
			c.add(at(path+".work", j)+".action", fmt.Sprintf("%s has work for %s twice", called, quote(string(a))), "put both into one")
		}
		done = append(done, a)
		c.work(&it.Work[j], at(path+".work", j))
	}
}

func (c *checker) way(it *Item, w *Way, path string) {
	c.id(path+".id", "a way of "+quote(it.ID), w.ID)
	if w.ID == string(Off) && w.Kind == Aside || w.ID == string(Aside) && w.Kind != Aside {
		c.add(path+".id", fmt.Sprintf("the way %s is of the other kind", quote(w.ID)), "give it another id: in a need it would mean both")
	}
	if w.Kind != "" {
		c.one(path+".kind", "a kind of way", string(w.Kind), []string{string(Off), string(Aside)})
	}
	for k := range w.Needs {
		c.need(at(path+".needs", k), &w.Needs[k], 0)
	}
	c.refs(path+".still", w.Still)
	c.position(path+".hands", w.Hands, false)
	if w.People < 0 || w.People > mostPeople {
		c.add(path+".people", fmt.Sprintf("people is %d", w.People), fmt.Sprintf("write how many it takes, from 1 to %d", mostPeople))
	}
	c.span(path+".minutes.off", "minutes.off", w.Minutes.Off)
	c.span(path+".minutes.on", "minutes.on", w.Minutes.On)
	if one(w.Minutes.Off) && one(w.Minutes.On) && w.Minutes.Off.High+w.Minutes.On.High > 0 {
		c.advise(path+".minutes", fmt.Sprintf("%s has one figure for its minutes, as if they were certain", c.wayName(it, w)), "write low, likely and high, as in [3, 5, 9]")
	}
	c.wait(path+".wait", w.Wait)
	c.tools(path+".tools", w.Tools)
	c.fasteners(it, w, path+".fasteners")
	c.pieces(path+".single_use", w.SingleUse.Items)
	c.consumables(path+".consumables", w.Consumables.Items)
	c.fluids(path+".fluids", w.Fluids.Items)
	for k, j := range w.Opens {
		c.one(at(path+".opens", k)+".kind", "a kind of joint", j.Kind, JointKinds)
		if j.Seal.Kind != "" {
			c.one(at(path+".opens", k)+".seal.kind", "a kind of seal", j.Seal.Kind, SealKinds)
		}
		if j.Seal.Material != "" {
			c.one(at(path+".opens", k)+".seal.material", "a material of seals", j.Seal.Material, SealMaterials)
		}
	}
	c.hazards(path+".hazards", w.Hazards)
	c.trouble(path+".trouble", w.Trouble)
	c.back(w, path)
}

func one(s Span) bool { return s.Low == s.High }

func (c *checker) wayName(it *Item, w *Way) string {
	if len(it.Ways) < 2 {
		return quote(it.Name)
	}
	return quote(it.Name) + " (way " + quote(w.ID) + ")"
}

func (c *checker) need(path string, n *Need, deep int) {
	if deep > mostNeedDeep {
		c.add(path, fmt.Sprintf("needs are nested more than %d deep", mostNeedDeep), "write them flatter")
		return
	}
	given := 0
	for _, has := range []bool{n.Item != "", len(n.All) > 0, len(n.Any) > 0} {
		if has {
			given++
		}
	}
	if given != 1 {
		c.add(path, "a need is exactly one of item, all and any", "write an item's id, {item: …, way: …}, {all: […]} or {any: […]}")
		return
	}
	if n.Item == "" {
		if n.Way != "" {
			c.add(path+".way", "way belongs to an item", "write {item: …, way: "+n.Way+"}")
		}
		for k := range n.All {
			c.need(at(path+".all", k), &n.All[k], deep+1)
		}
		for k := range n.Any {
			c.need(at(path+".any", k), &n.Any[k], deep+1)
		}
		return
	}
	itemPath := path
	if !n.plain() {
		itemPath += ".item"
	}
	i := c.ref(itemPath, n.Item)
	if i < 0 || n.Way == "" || len(c.m.Items[i].Ways) == 0 {
		return
	}
	var ways []string
	for j := range c.m.Items[i].Ways {
		w := &c.m.Items[i].Ways[j]
		if w.matches(n.Way) {
			return
		}
		ways = append(ways, w.ID)
	}
	c.add(path+".way", fmt.Sprintf("%s has no way or kind of way %s", quote(n.Item), quote(n.Way)), didYouMean(n.Way, ways, "it has "+andList(ways)))
}

func (c *checker) wait(path string, w *Wait) {
	if w == nil {
		return
	}
	if w.Kind == "" {
		c.add(path+".kind", "a wait does not say what for", "write kind: cool, drain, soak or cure")
	}
	c.span(path+".minutes", "wait.minutes", w.Minutes)
}

func (c *checker) tools(path string, tools List[Tool]) {
	for k, t := range tools.Items {
		if len(t.Any) == 0 || slices.Contains(t.Any, "") {
			c.add(at(path, k), "a tool has no name", "write its name, or take it out")
		}
	}
}

func (c *checker) fasteners(it *Item, w *Way, path string) {
	if !w.Fasteners.Given && len(w.Fasteners.Items) == 0 && it.Kind != Condition {
		c.advise(path, fmt.Sprintf("%s does not say which fasteners it has", c.wayName(it, w)), "list them with their counts, or write fasteners: none")
	}
	seen := map[string]bool{}
	for k := range w.Fasteners.Items {
		f := &w.Fasteners.Items[k]
		p := at(path, k)
		c.id(p+".id", "a group of fasteners", f.ID)
		if f.ID != "" && seen[f.ID] {
			c.add(p+".id", "two groups of fasteners here have the id "+quote(f.ID), "give this one another id")
		}
		seen[f.ID] = true
		if f.Count < 1 || f.Count > mostPieces {
			c.add(p+".count", fmt.Sprintf("the count of %s is %d", quote(firstNonEmpty(f.Name, f.ID)), f.Count), fmt.Sprintf("count them: from 1 to %d", mostPieces))
		}
		if l := float64(f.Length.Value); !f.Length.IsZero() && (l <= 0 || l > mostLength) {
			c.add(p+".length", "a fastener of "+f.Length.String(), "write its length under the head, as in 25 mm")
		}
		c.torque(it, f, p+".torque")
		c.spots(f, p+".at")
	}
}

func firstNonEmpty(words ...string) string {
	for _, w := range words {
		if w != "" {
			return w
		}
	}
	return ""
}

func (c *checker) torque(it *Item, f *Fastener, path string) {
	t := &f.Torque
	known := !t.Value.IsZero()
	name := quote(firstNonEmpty(f.Name, f.ID))
	if t.Source != "" {
		c.one(path+".source", "a source", string(t.Source), words(Sources))
	}
	switch v := float64(t.Value.Value); {
	case known && (v <= 0 || v > mostTorque):
		c.add(path+".value", "a torque of "+t.Value.String()+" for "+name, "look it up again: the unit may be another one")
	case !known && t.Source != "" && t.Source != NotKnown:
		c.add(path, "the torque of "+name+" has a source and no value", "add value: … with its unit, or write source: not known")
	case known && (t.Source == "" || t.Source == NotKnown):
		c.advise(path, "nothing says where the torque of "+name+" comes from, so it is never shown as a specification", "add source: and one of "+orList(words(Sources)))
	case !known && it.Critical != "" && (f.Thread != "" || t.Source == NotKnown):
		c.advise(path, fmt.Sprintf("the torque of %s is not known, and it matters for %s", name, it.Critical), "look it up in the maker's document before a job")
	}
}

func (c *checker) pieces(path string, list []Piece) {
	for k, p := range list {
		c.name(at(path, k)+".name", "a piece", p.Name)
		if p.Count < 0 || p.Count > mostPieces {
			c.add(at(path, k)+".count", fmt.Sprintf("the count of %s is %d", quote(p.Name), p.Count), fmt.Sprintf("write how many, from 1 to %d", mostPieces))
		}
	}
}

func (c *checker) consumables(path string, list []Consumable) {
	for k, u := range list {
		c.name(at(path, k)+".name", "a consumable", u.Name)
		if u.For != "" {
			c.one(at(path, k)+".for", "when it is wanted", u.For, []string{"back", "off"})
		}
	}
}

func (c *checker) fluids(path string, list []Fluid) {
	for k, f := range list {
		c.name(at(path, k)+".name", "a fluid", f.Name)
		if v := float64(f.Amount.Value); !f.Amount.IsZero() && (v < 0 || v > mostVolume) {
			c.add(at(path, k)+".amount", f.Amount.String()+" of "+quote(f.Name), "write what runs out, as in 3.2 L")
		}
		c.span(at(path, k)+".minutes", "filling "+quote(f.Name), f.Minutes)
	}
}

func (c *checker) hazards(path string, ids []string) {
	for k, id := range ids {
		c.one(at(path, k), "a hazard", id, HazardIDs)
	}
}

func (c *checker) trouble(path string, list []Trouble) {
	for k, t := range list {
		p := at(path, k)
		if t.What == "" {
			c.add(p+".what", "trouble does not say what goes wrong", "write what: bolt shears, clip breaks …")
		}
		if !(t.Odds >= 0 && t.Odds <= 1) {
			mend := "write how often out of one: 0.1 is one time in ten"
			if t.Odds >= 2 && t.Odds <= 100 {
				mend = fmt.Sprintf("odds are out of one: write %s for %s percent", figure(t.Odds/100), figure(t.Odds))
			}
			c.add(p+".odds", "odds of "+figure(t.Odds), mend)
		}
		c.minutes(p+".minutes", "minutes", t.Minutes)
		c.pieces(p+".needs", t.Needs)
		c.tools(p+".tools", asTools(t.Tools))
	}
}

func asTools(names []string) List[Tool] {
	var l List[Tool]
	for _, n := range names {
		l.Items = append(l.Items, Tool{Any: []string{n}})
	}
	return l
}

func (c *checker) work(w *Work, path string) {
	c.one(path+".action", "an action", string(w.Action), words(Actions))
	for k := range w.Needs {
		c.need(at(path+".needs", k), &w.Needs[k], 0)
	}
	c.position(path+".hands", w.Hands, false)
	c.span(path+".minutes", "minutes", w.Minutes)
	c.wait(path+".wait", w.Wait)
	c.tools(path+".tools", w.Tools)
	c.pieces(path+".parts", w.Parts.Items)
	c.consumables(path+".consumables", w.Consumables.Items)
	c.hazards(path+".hazards", w.Hazards)
	for k, t := range w.Tests {
		p := at(path+".tests", k)
		c.name(p+".name", "a test", t.Name)
		if t.Source != "" {
			c.one(p+".source", "a source", string(t.Source), words(Sources))
		}
		if (t.Low != nil || t.High != nil) && t.Unit == "" {
			c.add(p+".unit", "the test "+quote(t.Name)+" has limits without a unit", "add unit: V, bar, mm …")
		}
		if t.Low != nil && t.High != nil && *t.Low > *t.High {
			c.add(p+".low", fmt.Sprintf("the test %s has low %s above high %s", quote(t.Name), figure(*t.Low), figure(*t.High)), "swap the two")
		}
	}
}

// back checks what a way wants on the way back, against its own needs.
func (c *checker) back(w *Way, path string) {
	b := &w.Back
	p := path + ".back"
	c.refs(p+".after", b.After)
	c.refs(p+".still", b.Still)
	c.refs(p+".wait_for", b.WaitFor)
	c.position(p+".hands", b.Hands, false)
	c.wait(p+".wait", b.Wait)
	if b.Wait == nil && len(b.WaitFor) > 0 {
		c.add(p+".wait_for", "wait_for names items, but there is no wait", "add wait: {kind: cure, minutes: …}, or use after")
	}
	for k, id := range b.After {
		if slices.Contains(b.Still, id) {
			c.add(at(p+".after", k), fmt.Sprintf("%s is to be back on already (after) and still off (still)", quote(id)), "take it out of one of the two")
		}
	}
	if b.Still != nil {
		for k, id := range b.Still {
			if i, ok := c.items[id]; ok && b.Ground && c.m.Items[i].Repeats {
				c.add(at(p+".still", k), fmt.Sprintf("ride_height ends %s, and still wants it", quote(id)), "take one of the two out")
			}
		}
		return
	}
	for _, id := range w.mustBeOut() {
		i, ok := c.items[id]
		if !ok {
			continue
		}
		if b.Ground && c.m.Items[i].Repeats {
			c.add(p+".ride_height", fmt.Sprintf("ride_height ends %s, which this way needs, and what it needs holds on the way back too", quote(id)), "add still: [] under back if it is put back without that")
		}
		if k := slices.Index(b.After, id); k >= 0 {
			c.add(at(p+".after", k), fmt.Sprintf("%s has to be back on first, but it has to be out of the way for this (needs)", quote(id)), "take it out of after, or add still: [] under back if this can go back behind it")
		}
	}
}
