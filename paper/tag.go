package paper

import (
	"fmt"
	"strings"

	"lastbolt/job"
)

// Tag is the tag that hangs on the steering wheel while the job rests: that
// the vehicle must not be started or driven, since when, what is off, what is
// loose, and what must not be touched. It is half a sheet, lying.
func Tag(s *job.State, opt Options) ([]byte, error) { return tag(s, opt, nil) }

func tag(s *job.State, opt Options, trace *[]placed) ([]byte, error) {
	w, h := opt.Paper.mm()
	d := document{what: "Pause tag", title: s.Title, invented: s.Invented, w: w, h: h / 2, trace: trace, bare: true}
	return render(d, &opt, func(c *canvas) { c.tag(s) })
}

func (c *canvas) tag(s *job.State) {
	x, w := c.left(), c.width()
	c.tagBanner(s, x, c.y, w)
	c.y += 41
	if c.invented {
		c.inventedMark(x, c.y, w)
		c.y += 8.5
	}
	who, since, why, until := tagFacts(s, c.opt)
	c.place(c.para(styleName, joined(" · ", s.Vehicle, s.Title), w, 2))
	c.place(c.para(styleBold, joined(" · ", since, why, until, who), w, 2))
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
		off = append(off, ringText(r))
	}
	for _, st := range s.Begun {
		loose = append(loose, st.Name+" (begun, not finished)")
	}
	for _, r := range s.Open {
		for _, g := range r.Groups {
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
	for i, l := range []struct {
		title string
		lines []string
		empty string
	}{
		{"Off", off, "Nothing is recorded as off."},
		{"Loose", loose, "Nothing is recorded as loose."},
		{"Must not be started or used", never, "Nothing more is recorded: the vehicle as a whole."},
	} {
		c.tagList(x+float64(i)*(col+between), col, l.title, l.lines, l.empty)
	}
}

func (c *canvas) tagList(x, w float64, title string, lines []string, empty string) {
	y := c.y
	c.lineIn(x, y, w, "L", styleBold, title)
	y += styleBold.line() + 0.6
	c.pen(0.5)
	c.pdf.Line(x, y, x+w, y)
	y += 1
	if len(lines) == 0 {
		c.para(styleText, empty, w, 3).draw(x, y)
		return
	}
	floor := c.floor()
	for i, l := range lines {
		b := c.para(styleText, "• "+l, w, 2)
		last := i == len(lines)-1
		if y+b.h > floor || !last && y+b.h+styleText.line() > floor {
			c.lineIn(x, y, w, "L", styleBold, "and "+plural(len(lines)-i, "more", "more")+": see the job")
			return
		}
		b.draw(x, y)
		y += b.h
	}
}

// ringText says what is open of one thing, and where its pieces are.
func ringText(r job.Ring) string {
	text := r.Name
	switch {
	case r.Aside:
		text += ", set aside"
	case r.Condition:
		text += " (so at present)"
	}
	if r.Tray != "" {
		text += ", tray " + trayName(r.Tray)
	}
	return strings.TrimSpace(text)
}
