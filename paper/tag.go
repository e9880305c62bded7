package paper

import (
	"fmt"
	"slices"
	"strings"

	"lastbolt/fault"
	"lastbolt/job"
)

// Tag is the tag that hangs on the steering wheel while the job rests: that
// the vehicle must not be started or driven, since when, what is off, what is
// loose, and what must not be touched. It is half a sheet, lying. A released job
// has none: that is a NotFound fault.
func Tag(s *job.State, opt Options) ([]byte, error) {
	if s.IsReleased() {
		return nil, fault.New(fault.NotFound, "This job is released, so there is no pause tag: it would say not to start a vehicle that is ready.")
	}
	return tag(s, opt, nil)
}

func tag(s *job.State, opt Options, trace *[]placed) ([]byte, error) {
	w, h := opt.Paper.mm()
	d := document{what: "Pause tag", title: s.Title, invented: s.Invented, w: w, h: h / 2, trace: trace, bare: true}
	return render(d, &opt, func(c *canvas) { c.tag(s) })
}

// styleTag is read through a window, from beside the vehicle.
var styleTag = style{size: 13.5}

func (c *canvas) tag(s *job.State) {
	x, w := c.left(), c.width()
	c.tagBanner(s, x, c.y, w)
	c.y += 41
	if c.invented {
		c.inventedMark(x, c.y, w)
		c.y += 8.5
	}
	who, since, why, until := tagFacts(s, c.opt)
	var conditions []string
	for _, r := range s.Open {
		if r.Condition {
			conditions = append(conditions, r.Name)
		}
	}
	c.place(c.para(styleName, joined(" · ", s.Vehicle, s.Title), w, 1))
	c.place(c.para(styleTag, joined(" · ", since, why, until, who), w, 2))
	if len(conditions) > 0 {
		c.place(c.para(styleTag, "At present: "+strings.Join(conditions, ", "), w, 2))
	}
	c.place(gap(1.5))
	c.tagLists(s, x, w)
}

// tagBanner is the big words. Driving is barred as long as something is off
// that the vehicle needs to be driven, or nobody can say; starting always is.
func (c *canvas) tagBanner(s *job.State, x, y, w float64) {
	c.pdf.SetFillColor(0, 0, 0)
	c.pdf.Rect(x, y, w, 38, "F")
	for i, words := range []string{"DO NOT START", "DO NOT DRIVE"} {
		st := style{size: 46, bold: true, grey: 255}
		c.lineIn(x+3, y+1.2+float64(i)*17.5, w-6, "C", st, words)
	}
}

func tagFacts(s *job.State, o *Options) (who, since, why, until string) {
	p := s.Pause
	if p == nil {
		if !s.Touched.IsZero() {
			since = "as it stood on " + o.when(s.Touched)
		}
		return who, since, why, until
	}
	if p.By != "" {
		who = "ask " + p.By
	}
	since = "since " + o.when(p.From)
	why = p.Why
	if p.Until != "" {
		until = "until " + p.Until
	}
	return who, since, why, until
}

// tagLists are three lists side by side in the space that is left. What does
// not fit is counted: a list never just ends.
func (c *canvas) tagLists(s *job.State, x, w float64) {
	var off, loose, never []string
	for _, r := range s.Open {
		onlyLoose := len(r.Groups) > 0 && !slices.ContainsFunc(r.Groups, func(g job.Group) bool { return !g.Loosen })
		if !r.Condition && !onlyLoose {
			off = append(off, ringText(r))
		}
	}
	for _, st := range s.Begun {
		loose = append(loose, st.Name+" (begun, not finished)")
	}
	for _, r := range s.Open {
		for _, g := range r.Groups { // cracked and left in
			if g.Loosen {
				loose = append(loose, fmt.Sprintf("%s: %d × %s", r.Name, g.Want, g.Name))
			}
		}
	}
	if s.Pause != nil {
		loose = append(loose, s.Pause.Loose...)
		never = append(never, s.Pause.MustNotStart...)
	}
	const between = 4.0
	col := (w - 2*between) / 3
	lists := []tagList{
		{"Off", off, "Nothing is recorded as off."},
		{"Loose", loose, "Nothing is recorded as loose."},
		{"Not to be started", never, "The engine. Nothing more is recorded."},
	}
	st := c.tagStyle(lists, col)
	for i, l := range lists {
		c.tagList(l, st, x+float64(i)*(col+between), col)
	}
}

type tagList struct {
	title string
	lines []string
	empty string
}

// tagStyle is the largest type in which all lists fit, and at worst the
// smallest that can be read from outside.
func (c *canvas) tagStyle(lists []tagList, w float64) style {
	for _, size := range []float64{22, 18, 15.5} {
		st, fits := style{size: size}, true
		for _, l := range lists {
			h := 9.0 // the title
			for _, line := range l.lines {
				h += c.para(st, "• "+line, w, 0).h
			}
			if len(l.lines) == 0 {
				h += c.para(st, l.empty, w, 0).h
			}
			fits = fits && c.y+h <= c.floor()
		}
		if fits {
			return st
		}
	}
	return styleTag
}

func (c *canvas) tagList(l tagList, st style, x, w float64) {
	y := c.y
	c.lineIn(x, y, w, "L", styleName, l.title)
	y += styleName.line() + 0.6
	c.pen(0.5)
	c.pdf.Line(x, y, x+w, y)
	y += 1
	if len(l.lines) == 0 {
		c.para(st, l.empty, w, 4).draw(x, y)
		return
	}
	floor := c.floor()
	for i, line := range l.lines {
		b := c.para(st, "• "+line, w, 4)
		last := i == len(l.lines)-1
		if y+b.h > floor || !last && y+b.h+st.line() > floor {
			c.lineIn(x, y, w, "L", styleBold, fmt.Sprintf("and %d more: see the job", len(l.lines)-i))
			return
		}
		b.draw(x, y)
		y += b.h
	}
}

// ringText says what is open of one thing, and where its pieces are.
func ringText(r job.Ring) string {
	text := r.Name
	if r.Aside {
		text += ", set aside"
	}
	if r.Tray != "" {
		text += ", tray " + trayName(r.Tray)
	}
	return strings.TrimSpace(text)
}
