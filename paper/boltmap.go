package paper

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/job"
)

// boltMap is the drawing of a step's bolts with their order, for the job sheet.
// Blank where the step has no map.
func (p *stepper) boltMap(st *job.Step) []block {
	m := p.s.BoltMap(st.Item)
	if m == nil || len(m.Bolts) == 0 {
		return nil
	}
	const pictureWide = 78.0
	pic := p.boltPicture(m, pictureWide)
	w := p.inner() - pictureWide - 5
	var rows []block
	say := func(label, text string) {
		if text != "" {
			rows = append(rows, p.para(styleBold, label, w, 2), p.para(styleText, text, w, 4), gap(1.2))
		}
	}
	say("Lengths", lengthSums(m))
	if len(m.Keep) > 0 {
		say("Not these", job.BoltNumbers(m.Keep)+": look alike, must not be undone")
	}
	if o := m.Order; o != nil {
		if st.Opens {
			say("Crack, then take out", orderText(m, o.Loosen))
		} else {
			for i, pass := range o.Passes {
				say(fmt.Sprintf("Pass %d: %s", i+1, p.passText(m, i)), orderText(m, pass.Order))
			}
			if m.Critical != "" {
				say("Re-check", orderText(m, o.Check))
			}
		}
		say("", cmp.Or(string(o.Source)))
	} else {
		say("Order", "not worked out yet")
	}
	return []block{stack(gap(1.5), beside(pic, indent(pictureWide+5, stack(rows...))), gap(1.5))}
}

// passText is what a pass goes to, by group where they differ.
func (p *stepper) passText(m *job.BoltMap, pass int) string {
	share := m.Order.Passes[pass].Share
	var out []string
	for _, b := range m.Bolts {
		t := m.Torque(b)
		text := "look it up"
		if t.Known() {
			set := p.s.Setting(m, b, pass+1)
			text = set.TargetText()
			if set.Wrench != nil && m.Adapter.Name != "" {
				text += " (set " + set.SetText() + ")"
			}
			if set.Then != "" {
				text += ", then " + strings.TrimPrefix(set.Then, "then ")
			}
		}
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	if share < 1 {
		return fmt.Sprintf("%.0f %%, %s", share*100, strings.Join(out, " / "))
	}
	return strings.Join(out, " / ")
}

// boltPicture is the map at whatever size fits a width, each bolt with its
// number and a box to tick beneath its place in the order.
func (c *canvas) boltPicture(m *job.BoltMap, w float64) block {
	left, top := math.Inf(1), math.Inf(1)
	right, bottom := math.Inf(-1), math.Inf(-1)
	all := slices.Concat(m.Bolts, m.Keep)
	grow := func(pt job.Point) {
		left, right = min(left, pt.X), max(right, pt.X)
		top, bottom = min(top, pt.Y), max(bottom, pt.Y)
	}
	for _, b := range all {
		grow(b.At)
	}
	for _, pt := range m.Outline {
		grow(pt)
	}
	const r = 3.2
	k := (w - 4*r) / max(right-left, 1e-6)
	if most := 80.0; (bottom-top)*k > most {
		k = most / (bottom - top)
	}
	h := (bottom-top)*k + 4*r
	return block{h, func(x, y float64) {
		at := func(pt job.Point) (float64, float64) { return x + (pt.X-left)*k + 2*r, y + (pt.Y-top)*k + 2*r }
		c.pen(0.3)
		if len(m.Outline) > 2 {
			c.path(m.Outline, at)
		}
		for _, b := range m.Bolts {
			px, py := at(b.At)
			c.pen(0.4)
			if b.Hidden {
				c.pen(0.4, 1, 0.8)
			}
			c.pdf.SetFillColor(255, 255, 255)
			c.pdf.Circle(px, py, r, "FD")
			c.lineIn(px-r, py-styleBold.mm()*0.62, 2*r, "C", styleBold, strconv.Itoa(b.N))
		}
		for _, b := range m.Keep {
			px, py := at(b.At)
			c.pen(0.3, 1, 1)
			c.pdf.Circle(px, py, r, "D")
			c.pen(0.7)
			c.pdf.Line(px-r*0.6, py-r*0.6, px+r*0.6, py+r*0.6)
			c.pdf.Line(px-r*0.6, py+r*0.6, px+r*0.6, py-r*0.6)
		}
		c.pen(0.3)
	}}
}

// boltRecord is what was done to each bolt, for the record of the step that
// tightened them.
func (p *recorder) boltRecord(st *job.Step) []string {
	m := p.s.BoltMap(st.Item)
	if m == nil || !st.Closes || !st.IsDone() {
		return nil
	}
	var out []string
	for _, b := range m.Bolts {
		var turns []string
		for _, t := range b.Turns {
			switch t.Turn {
			case job.Clicked:
				text := fmt.Sprintf("pass %d %s", t.Pass, t.Target)
				if t.Set != "" && t.Set != t.Target {
					text += " (set " + t.Set + ")"
				}
				turns = append(turns, joined(", ", text, t.Why))
			case job.Checked:
				turns = append(turns, "checked again")
			case job.Stuck:
				turns = append(turns, "stayed in")
			}
		}
		if len(turns) > 0 {
			out = append(out, capital(boltName(m, b))+": "+strings.Join(turns, "; "))
		}
	}
	for _, k := range m.Marks {
		out = append(out, joined(", ", "Witness marks "+p.opt.when(k.At), k.Note))
	}
	return out
}

// orderText lists an order by the bolts' numbers; the type has no arrow.
func orderText(m *job.BoltMap, ids []string) string {
	return strings.ReplaceAll(m.OrderText(ids), " →", ",")
}
