package draw

import (
	"fmt"
	"io"
	"strings"

	"lastbolt/calc/figure"
)

// FigureSVG is a calculation's drawing as an svg element to put into a page,
// coloured by the style sheet through its classes.
func FigureSVG(f *figure.Figure) string {
	var b strings.Builder
	WriteFigure(&b, f, false) // a strings.Builder never fails
	return b.String()
}

// WriteFigure writes a calculation's drawing. Alone, it carries its own colours
// (ink on white) so that it can be a file or stand in a document.
func WriteFigure(w io.Writer, f *figure.Figure, alone bool) error {
	s := svgWriter{w: w}
	width, height := f.MaxX-f.MinX, f.MaxY-f.MinY
	size := fmt.Sprintf(`width="%s" height="%s"`, num(640), num(640*height/max(width, 1e-9)))
	if f.TrueScale {
		size = fmt.Sprintf(`width="%smm" height="%smm"`, num(width), num(height))
	}
	s.printf(`<svg xmlns="http://www.w3.org/2000/svg" class="figure" viewBox="%s %s %s %s" %s role="img">`,
		fine(f.MinX), fine(f.MinY), fine(width), fine(height), size)
	s.printf("<title>%s</title><desc>%s</desc>", escape(f.Title), escape(f.Alt))
	if alone {
		s.printf("<style>%s</style>", ownColours)
		s.printf(`<rect x="%s" y="%s" width="%s" height="%s" fill="#fff"/>`, fine(f.MinX), fine(f.MinY), fine(width), fine(height))
	}
	for _, shape := range f.Shapes {
		s.figureShape(shape)
	}
	s.printf("</svg>\n")
	return s.err
}

// ownColours are the light theme's, for a drawing outside a page.
const ownColours = `.figure *{vector-effect:non-scaling-stroke;font-family:"Atkinson Hyperlegible Next",sans-serif}` +
	`.figure .l{fill:none;stroke:#1b2428;stroke-linejoin:round;stroke-linecap:round}` +
	`.figure .l.soft{stroke:#55646b}.figure .l.mark{stroke:#b93a08}.figure .l.done{stroke:#1b6043}.figure .l.ground{stroke:#fff}` +
	`.figure .a{stroke:none;fill:#1b2428}.figure .a.soft{fill:#8b9499}.figure .a.mark{fill:#b93a08}.figure .a.done{fill:#1b6043}.figure .a.ground{fill:#fff}` +
	`.figure text{fill:#1b2428}`

func (s *svgWriter) figureShape(shape figure.Shape) {
	if len(shape.Path) == 0 {
		return
	}
	at := shape.Path[0]
	if shape.Text != "" {
		weight := ""
		if shape.Bold {
			weight = ` font-weight="800"`
		}
		anchor := shape.Anchor
		if anchor == "" {
			anchor = figure.Middle
		}
		// The letters' middle is 0.36 of their size above the base line.
		s.printf(`<text x="%s" y="%s" font-size="%s" text-anchor="%s"%s>%s</text>`,
			fine(at.X), fine(at.Y+0.36*shape.Size), fine(shape.Size), anchor, weight, escape(shape.Text))
		return
	}
	geometry := ""
	if shape.Radius > 0 {
		geometry = fmt.Sprintf(`<circle cx="%s" cy="%s" r="%s"`, fine(at.X), fine(at.Y), fine(shape.Radius))
	} else {
		var d strings.Builder
		for i, p := range shape.Path {
			d.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + fine(p.X) + " " + fine(p.Y))
		}
		if shape.Closed {
			d.WriteString("Z")
		}
		geometry = `<path d="` + d.String() + `"`
	}
	if shape.Filled {
		shade := ""
		if shape.Shade > 0 && shape.Shade < 1 {
			shade = ` fill-opacity="` + fine(shape.Shade) + `"`
		}
		s.printf(`%s class="a%s"%s/>`, geometry, class(shape.Fill), shade)
	}
	if !shape.NoLine {
		width := shape.Pen.Width
		if width == 0 {
			width = 1
		}
		dash := ""
		if len(shape.Pen.Dash) > 0 {
			var all []string
			for _, n := range shape.Pen.Dash {
				all = append(all, fine(n*1.25))
			}
			dash = ` stroke-dasharray="` + strings.Join(all, " ") + `"`
		}
		s.printf(`%s class="l%s" stroke-width="%s"%s/>`, geometry, class(shape.Pen.Tone), fine(width*1.25), dash)
	}
}

func class(t figure.Tone) string {
	if t == "" {
		return ""
	}
	return " " + string(t)
}

// fine prints a coordinate of a figure, whose units can be metres as well as
// pixels.
func fine(n float64) string {
	text := fmt.Sprintf("%.4f", n)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}
