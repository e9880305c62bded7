package access

import (
	"fmt"
	"slices"
)

// Around gives an SVG drawing for a phone, 390 px wide: one item, above it
// what is directly in its way, below it what it is directly in the way of.
// Lines and marks are those of Draw. It is nil when the map has no such item.
func Around(m *Map, id string, opt DrawOptions) []byte {
	centre := slices.IndexFunc(m.Items, func(it Item) bool { return it.ID == id })
	if centre < 0 {
		return nil
	}
	a := &around{drawing: drawing{m: m, opt: opt, boxes: map[int]*box{}}}
	var above, below []link
	for _, k := range m.links() {
		switch centre {
		case k.to:
			above = append(above, k)
		case k.from:
			below = append(below, k)
		}
	}
	y := a.caption(above, 20, "In the way of it", "Nothing is in the way of it")
	if len(above) > 0 {
		var first float64
		y, first, _ = a.group(above, y, true)
		y += 16
		a.body.line(fmt.Sprintf("M%d %sV%s", phoneWidth/2, px(first), px(y-6)), always, false, "")
		a.body.arrow(phoneWidth/2, y, true, false)
	}
	mid := a.newBox(centre, phoneWidth-2*phoneMargin)
	a.boxes[centre] = mid
	a.drawBox(&a.body, centre, phoneMargin, y, phoneWidth-2*phoneMargin)
	y += mid.h
	spine := y
	y = a.caption(below, y+24, "It is in the way of", "It is in the way of nothing")
	if len(below) > 0 {
		var last float64
		y, _, last = a.group(below, y, false)
		a.body.line(fmt.Sprintf("M%d %sV%s", phoneWidth/2, px(spine), px(last)), always, false, "")
	}
	it := &m.Items[centre]
	s := svg{linked: a.opt.Link != nil}
	s.open(phoneWidth, y+phoneMargin, "Around "+it.Name, fmt.Sprintf("%d things are in the way of %s, and it is in the way of %d.", len(above), it.Name, len(below)))
	s.b.WriteString(a.body.b.String())
	return s.close()
}

const (
	phoneWidth  = 390
	phoneMargin = 12
	spineGap    = 42 // between the two columns, with the line in its middle
	phoneBox    = (phoneWidth - 2*phoneMargin - spineGap) / 2
	rowGap      = 12
)

type around struct {
	drawing
	body svg
}

func (a *around) caption(links []link, y float64, some, nothing string) float64 {
	text := some
	if len(links) == 0 {
		text = nothing
	}
	a.body.text("map-area", phoneMargin, y, smallSize+1, 400, "start", softColour, text)
	return y + 10
}

// group draws boxes in two columns, each with a stub to the line between
// them, and gives where the group ends and the first and last stub.
func (a *around) group(links []link, y float64, above bool) (end, first, last float64) {
	for at := 0; at < len(links); at += 2 {
		high := 0.0
		row := links[at:min(at+2, len(links))]
		for _, k := range row {
			high = max(high, a.neighbour(k, above).h)
		}
		for side, k := range row {
			i := k.from
			if !above {
				i = k.to
			}
			x := phoneMargin + float64(side)*(phoneBox+spineGap)
			a.drawBox(&a.body, i, x, y, phoneBox)
			a.stub(k, side, y+high/2, above)
		}
		if last = y + high/2; at == 0 {
			first = last
		}
		y += high + rowGap
	}
	return y - rowGap, first, last
}

func (a *around) neighbour(k link, above bool) *box {
	i := k.from
	if !above {
		i = k.to
	}
	if a.boxes[i] == nil {
		a.boxes[i] = a.newBox(i, phoneBox)
	}
	return a.boxes[i]
}

// stub joins a box to the middle line; below, with a head at the box.
func (a *around) stub(k link, side int, y float64, above bool) {
	const middle = phoneWidth / 2
	edge := float64(phoneMargin + phoneBox)
	if side == 1 {
		edge += spineGap
	}
	a.body.line(fmt.Sprintf("M%d %sH%s", middle, px(y), px(edge)), k.kind, false, a.linkTitle(k))
	if above {
		return
	}
	if side == 1 {
		a.body.arrow(edge, y, false, false)
		return
	}
	a.body.printf(`<path class="map-head" d="M%s %sl7 -4v8z" fill="%s"/>`+"\n", px(edge), px(y), softColour)
}
