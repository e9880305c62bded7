package paper

import (
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
	if m == nil || len(m.Bolts) == 0 || !st.Opens && !st.Closes {
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
	order := func(label string, ids []string) {
		rows = append(rows, p.para(styleBold, label, w, 3), p.orderBoxes(m, ids, w), gap(1.2))
	}
	if o := m.Order; o != nil {
		if st.Opens {
			order("Crack, then take out", o.Loosen)
		} else {
			for i, pass := range o.Passes {
				order(fmt.Sprintf("Pass %d: %s", i+1, p.passText(m, i)), pass.Order)
			}
			if m.Critical != "" {
				order("Re-check, in another order", o.Check)
			}
		}
		rows = append(rows, p.para(styleTiny, "order: "+string(o.Source), w, 1))
	} else {
		say("Order", "not worked out yet")
	}
	return []block{stack(gap(1.5), beside(pic, indent(pictureWide+5, stack(rows...))), gap(1.5))}
}

// orderBoxes are boxes to tick in the order of the bolts, each with its number.
func (c *canvas) orderBoxes(m *job.BoltMap, ids []string, w float64) block {
	const side, apart = 6.6, 0.8
	var numbers []string
	for _, id := range ids {
		if b := m.Bolt(id); b != nil {
			numbers = append(numbers, strconv.Itoa(b.N))
		}
	}
	each := max(int(w/(side+apart)), 1)
	rows := (len(numbers) + each - 1) / each
	return block{float64(rows) * (side + apart), func(x, y float64) {
		c.pen(0.35)
		for i, n := range numbers {
			bx, by := x+float64(i%each)*(side+apart), y+float64(i/each)*(side+apart)
			c.pdf.Rect(bx, by, side, side, "D")
			c.lineIn(bx, by+1.1, side, "C", styleText, n)
		}
		c.pen(0.3)
	}}
}

// passText is what a pass goes to, by thread where they differ.
func (p *stepper) passText(m *job.BoltMap, pass int) string {
	share := m.Order.Passes[pass].Share
	var values []string
	threads := map[string][]string{}
	for _, b := range m.Bolts {
		text := p.targetText(m, b, pass)
		if !slices.Contains(values, text) {
			values = append(values, text)
		}
		if t := m.Fastener(b).Thread; t != "" && !slices.Contains(threads[text], t) {
			threads[text] = append(threads[text], t)
		}
	}
	var out []string
	for _, v := range values {
		if len(values) > 1 && len(threads[v]) > 0 {
			v = strings.Join(threads[v], ", ") + " " + v
		}
		out = append(out, v)
	}
	text := strings.Join(out, "; ")
	if share < 1 {
		text = fmt.Sprintf("%.0f %%: %s", share*100, text)
	}
	return text
}

func (p *stepper) targetText(m *job.BoltMap, b *job.Bolt, pass int) string {
	if !m.Torque(b).Known() {
		return "look it up"
	}
	set := p.s.Setting(m, b, pass+1)
	text := set.TargetText()
	if set.Wrench != nil && m.Adapter.Name != "" {
		text += " (set " + set.SetText() + ")"
	}
	if set.Then != "" {
		text += ", then " + strings.TrimPrefix(set.Then, "then ")
	}
	return text
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
