package paper

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	_ "image/png" // photos can be PNG

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/draw"

	"lastbolt/job"
)

// MaxPhoto is the most bytes of a photo that are looked at, MaxPixels the most
// pixels: what is larger gets a frame that says so.
const (
	MaxPhoto  = 40 << 20
	MaxPixels = 50_000_000
)

// longSide is the longer side of a printed photo in pixels: over 250 to the
// inch in its place on the page.
const longSide = 1000

// A shot is a photo ready to print: JPEG without anything but the picture, so
// that no place or device is told. Why says why there is none.
type shot struct {
	name string
	jpeg []byte
	w, h int
	why  string
}

// loadPhotos fetches every photo once.
func loadPhotos(s *job.State, opt *Options) map[string]shot {
	shots, widths := map[string]shot{}, map[int]bool{}
	for _, ph := range s.Photos {
		if _, ok := shots[ph.File]; !ok {
			shots[ph.File] = loadPhoto(ph.File, opt, widths)
		}
	}
	return shots
}

func loadPhoto(file string, opt *Options, widths map[int]bool) shot {
	if opt.Photo == nil {
		return shot{why: "Photo not printed."}
	}
	raw, err := opt.Photo(file)
	if err != nil {
		return shot{why: "The photo is not here: it may still be on the device that took it."}
	}
	if len(raw) > MaxPhoto {
		return shot{why: "The photo is too large to print."}
	}
	small := shrink(raw, widths)
	small.name = file
	return small
}

// shrink decodes a photo and writes it anew at print size. Writing it anew
// leaves behind everything that came with it. No two photos get the same
// width: the library writes pictures in the order of their widths, and in any
// order where these are the same, but the same job must print the same bytes.
func shrink(raw []byte, widths map[int]bool) shot {
	conf, _, err := image.DecodeConfig(bytes.NewReader(raw))
	if err != nil {
		return shot{why: "The file is not a photo that can be printed."}
	}
	if conf.Width < 1 || conf.Height < 1 || int64(conf.Width)*int64(conf.Height) > MaxPixels {
		return shot{why: fmt.Sprintf("The photo has too many pixels to print (%d × %d).", conf.Width, conf.Height)}
	}
	img, _, err := image.Decode(bytes.NewReader(raw))
	if err != nil {
		return shot{why: "The photo is damaged and cannot be printed."}
	}
	b := img.Bounds()
	k := min(1, longSide/float64(max(b.Dx(), b.Dy())))
	w := max(int(float64(b.Dx())*k), 1)
	for widths[w] {
		w++
	}
	widths[w] = true
	small := image.NewRGBA(image.Rect(0, 0, w, max(int(float64(b.Dy())*k), 1)))
	draw.Draw(small, small.Bounds(), image.White, image.Point{}, draw.Src)
	draw.BiLinear.Scale(small, small.Bounds(), img, b, draw.Over, nil)
	var buf bytes.Buffer
	if err := jpeg.Encode(&buf, small, &jpeg.Options{Quality: 82}); err != nil {
		return shot{why: "The photo could not be made ready to print."}
	}
	return shot{jpeg: buf.Bytes(), w: small.Bounds().Dx(), h: small.Bounds().Dy()}
}

// picture draws a photo within w × h, or a frame that says why there is none.
func (c *canvas) picture(s shot, w, h float64) block {
	if s.jpeg == nil {
		text := c.para(styleText, s.why, w-6, 4)
		return block{24, func(x, y float64) {
			c.pen(0.3, 1.4, 1.1)
			c.pdf.Rect(x, y, w, 24, "D")
			c.pen(0.3)
			text.draw(x+3, y+4)
		}}
	}
	k := min(w/float64(s.w), h/float64(s.h))
	pw, ph := float64(s.w)*k, float64(s.h)*k
	return block{ph, func(x, y float64) {
		opt := fpdf.ImageOptions{ImageType: "JPG"}
		if c.pdf.GetImageInfo(s.name) == nil {
			c.pdf.RegisterImageOptionsReader(s.name, opt, bytes.NewReader(s.jpeg))
		}
		c.pdf.ImageOptions(s.name, x, y, pw, ph, false, opt, 0, "")
		c.pen(0.2)
		c.pdf.Rect(x, y, pw, ph, "D")
	}}
}
