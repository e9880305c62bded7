package paper

// A block is a piece of a page that is laid out but not yet placed: it knows
// its height and draws itself with its top left corner at x, y.
type block struct {
	h    float64
	draw func(x, y float64)
}

// para is a text broken into lines of at most w; most lines, 0 for any number.
func (c *canvas) para(s style, text string, w float64, most int) block {
	lines := c.wrap(s, text, w, most)
	return block{float64(len(lines)) * s.line(), func(x, y float64) {
		for i, l := range lines {
			c.line(x, y+float64(i)*s.line(), s, l)
		}
	}}
}

// gap is empty space.
func gap(h float64) block { return block{h, func(float64, float64) {}} }

// stack puts blocks below each other.
func stack(blocks ...block) block {
	all := block{draw: func(x, y float64) {
		for _, b := range blocks {
			b.draw(x, y)
			y += b.h
		}
	}}
	for _, b := range blocks {
		all.h += b.h
	}
	return all
}

// indent moves a block to the right.
func indent(by float64, b block) block {
	return block{b.h, func(x, y float64) { b.draw(x+by, y) }}
}

// beside puts blocks next to each other, each at its own place across.
func beside(parts ...block) block {
	all := block{draw: func(x, y float64) {
		for _, b := range parts {
			b.draw(x, y)
		}
	}}
	for _, b := range parts {
		all.h = max(all.h, b.h)
	}
	return all
}

// place puts a block on the page, or on the next where it does not fit.
func (c *canvas) place(b block) {
	if c.y+b.h > c.floor() && c.y > margin+c.markHeight()+9 {
		c.newPage()
	}
	b.draw(c.left(), c.y)
	c.y += b.h
}

// keep places a head and its rows as one piece. Only where that is taller than
// a page is it parted, between rows, with again as the head of what follows.
func (c *canvas) keep(head, again block, rows []block) {
	whole := stack(append([]block{head}, rows...)...)
	if whole.h <= c.room() {
		c.place(whole)
		return
	}
	c.place(stack(append([]block{head}, rows[:1]...)...))
	for _, r := range rows[1:] {
		if c.y+r.h > c.floor() {
			c.newPage()
			c.place(again)
		}
		r.draw(c.left(), c.y)
		c.y += r.h
	}
}

// tick is a box to tick with a pen; ticked already where done.
func (c *canvas) tick(side float64, done bool) block {
	return block{side, func(x, y float64) {
		c.pen(0.5)
		c.pdf.Rect(x, y, side, side, "D")
		if done {
			c.pen(0.9)
			c.pdf.Line(x+side*0.2, y+side*0.55, x+side*0.42, y+side*0.78)
			c.pdf.Line(x+side*0.42, y+side*0.78, x+side*0.82, y+side*0.2)
		}
	}}
}

// writeIn is a box to write a value in, with a word before it; a value that is
// known already stands in it.
func (c *canvas) writeIn(word, value string, w float64) block {
	const boxH = 8.5
	return block{boxH, func(x, y float64) {
		word = c.fit(styleText, word, w*wordPart)
		at := x
		if word != "" {
			c.line(x, y+1.9, styleText, word)
			at += c.measure(styleText, word) + 1.5
		}
		c.pen(0.35)
		c.pdf.Rect(at, y, x+w-at, boxH, "D")
		if value != "" {
			c.lineIn(at+0.8, y+1.1, x+w-at-1.6, "C", styleName, value)
		}
	}}
}

// wordPart is the part of a box's width that its word may take, so that there
// is room to write.
const wordPart = 0.6

// rule is a thin line across.
func (c *canvas) rule(w float64) block {
	return block{2.4, func(x, y float64) {
		c.pen(0.15)
		c.pdf.Line(x, y+1.2, x+w, y+1.2)
	}}
}

// framed puts a block into a frame of the given line width, with room around.
func (c *canvas) framed(b block, w, line float64, dashes ...float64) block {
	return block{b.h + 3, func(x, y float64) {
		c.pen(line, dashes...)
		c.pdf.Rect(x, y, w, b.h+3, "D")
		c.pen(0.3)
		b.draw(x+2, y+1.5)
	}}
}

// heading is the title of a part of a page.
func (c *canvas) heading(text, beside string) block {
	return block{11, func(x, y float64) {
		c.line(x, y+2, styleHead, text)
		if beside != "" {
			from := c.measure(styleHead, text) + 5
			c.lineIn(x+from, y+3.4, c.width()-from, "R", styleText, beside)
		}
		c.pen(0.6)
		c.pdf.Line(x, y+9.6, x+c.width(), y+9.6)
	}}
}
