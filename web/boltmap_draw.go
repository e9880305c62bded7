package web

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lastbolt/job"
)

// drawWidth is how many units of the drawing one width of the picture is.
const drawWidth = 1000.0

// A boltPicture is the drawing of a bolt map, in drawing units.
type boltPicture struct {
	Size    string // the viewBox
	Words   string // what it shows, for those who cannot see it
	Photo   string // address of the picture under it; empty for a sheet
	Width   string
	Height  string
	Grid    string // path of the sheet's lines; empty without a scale
	Edge    string // path of the part's edge
	Around  string // path through the bolts
	Holes   []holeView
	Tapping bool // a tap puts something on it
}

// A holeView is one bolt on the drawing.
type holeView struct {
	ID, Href    string
	X, Y        string
	N           string
	Under       string // beneath the number: its length
	UnderY      string
	Class       string // "come", "now", "done", "keep", "fits"
	Hidden      bool
	Label       string // for those who cannot see it
	CrossA      string // path of the cross of a look-alike
	Ring        string // radius of the ring of the bolt in hand
	Radius, Hit string
}

// The sizes of a hole on the drawing. On a phone the drawing is about 340 px
// wide: a hole is 34 px across and can be tapped within 48.
const (
	holeRadius = 50.0
	hitRadius  = 72.0
	underRoom  = 104.0 // from the middle of a hole to below what is written under it
)

func num(f float64) string { return strconv.FormatFloat(math.Round(f*10)/10, 'f', -1, 64) }

// pictureOf draws the map with the bolt in hand.
func pictureOf(s *job.State, m *job.BoltMap, ask boltAsk, now *job.Bolt) boltPicture {
	p := boltPicture{Width: num(drawWidth), Height: num(drawWidth * m.Aspect), Tapping: m.Phase == job.PhaseBuild || ask.mode != ""}
	left, top, right, bottom := 0.0, 0.0, drawWidth, drawWidth*m.Aspect
	all := slices.Concat(m.Bolts, m.Keep)
	for _, b := range all {
		x, y := b.At.X*drawWidth, b.At.Y*drawWidth
		left, top, right, bottom = min(left, x-hitRadius), min(top, y-hitRadius), max(right, x+hitRadius), max(bottom, y+hitRadius)
		if m.Phase == job.PhaseRunIn || m.Phase == job.PhaseOut || ask.mode == "order" { // a line of type beneath it
			bottom = max(bottom, y+underRoom)
		}
	}
	p.Size = fmt.Sprintf("%s %s %s %s", num(left), num(top), num(right-left), num(bottom-top))
	if m.Picture != "" {
		p.Photo = "/photos/" + m.Picture
	} else if mm := m.MM(); mm > 0 {
		p.Grid = grid(mm, m.Aspect)
	}
	if len(m.Outline) > 1 {
		p.Edge = pathOf(m.Outline, len(m.Outline) > 2)
	}
	if m.Picture == "" && len(m.Bolts) > 2 {
		p.Around = pathOf(aroundOf(m.Bolts), true)
	}
	lengths := len(m.Lengths()) > 1
	for _, b := range all {
		p.Holes = append(p.Holes, hole(s, m, ask, b, b == now, lengths))
	}
	p.Words = pictureWords(m, now)
	return p
}

// grid is a line every 20 mm, so that a place on an empty sheet can be judged.
func grid(mm, aspect float64) string {
	const every = 20.0 // mm
	var path strings.Builder
	height := drawWidth * aspect
	if mm/every > 60 {
		return ""
	}
	for at := every; at < mm; at += every {
		x := at / mm * drawWidth
		fmt.Fprintf(&path, "M%s 0V%s", num(x), num(height))
	}
	for at := every; at < mm*aspect; at += every {
		fmt.Fprintf(&path, "M0 %sH%s", num(at/mm*drawWidth), num(drawWidth))
	}
	return path.String()
}

func pathOf(points []job.Point, closed bool) string {
	var path strings.Builder
	for i, p := range points {
		letter := "L"
		if i == 0 {
			letter = "M"
		}
		fmt.Fprintf(&path, "%s%s %s", letter, num(p.X*drawWidth), num(p.Y*drawWidth))
	}
	if closed {
		path.WriteString("Z")
	}
	return path.String()
}

// aroundOf is the bolts' places by their direction from the middle.
func aroundOf(bolts []*job.Bolt) []job.Point {
	var cx, cy float64
	var out []job.Point
	for _, b := range bolts {
		cx, cy = cx+b.At.X, cy+b.At.Y
		out = append(out, b.At)
	}
	cx, cy = cx/float64(len(bolts)), cy/float64(len(bolts))
	slices.SortFunc(out, func(a, b job.Point) int {
		return cmp.Compare(math.Atan2(a.Y-cy, a.X-cx), math.Atan2(b.Y-cy, b.X-cx))
	})
	return out
}

func hole(s *job.State, m *job.BoltMap, ask boltAsk, b *job.Bolt, now, lengths bool) holeView {
	x, y := b.At.X*drawWidth, b.At.Y*drawWidth
	h := holeView{ID: "bolt-" + strconv.Itoa(b.N), X: num(x), Y: num(y), N: strconv.Itoa(b.N), Hidden: b.Hidden, Class: "come",
		Radius: num(holeRadius), Hit: num(hitRadius), Ring: num(holeRadius + 18)}
	keep := slices.Contains(m.Keep, b)
	switch {
	case keep:
		h.Class = "keep"
		r := holeRadius * 0.55
		h.CrossA = fmt.Sprintf("M%s %sL%s %sM%s %sL%s %s", num(x-r), num(y-r), num(x+r), num(y+r), num(x-r), num(y+r), num(x+r), num(y-r))
	case now:
		h.Class = "now"
	case m.Phase != job.PhaseBuild && m.DoneIn(b, m.Phase, m.Pass):
		h.Class = "done"
	case ask.hand != "" && lengths && b.Length.String() == ask.hand:
		h.Class = "fits"
	}
	if lengths && !keep && (m.Phase == job.PhaseRunIn || m.Phase == job.PhaseBuild || m.Phase == job.PhaseOut && b.Out) && !b.Length.IsZero() {
		h.Under, _ = splitValue(b.Length.String())
		h.UnderY = num(y + holeRadius + 42)
	}
	h.say(m, b, keep)
	switch {
	case m.Phase == job.PhaseBuild || keep:
		h.Href = boltPage(s, m, "bolt") + "&bolt=" + queryEscape(b.ID)
	case m.Phase == job.PhaseRunIn:
		h.Href = boltsURL(s, m.Item, "bolt", b.ID, "hand", ask.hand)
	case m.Phase == job.PhaseApart || m.Phase == job.PhaseTogether || m.Phase == job.PhaseDone:
		h.Href = boltPage(s, m, "bolt") + "&bolt=" + queryEscape(b.ID)
	default:
		h.Href = boltsURL(s, m.Item, "bolt", b.ID)
	}
	return h
}

// say names the hole for those who cannot see it. The name begins with what
// stands in it, so that it can be spoken as it is seen.
func (h *holeView) say(m *job.BoltMap, b *job.Bolt, keep bool) {
	seen := strings.TrimSpace(h.N + " " + h.Under)
	if keep {
		h.Label = fmt.Sprintf("Number %d, not to be undone", b.N)
		return
	}
	h.Label = strings.TrimSuffix(fmt.Sprintf("%s: bolt %d, %s", seen, b.N, boltState(m, b)), ", ")
}

func pictureWords(m *job.BoltMap, now *job.Bolt) string {
	words := fmt.Sprintf("The bolts of %s as they lie: %s", m.Name, plural(len(m.Bolts), "bolt", "bolts"))
	if len(m.Keep) > 0 {
		words += fmt.Sprintf(", %d not to be undone", len(m.Keep))
	}
	if now != nil && m.Phase != job.PhaseBuild {
		words += fmt.Sprintf("; bolt %d is next", now.N)
	}
	return words + "."
}

// orderPicture is the map with each bolt's place in the last pass beneath it.
func orderPicture(s *job.State, m *job.BoltMap) boltPicture {
	p := pictureOf(s, m, boltAsk{mode: "order"}, nil)
	p.Tapping = false
	if m.Order == nil {
		return p
	}
	last := m.Order.Passes[len(m.Order.Passes)-1].Order
	for i, b := range m.Bolts { // the holes come in the same order
		place := slices.Index(last, b.ID)
		if place < 0 {
			continue
		}
		h := &p.Holes[i]
		h.Under, h.UnderY = strconv.Itoa(place+1)+".", num(b.At.Y*drawWidth+holeRadius+42)
		h.say(m, b, false)
	}
	return p
}
