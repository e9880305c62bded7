package access

import (
	"fmt"
	"slices"
	"strings"
)

// A box is what is written in one.
type box struct {
	name   []string
	small  []string
	h      float64
	aside  bool // can be set aside, or is in the plan
	off    bool
	target bool
	chosen bool
	soft   bool // there is a plan, and this is not in it
}

func (d *drawing) newBox(i int, width float64) *box {
	it := &d.m.Items[i]
	b := &box{target: slices.Contains(d.opt.Targets, it.ID)}
	way, chosen := d.opt.Chosen[it.ID]
	b.chosen = chosen
	b.soft = len(d.opt.Chosen) > 0 && !chosen && !b.target
	for j := range it.Ways {
		if chosen && it.Ways[j].ID != way && it.Way(way) != nil {
			continue
		}
		b.aside = b.aside || it.Ways[j].IsAside()
		b.off = b.off || !it.Ways[j].IsAside()
	}
	inner := width - 24
	b.name = wrap(it.Name, inner/nameSize, 3)
	if len(b.name) == 0 {
		b.name = []string{it.ID}
	}
	b.small = wrap(strings.Join(d.smallWords(i, b), " · "), inner/smallSize, 3)
	b.h = 14 + float64(len(b.name))*16 + float64(len(b.small))*14
	return b
}

func (d *drawing) smallWords(i int, b *box) []string {
	var words []string
	if b.target {
		words = append(words, "the target")
	} else if b.chosen {
		words = append(words, "in the plan")
	}
	if it := &d.m.Items[i]; it.Kind == Condition {
		words = append(words, "condition")
		if n := d.users[i]; n > 0 {
			words = append(words, fmt.Sprintf("for %d others", n))
		}
	} else {
		switch {
		case b.aside && b.off:
			words = append(words, "off or aside")
		case b.aside:
			words = append(words, "aside")
		case b.off:
			words = append(words, "off")
		}
	}
	if tags := d.tags[i]; len(tags) > 0 {
		words = append(words, "with "+andList(tags))
	}
	return words
}

// drawBox draws one item: a rectangle for a part, a hexagon for a condition,
// with a triangle in the corner of what can be set aside.
func (d *drawing) drawBox(s *svg, i int, x, y, width float64) {
	b, it := d.boxes[i], &d.m.Items[i]
	href := ""
	if d.opt.Link != nil {
		href = d.opt.Link(it.ID)
	}
	if href != "" {
		s.printf(`<a href="%s">`, xmlText(href))
	}
	class, stroke, wide := "map-box", inkColour, 1.4
	if b.soft {
		class, stroke, wide = class+" map-soft", lineColour, 1.2
	}
	if b.chosen {
		class, wide = class+" map-chosen", 2.6
	}
	if b.target {
		class, wide = class+" map-target", 2.6
	}
	if it.Kind == Condition {
		class += " map-condition"
	}
	s.printf(`<g class="%s" data-item="%s"><title>%s</title>`+"\n", class, xmlText(it.ID), xmlText(it.Name+": "+strings.Join(d.smallWords(i, b), ", ")))
	if b.target {
		s.printf(`<path d="%s" fill="none" stroke="%s" stroke-width="1.4"/>`+"\n", outline(it.Kind, x-4.5, y-4.5, width+9, b.h+9), stroke)
	}
	s.printf(`<path class="map-edge" d="%s" fill="%s" stroke="%s" stroke-width="%s"/>`+"\n", outline(it.Kind, x, y, width, b.h), cardColour, stroke, px(wide))
	ink := inkColour
	if b.soft {
		ink = softColour
	}
	ty := y + 20
	for _, line := range b.name {
		s.text("map-text", x+12, ty, nameSize, 600, "start", ink, line)
		ty += 16
	}
	ty--
	for _, line := range b.small {
		s.text("map-small", x+12, ty, smallSize, 400, "start", softColour, line)
		ty += 14
	}
	if b.aside && it.Kind != Condition {
		s.triangle(x+width-6, y+6, !b.off, stroke)
	}
	s.printf("</g>")
	if href != "" {
		s.printf("</a>")
	}
	s.printf("\n")
}

// triangle marks what is set aside: filled when that is the only way.
func (s *svg) triangle(right, top float64, filled bool, colour string) {
	fill := "none"
	if filled {
		fill = colour
	}
	s.printf(`<path class="map-aside" d="M%s %sh-9l4.5 -8z" fill="%s" stroke="%s" stroke-width="1.2" stroke-linejoin="round"/>`+"\n", px(right), px(top+8), fill, colour)
}

func outline(kind Kind, x, y, w, h float64) string {
	if kind == Condition {
		return fmt.Sprintf("M%s %sH%sL%s %sL%s %sH%sL%s %sz", px(x+8), px(y), px(x+w-8), px(x+w), px(y+h/2), px(x+w-8), px(y+h), px(x+8), px(x), px(y+h/2))
	}
	const r = 5
	return fmt.Sprintf("M%s %sh%sq%d 0 %d %dv%sq0 %d -%d %dh-%sq-%d 0 -%d -%dv-%sq0 -%d %d -%dz", px(x+r), px(y), px(w-2*r), r, r, r, px(h-2*r), r, r, r, px(w-2*r), r, r, r, px(h-2*r), r, r, r)
}

// legend explains the marks that the drawing uses.
func (d *drawing) legend(s *svg, y float64) {
	x := float64(margin)
	put := func(width float64, text string, mark func(x float64)) {
		mark(x)
		s.text("map-small", x+width+7, y+4, smallSize, 400, "start", softColour, text)
		x += width + 7 + textWidth(text)*smallSize + 20
		if x > d.width-190 {
			x, y = margin, y+18
		}
	}
	line := func(kind linkKind) func(x float64) {
		return func(x float64) {
			s.line(fmt.Sprintf("M%s %sh30", px(x), px(y)), kind, false, "")
			s.arrow(x+34, y, false, false)
		}
	}
	put(34, "always in the way", line(always))
	put(34, "in some ways, or one of several", line(sometimes))
	put(34, "must still be fitted", line(stillFitted))
	put(22, "condition", func(x float64) {
		s.printf(`<path class="map-edge" d="%s" fill="%s" stroke="%s" stroke-width="1.2"/>`+"\n", outline(Condition, x, y-6, 22, 12), cardColour, softColour)
	})
	put(9, "can be set aside", func(x float64) { s.triangle(x+9, y-4, false, softColour) })
	put(9, "only set aside", func(x float64) { s.triangle(x+9, y-4, true, softColour) })
}
