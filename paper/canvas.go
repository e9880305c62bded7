package paper

import (
	"bytes"
	"fmt"
	"strings"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
)

// Lengths are millimetres unless a name says points; y grows downwards.
const (
	margin = 14.0
	point  = 25.4 / 72
)

// A style is how a line of type is set.
type style struct {
	size float64 // points
	bold bool
	grey int // 0 black … 255 white; for what must not shout
}

var (
	styleTitle = style{size: 22, bold: true}
	styleHead  = style{size: 16, bold: true}
	styleName  = style{size: 14, bold: true}
	styleBold  = style{size: 11.5, bold: true}
	styleText  = style{size: 11.5}
	styleSmall = style{size: 10}
	styleTiny  = style{size: 9}
)

func (s style) mm() float64   { return s.size * point }
func (s style) line() float64 { return s.mm() * 1.24 }

// A placed is a line of type where it was put, for the checks of the layout.
type placed struct {
	page                     int
	left, top, right, bottom float64
	text                     string
}

// A canvas is a document in the making.
type canvas struct {
	pdf      *fpdf.Fpdf
	opt      *Options
	what     string // the kind of paper, "Job sheet"
	title    string // the job's
	invented bool
	w, h     float64
	y        float64 // where the next block goes
	pages    int     // of the whole document; 0 while not known
	lacking  bool    // a sign was missing on this page
	signs    bool    // the type that stands in has been read
	running  func()  // what stands at the top of every page but the first
	bare     bool    // pages without head and foot
	trace    *[]placed
}

// A document is one paper to be made.
type document struct {
	what, title string
	invented    bool
	w, h        float64 // of the page as it is held; 0 for the option's size
	bare        bool
	trace       *[]placed // for the tests: where every line of type went
}

// render makes the PDF. It draws everything twice, since "page 1 of 7" can be
// set only when the 7 is known.
func render(d document, opt *Options, draw func(c *canvas)) ([]byte, error) {
	first := newCanvas(d, opt, 0)
	draw(first)
	first.endPage()
	if first.pdf.Err() {
		return nil, fmt.Errorf("the %s could not be drawn: %w", strings.ToLower(d.what), first.pdf.Error())
	}
	c := newCanvas(d, opt, first.pdf.PageCount())
	c.trace = d.trace
	draw(c)
	c.endPage()
	var out bytes.Buffer
	if err := c.pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("the %s could not be written: %w", strings.ToLower(d.what), err)
	}
	return out.Bytes(), nil
}

func newCanvas(d document, opt *Options, pages int) *canvas {
	w, h := d.w, d.h
	if w == 0 {
		w, h = opt.Paper.mm()
	}
	// The library turns the page itself when told to; sizes here are as held.
	pdf := fpdf.NewCustom(&fpdf.InitType{OrientationStr: "P", UnitStr: "mm", Size: fpdf.SizeType{Wd: w, Ht: h}})
	pdf.SetMargins(0, 0, 0)
	pdf.SetCellMargin(0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(opt.Now.UTC())
	pdf.SetModificationDate(opt.Now.UTC())
	pdf.SetTitle(d.what+": "+d.title, true)
	pdf.SetCreator("Lastbolt", true)
	pdf.SetProducer("Lastbolt", true)
	pdf.AddUTF8FontFromBytes(letterType, "", regularTTF)
	pdf.AddUTF8FontFromBytes(letterType, "B", boldTTF)
	c := &canvas{pdf: pdf, opt: opt, what: d.what, title: d.title, invented: d.invented, w: w, h: h, pages: pages, bare: d.bare}
	c.startPage()
	return c
}

func (c *canvas) left() float64  { return margin }
func (c *canvas) width() float64 { return c.w - 2*margin }

// floor is the lowest place for a block; the foot stands below it.
func (c *canvas) floor() float64 {
	if c.bare {
		return c.h - margin
	}
	return c.h - margin - 7
}

// room is the height of a following page below its head.
func (c *canvas) room() float64 { return c.floor() - margin - c.markHeight() - 8 }

func (c *canvas) markHeight() float64 {
	if c.invented && !c.bare {
		return 9
	}
	return 0
}

func (c *canvas) startPage() {
	c.pdf.AddPage()
	c.lacking = false
	c.y = margin
	if c.bare {
		return
	}
	if c.invented {
		c.inventedMark(c.left(), c.y, c.width())
		c.y += c.markHeight()
	}
	if c.pdf.PageNo() > 1 {
		c.line(c.left(), c.y, styleSmall, c.fit(styleSmall, c.what+" · "+c.title, c.width()))
		c.y += 8
		if c.running != nil {
			c.running()
		}
	}
}

// invented is what stands on every page that shows made-up values.
const invented = "Invented values, for demonstration only"

func (c *canvas) inventedMark(x, y, w float64) {
	c.pen(0.35, 1.2, 1.2)
	c.pdf.Rect(x, y, w, 6.6, "D")
	c.pen(0.3)
	c.lineIn(x, y+1, w, "C", styleBold, invented)
}

func (c *canvas) newPage() {
	c.endPage()
	c.startPage()
}

func (c *canvas) endPage() {
	if c.bare {
		return
	}
	y := c.h - margin - 4.5
	c.pen(0.2)
	c.pdf.Line(c.left(), y-1.5, c.left()+c.width(), y-1.5)
	right := fmt.Sprintf("page %d of %d", c.pdf.PageNo(), c.pages)
	c.lineIn(c.left(), y, c.width(), "R", styleBold, right)
	left := "Printed " + c.opt.when(c.opt.Now)
	if c.opt.Now.IsZero() {
		left = c.what
	}
	if c.lacking {
		left += " · " + string(missing) + " stands for a sign that paper does not have"
	}
	c.line(c.left(), y, styleTiny, c.fit(styleTiny, left, c.width()-30))
}

// pen sets line width and, with dashes, their lengths; the ink is black.
func (c *canvas) pen(width float64, dashes ...float64) {
	c.pdf.SetDrawColor(0, 0, 0)
	c.pdf.SetLineWidth(width)
	if dashes == nil {
		dashes = []float64{}
	}
	c.pdf.SetDashPattern(dashes, 0)
}

func (c *canvas) use(s style, family string) {
	if family == signType && !c.signs { // seldom needed, and slow to read
		c.pdf.AddUTF8FontFromBytes(signType, "", signsTTF)
		c.pdf.AddUTF8FontFromBytes(signType, "B", signsBoldTTF)
		c.signs = true
	}
	weight := ""
	if s.bold {
		weight = "B"
	}
	c.pdf.SetFont(family, weight, s.size)
	c.pdf.SetTextColor(s.grey, s.grey, s.grey)
}

// measure is the width of a printable text.
func (c *canvas) measure(s style, text string) (w float64) {
	for family, part := range runs(text) {
		c.use(s, family)
		w += c.pdf.GetStringWidth(part)
	}
	return w
}

// line sets one line of type with its top left corner at x, y.
func (c *canvas) line(x, y float64, s style, text string) {
	text, lacking := printable(text)
	c.lacking = c.lacking || lacking
	if text == "" {
		return
	}
	w := c.measure(s, text)
	if c.trace != nil {
		*c.trace = append(*c.trace, placed{c.pdf.PageNo(), x, y + s.mm()*0.13, x + w, y + s.mm()*1.19, text})
	}
	for family, part := range runs(text) {
		c.use(s, family)
		c.pdf.Text(x, y+s.mm()*0.95, part)
		x += c.pdf.GetStringWidth(part)
	}
}

// lineIn sets one line within a width: "L" left, "C" centred or "R" right; what
// does not fit is cut with an ellipsis.
func (c *canvas) lineIn(x, y, w float64, align string, s style, text string) {
	text = c.fit(s, text, w)
	clean, _ := printable(text)
	switch spare := w - c.measure(s, clean); align {
	case "C":
		x += spare / 2
	case "R":
		x += spare
	}
	c.line(x, y, s, text)
}

// fit cuts a text to a width, with an ellipsis.
func (c *canvas) fit(s style, text string, w float64) string {
	text, lacking := printable(strings.Join(strings.Fields(text), " "))
	c.lacking = c.lacking || lacking
	if c.measure(s, text) <= w {
		return text
	}
	if len(text) > 2000 {
		text = strings.ToValidUTF8(text[:2000], "")
	}
	for text != "" && c.measure(s, text+"…") > w {
		_, size := utf8.DecodeLastRuneInString(text)
		text = strings.TrimRight(text[:len(text)-size], " ")
	}
	return text + "…"
}

// wrap breaks a text into lines of at most w, at spaces or, within a word that
// is too long, anywhere. Beyond most lines (0: any number) the last one ends
// in an ellipsis.
func (c *canvas) wrap(s style, text string, w float64, most int) []string {
	text, lacking := printable(text)
	c.lacking = c.lacking || lacking
	var lines []string
	for raw := range strings.SplitSeq(text, "\n") {
		lines = append(lines, c.breakLine(s, strings.Fields(raw), w)...)
		if most > 0 && len(lines) > most {
			break
		}
	}
	for len(lines) > 0 && lines[len(lines)-1] == "" {
		lines = lines[:len(lines)-1]
	}
	if most > 0 && len(lines) > most {
		lines = lines[:most]
		lines[most-1] = c.fit(s, lines[most-1]+" …", w)
		if !strings.HasSuffix(lines[most-1], "…") {
			lines[most-1] += "…"
		}
	}
	return lines
}

func (c *canvas) breakLine(s style, words []string, w float64) []string {
	lines := []string{""}
	for i := 0; i < len(words); i++ {
		last, word := &lines[len(lines)-1], words[i]
		joined := word
		if *last != "" {
			joined = *last + " " + word
		}
		switch {
		case c.measure(s, joined) <= w:
			*last = joined
		case *last != "":
			lines = append(lines, "")
			i-- // the same word on the new line
		default:
			head := c.head(s, word, w)
			*last = head
			if rest := word[len(head):]; rest != "" {
				words[i] = rest
				lines = append(lines, "")
				i--
			}
		}
	}
	return lines
}

// head is as much of a word as fits, one sign at least.
func (c *canvas) head(s style, word string, w float64) string {
	end := 0
	for i, r := range word {
		next := i + utf8.RuneLen(r)
		if end > 0 && c.measure(s, word[:next]) > w {
			break
		}
		end = next
	}
	return word[:end]
}
