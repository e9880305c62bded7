package access

import (
	"fmt"
	"slices"
	"strings"
)

// DrawOptions says what a drawing shows and stresses. The zero value draws the
// whole map.
type DrawOptions struct {
	// Only are the ids of the items to draw; nil means all.
	Only []string
	// Targets are the ids of the items the job is about.
	Targets []string
	// Chosen is a plan: the ids of its items with the way used for each.
	Chosen map[string]string
	// Link gives the address a box leads to; nil or "" for none.
	Link func(item string) string
}

// The measures of the layered drawing, in px.
const (
	boxWidth  = 164
	columnGap = 52
	margin    = 20
	nameSize  = 13
	smallSize = 11
	hubUsers  = 3 // a condition that more items than this need is written in their boxes
)

// Draw gives an SVG drawing of what is in the way of what: what comes off
// first on the left, lines from a thing to what it is in the way of. Solid
// lines hold whichever way is used, dashed ones for some ways, dotted ones
// mean that the thing must still be fitted. Conditions are hexagons; one that
// many items need is written in their boxes instead of drawn as lines, and so
// is whether a thing comes off or is set aside.
func Draw(m *Map, opt DrawOptions) []byte {
	d := &drawing{m: m, opt: opt}
	d.choose()
	switch n := len(d.items); {
	case n == 0:
		return sentence(m.Name, "There is nothing to draw here.")
	case n > MaxDrawn:
		return sentence(m.Name, fmt.Sprintf("%d items are too many to read in one drawing. Search for one and look around it.", n))
	}
	d.layout()
	return d.draw()
}

// MaxDrawn is the number of items up to which Draw draws; above it a drawing
// says that it is too much to read.
const MaxDrawn = 300

func sentence(title, text string) []byte {
	var s svg
	width := textWidth(text)*nameSize + 2*margin
	s.open(width, 60, title, text)
	s.text("map-text", margin, 35, nameSize, 400, "start", inkColour, text)
	return s.close()
}

type drawing struct {
	m      *Map
	opt    DrawOptions
	items  []int
	links  []link
	tags   map[int][]string // by item, the conditions written in its box
	users  map[int]int      // by condition written in boxes, how many need it
	boxes  map[int]*box
	lay    *layering
	places map[int][2]float64

	captions []string // of the rows below the graph
	captionY []float64

	width  float64
	height float64
}

// choose takes the items to draw, and turns the lines of much-needed
// conditions into words.
func (d *drawing) choose() {
	shown := map[int]bool{}
	for i := range d.m.Items {
		if d.opt.Only == nil || slices.Contains(d.opt.Only, d.m.Items[i].ID) {
			d.items = append(d.items, i)
			shown[i] = true
		}
	}
	users := map[int]int{}
	for _, k := range d.m.links() {
		if shown[k.from] && shown[k.to] {
			d.links = append(d.links, k)
			if d.m.Items[k.from].Kind == Condition && k.kind != stillFitted {
				users[k.from]++
			}
		}
	}
	d.tags, d.users = map[int][]string{}, map[int]int{}
	// Words, not lines: a condition such as raised or battery off would cover
	// the drawing with lines that say little.
	d.links = slices.DeleteFunc(d.links, func(k link) bool {
		if users[k.from] <= hubUsers || k.kind == stillFitted {
			return false
		}
		tag := lowerFirst(d.m.Items[k.from].Name)
		if k.kind == sometimes {
			tag += " (some ways)"
		}
		d.tags[k.to] = append(d.tags[k.to], tag)
		d.users[k.from] = users[k.from]
		return true
	})
	d.links = withoutImplied(d.links, len(d.m.Items))
}

// lowerFirst writes a name inside a sentence: "Engine cold" as "engine cold",
// "A/C off" as it is.
func lowerFirst(s string) string {
	r := []rune(s)
	if len(r) > 1 && strings.ToUpper(string(r[1])) != string(r[1]) {
		return strings.ToLower(string(r[:1])) + string(r[1:])
	}
	return s
}

func (d *drawing) layout() {
	d.boxes = map[int]*box{}
	areas := make([]string, len(d.items))
	heights := make([]float64, len(d.items))
	for n, i := range d.items {
		d.boxes[i] = d.newBox(i, boxWidth)
		areas[n], heights[n] = d.m.Items[i].Area, d.boxes[i].h
	}
	d.lay = newLayering(d.items, areas, heights, d.links)
	d.places = map[int][2]float64{}
	bottom := 0.0
	for _, v := range d.lay.v {
		bottom = max(bottom, v.y+v.h/2)
		if v.item >= 0 {
			d.places[v.item] = [2]float64{margin + float64(v.layer)*(boxWidth+columnGap), headHeight + v.y - v.h/2}
		}
	}
	columns := max(len(d.lay.layers), 4)
	d.width = 2*margin + float64(columns)*boxWidth + float64(columns-1)*columnGap
	d.height = headHeight + bottom + margin
	d.placeLoose()
	d.height += legendHeight
}

const (
	headHeight   = 58
	legendHeight = 46
	looseGap     = 14
)

// placeLoose sets the items without lines in rows below the graph: first the
// conditions that are written in boxes, then the rest.
func (d *drawing) placeLoose() {
	var hubs, rest []int
	for _, i := range d.items {
		switch _, placed := d.places[i]; {
		case placed:
		case d.users[i] > 0:
			hubs = append(hubs, i)
		default:
			rest = append(rest, i)
		}
	}
	slices.SortStableFunc(rest, func(a, b int) int { return strings.Compare(d.m.Items[a].Area, d.m.Items[b].Area) })
	d.placeRows(hubs, "Conditions that many things need, written in their boxes")
	d.placeRows(rest, "Nothing is in the way of these, and they are in the way of nothing drawn here")
}

func (d *drawing) placeRows(items []int, caption string) {
	if len(items) == 0 {
		return
	}
	d.captions = append(d.captions, caption)
	d.captionY = append(d.captionY, d.height+10)
	perRow := max(1, int((d.width-2*margin+looseGap)/(boxWidth+looseGap)))
	y := d.height + 18
	for at := 0; at < len(items); at += perRow {
		row := items[at:min(at+perRow, len(items))]
		high := 0.0
		for k, i := range row {
			d.places[i] = [2]float64{margin + float64(k)*(boxWidth+looseGap), y}
			high = max(high, d.boxes[i].h)
		}
		y += high + looseGap
	}
	d.height = y + margin - looseGap
}

func (d *drawing) draw() []byte {
	s := svg{linked: d.opt.Link != nil}
	s.open(d.width, d.height, "What is in the way of what: "+d.m.Name, d.inWords())
	s.text("map-text", margin, 24, 16, 700, "start", inkColour, shorten(d.m.Name, (d.width-2*margin)/16))
	s.text("map-small", margin, 43, smallSize+1, 400, "start", softColour, "Left comes off first. A line runs from a thing to what it is in the way of; lines that follow from others are left out.")
	for _, strong := range []bool{false, true} {
		for _, r := range d.lay.routes {
			if d.strong(r.link) == strong {
				d.drawRoute(&s, r, strong)
			}
		}
	}
	for _, layer := range d.lay.layers {
		for k, v := range layer {
			if d.lay.starts(layer, k) {
				at := d.places[d.lay.v[v].item]
				up := 6.0
				if d.boxes[d.lay.v[v].item].target {
					up = 10
				}
				s.text("map-area", at[0], at[1]-up, smallSize, 400, "start", softColour, shorten(d.lay.v[v].area, boxWidth/smallSize))
			}
		}
	}
	for k, caption := range d.captions {
		s.text("map-area", margin, d.captionY[k], smallSize, 400, "start", softColour, caption)
	}
	for _, i := range d.items {
		d.drawBox(&s, i, d.places[i][0], d.places[i][1], boxWidth)
	}
	d.legend(&s, d.height-legendHeight+8)
	return s.close()
}

// strong reports a link between two things of the plan.
func (d *drawing) strong(k link) bool {
	in := func(i int) bool {
		_, ok := d.opt.Chosen[d.m.Items[i].ID]
		return ok || slices.Contains(d.opt.Targets, d.m.Items[i].ID)
	}
	return len(d.opt.Chosen) > 0 && in(k.from) && in(k.to)
}

// inWords says the drawing for those who do not see it.
func (d *drawing) inWords() string {
	return fmt.Sprintf("%d things and conditions, and %d lines between them. The same is listed item by item in the map.", len(d.items), len(d.links))
}

func (d *drawing) linkTitle(k link) string {
	from, to := d.m.Items[k.from].Name, d.m.Items[k.to].Name
	switch k.kind {
	case sometimes:
		return fmt.Sprintf("%s: in the way of %s, but not in every way", from, to)
	case stillFitted:
		return fmt.Sprintf("%s: must still be fitted for %s", from, to)
	}
	return fmt.Sprintf("%s: in the way of %s", from, to)
}

// drawRoute draws a link as one smooth line through its bends, with its head
// at the thing that waits.
func (d *drawing) drawRoute(s *svg, r route, strong bool) {
	var b strings.Builder
	var x, y float64
	for k, v := range r.via {
		vx := margin + float64(d.lay.v[v].layer)*(boxWidth+columnGap)
		vy := headHeight + d.lay.v[v].y
		switch {
		case k == 0:
			x, y = vx+boxWidth, d.port(r, v, vy, true)
			fmt.Fprintf(&b, "M%s %s", px(x), px(y))
			if r.flipped {
				x += 7
				fmt.Fprintf(&b, "m7 0")
			}
			continue
		case k == len(r.via)-1:
			vy = d.port(r, v, vy, false)
			if !r.flipped {
				vx -= 6
			}
		}
		mid := (vx - x) / 2
		fmt.Fprintf(&b, "C%s %s %s %s %s %s", px(x+mid), px(y), px(vx-mid), px(vy), px(vx), px(vy))
		if x, y = vx, vy; d.lay.v[v].item < 0 {
			x += boxWidth
			fmt.Fprintf(&b, "H%s", px(x))
		}
	}
	s.line(b.String(), r.kind, strong, d.linkTitle(r.link))
	if r.flipped {
		end := d.lay.v[r.via[0]]
		ax := margin + float64(end.layer)*(boxWidth+columnGap) + boxWidth
		ay := d.port(r, r.via[0], headHeight+end.y, true)
		s.printf(`<path class="map-head" d="M%s %sl7 -4v8z" fill="%s"/>`+"\n", px(ax), px(ay), softColour)
		return
	}
	s.arrow(x+6, y, false, strong)
}

// port spreads the ends of lines along the side of a box, in the order of
// where they go.
func (d *drawing) port(r route, v int, y float64, right bool) float64 {
	near := d.lay.v[v].left
	self := r.via[max(0, len(r.via)-2)]
	if right {
		near = d.lay.v[v].right
		self = r.via[min(1, len(r.via)-1)]
	}
	if len(near) < 2 {
		return y
	}
	rank := 0
	for _, w := range near {
		if d.lay.v[w].y < d.lay.v[self].y {
			rank++
		}
	}
	room := min(d.lay.v[v].h-16, float64(len(near)-1)*9)
	return y - room/2 + room*float64(rank)/float64(len(near)-1)
}
