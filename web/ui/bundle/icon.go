package main

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
)

// An icon is the mark of img/mark.svg as dots, for phones that take no SVG.
type icon struct {
	size  int     // of a side
	scale float64 // of the mark in it
	round bool    // corners
}

var (
	ground = color.NRGBA{0x1b, 0x24, 0x28, 0xff}
	chalk  = color.NRGBA{0xf3, 0xf1, 0xea, 0xff}
	bolt   = color.NRGBA{0xff, 0x8a, 0x4c, 0xff}
)

// curve is the valley of the mark in the units of its 32 by 32 box: two cubic
// curves, as points along them from left to right.
var curve = func() (at [][2]float64) {
	for _, c := range [][8]float64{{4, 7, 10, 20, 12, 24, 16, 24}, {16, 24, 20, 24, 22, 20, 28, 7}} {
		for i := range 33 {
			t := float64(i) / 32
			a, b, d, e := (1-t)*(1-t)*(1-t), 3*t*(1-t)*(1-t), 3*t*t*(1-t), t*t*t
			at = append(at, [2]float64{a*c[0] + b*c[2] + d*c[4] + e*c[6], a*c[1] + b*c[3] + d*c[5] + e*c[7]})
		}
	}
	return at
}()

// at is the colour at a point of the 32 by 32 box.
func (i icon) at(x, y float64) color.NRGBA {
	if i.round && box(x, y, 16, 16, 16, 16, 7) > 0 {
		return color.NRGBA{}
	}
	x, y = 16+(x-16)/i.scale, 16+(y-16)/i.scale
	switch d := box(x, y, 16, 23.5, 4.5, 3.5, 1.5); {
	case math.Abs(d) <= 1.25:
		return bolt
	case d < 0:
		return ground
	}
	near := sort.Search(len(curve), func(n int) bool { return curve[n][0] >= x-1.25 })
	for _, p := range curve[near:] {
		dx, dy := x-p[0], y-p[1]
		if dx < -1.25 {
			break
		}
		if dx*dx+dy*dy <= 1.25*1.25 {
			return chalk
		}
	}
	return ground
}

// box is how far a point is outside a box with round corners.
func box(x, y, cx, cy, half, tall, corner float64) float64 {
	dx, dy := math.Abs(x-cx)-half+corner, math.Abs(y-cy)-tall+corner
	return math.Hypot(max(dx, 0), max(dy, 0)) + min(max(dx, dy), 0) - corner
}

// icons are what a phone puts on its first screen, by the name of the file; one
// that is masked fills its square and keeps the mark to the middle.
var icons = map[string]icon{
	"icon-192.png": {192, 1, true}, "icon-512.png": {512, 1, true}, "icon-mask-512.png": {512, 0.72, false},
}

func iconFiles() (names []string) {
	for name := range icons {
		names = append(names, "img/"+name)
	}
	slices.Sort(names)
	return names
}

// drawIcons draws them into the folder.
func drawIcons(dir string) error {
	for name, i := range icons {
		content, err := i.png()
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name), content, 0o644)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// png draws the icon. A dot whose corners differ is the mean of nine points in
// it; nothing in the mark is as small as a dot.
func (i icon) png() ([]byte, error) {
	img := image.NewNRGBA(image.Rect(0, 0, i.size, i.size))
	dot := 32 / float64(i.size)
	above := make([]color.NRGBA, i.size+1) // at the upper corners of the row
	for y := range i.size + 1 {
		below := make([]color.NRGBA, i.size+1)
		for x := range below {
			below[x] = i.at(float64(x)*dot, float64(y)*dot)
		}
		for x := 0; y > 0 && x < i.size; x++ {
			c := above[x]
			if above[x+1] != c || below[x] != c || below[x+1] != c {
				c = i.mean(float64(x)*dot, float64(y-1)*dot, dot)
			}
			img.SetNRGBA(x, y-1, c)
		}
		above = below
	}
	var b bytes.Buffer
	err := png.Encode(&b, img)
	return b.Bytes(), err
}

// mean is the mean of nine points of the dot with its upper left corner at x, y.
func (i icon) mean(x, y, dot float64) color.NRGBA {
	var sum [4]int
	for k := range 9 {
		c := i.at(x+float64(k%3*2+1)/6*dot, y+float64(k/3*2+1)/6*dot)
		sum[0] += int(c.R) * int(c.A)
		sum[1] += int(c.G) * int(c.A)
		sum[2] += int(c.B) * int(c.A)
		sum[3] += int(c.A)
	}
	a := sum[3]
	if a == 0 {
		return color.NRGBA{}
	}
	return color.NRGBA{uint8(sum[0] / a), uint8(sum[1] / a), uint8(sum[2] / a), uint8(a / 9)}
}
