package draw

import (
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// SVG is the valley as an svg element to put into a page. It carries no
// styles: classes only, coloured by the style sheet in web/ui.
func (v Valley) SVG() string {
	var b strings.Builder
	v.Layout().WriteSVG(&b) // a strings.Builder never fails
	return b.String()
}

// WriteSVG writes the picture as an svg element.
func (p Picture) WriteSVG(w io.Writer) error {
	s := svgWriter{w: w}
	s.printf(`<svg xmlns="http://www.w3.org/2000/svg" class="valley %s" viewBox="0 0 %s %s" width="%s" height="%s" role="group">`,
		p.Class, num(p.Width), num(p.Height), num(p.Width), num(p.Height))
	s.printf("<title>%s</title><desc>%s</desc>", escape(p.Title), escape(p.Desc))
	for _, g := range p.Groups {
		s.group(g)
	}
	s.printf("</svg>")
	return s.err
}

// svgWriter keeps the first error, so that drawing reads as drawing.
type svgWriter struct {
	w   io.Writer
	err error
}

func (s *svgWriter) printf(format string, args ...any) {
	if s.err == nil {
		_, s.err = fmt.Fprintf(s.w, format, args...)
	}
}

func (s *svgWriter) group(g Group) {
	switch {
	case isLocal(g.Href):
		// Words in the picture may be shortened; where there are some the title
		// alone names the link, so that its name and its words do not disagree.
		label := ` aria-label="` + escape(g.Name) + `"`
		if slices.ContainsFunc(g.Shapes, func(sh Shape) bool { return sh.Kind == Words }) {
			label = ""
		}
		s.printf(`<a href="%s"%s><title>%s</title>`, escape(g.Href), label, escape(g.Name))
		h := g.Hit
		s.printf(`<rect class="hit" x="%s" y="%s" width="%s" height="%s"/>`, num(h.Left), num(h.Top), num(h.Right-h.Left), num(h.Bottom-h.Top))
		s.shapes(g.Shapes)
		s.printf("</a>")
	case g.Name != "":
		s.printf("<g><title>%s</title>", escape(g.Name))
		s.shapes(g.Shapes)
		s.printf("</g>")
	default:
		s.shapes(g.Shapes)
	}
}

func (s *svgWriter) shapes(shapes []Shape) {
	for _, sh := range shapes {
		switch sh.Kind {
		case Circle:
			s.printf(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, sh.Class, num(sh.At.X), num(sh.At.Y), num(sh.Radius))
		case Box:
			b := sh.Bounds()
			s.printf(`<rect class="%s" x="%s" y="%s" width="%s" height="%s" rx="%s"/>`, sh.Class, num(b.Left), num(b.Top), num(sh.Width), num(sh.Height), num(sh.Corner))
		case Words:
			class := sh.Class
			if sh.Bold {
				class += " bold"
			}
			s.printf(`<text class="%s" x="%s" y="%s" font-size="%s"%s>%s</text>`, class, num(sh.At.X), num(sh.At.Y), num(sh.Size), anchors[sh.Anchor], escape(sh.Text))
		default:
			s.path(sh)
		}
	}
}

var anchors = [...]string{"", ` text-anchor="middle"`, ` text-anchor="end"`}

func (s *svgWriter) path(sh Shape) {
	element := "polyline"
	if sh.Closed {
		element = "polygon"
	}
	var points strings.Builder
	for i, p := range sh.Points {
		if i > 0 {
			points.WriteByte(' ')
		}
		points.WriteString(num(p.X) + "," + num(p.Y))
	}
	s.printf(`<%s class="%s" points="%s"/>`, element, sh.Class, points.String())
}

// isLocal lets only addresses of this program into a link.
func isLocal(href string) bool {
	if href == "" || strings.HasPrefix(href, "//") {
		return false
	}
	before, _, colon := strings.Cut(href, ":")
	return !colon || strings.ContainsAny(before, "/?#")
}

// num prints a length with at most two decimals.
func num(x float64) string {
	text := strings.TrimRight(strings.TrimRight(strconv.FormatFloat(x, 'f', 2, 64), "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

func escape(s string) string {
	var b strings.Builder
	xml.EscapeText(&b, []byte(s)) // a strings.Builder never fails
	return b.String()
}
