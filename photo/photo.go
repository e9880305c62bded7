// Package photo takes photos in: it checks them, turns them the right way up,
// takes out everything but the picture, and makes smaller ones to show.
//
// Start with [Intake] for what comes from a phone, or with [IntakeReduced] where
// nobody asked for the full picture, and [Screen] and [Thumbnail]
// for what is shown. [StripLocation] takes the metadata out of a photo that did
// not come through Intake. The package works on bytes in memory, keeps nothing,
// and never trusts a file's name: what it is, its content says. It does not
// read HEIC, which a browser turns into JPEG before it is sent.
package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"sync"

	"golang.org/x/image/draw"
	"golang.org/x/image/webp"

	"lastbolt/fault"
)

// The limits. MaxPixels is above what phones take today (48 and 50 million in
// full resolution: from memory). MaxMemory bounds what decoding may take, which
// goes by the kind of file: a progressive JPEG takes five times a plain one.
const (
	MaxPixels = 60_000_000
	MaxMemory = 512 << 20 // bytes
)

// The long sides of what is shown, and of what is kept unless the full picture
// is asked for, in pixels. At KeptSide a part half a metre wide has five pixels a
// millimetre: enough to read a stamped number by. The page's script reduces to
// the same.
const (
	KeptSide      = 2560
	ScreenSide    = 1600
	ThumbnailSide = 320
)

// JPEG qualities: one for a photo that had to be turned and so written anew,
// where nothing should be seen of it, one for a photo that is kept smaller, and
// one for what is only shown.
const (
	keptQuality    = 92
	reducedQuality = 85
	shownQuality   = 82
)

// A Photo is one that was taken in. Content shows upright wherever it is
// opened, and holds no metadata: no place, no time, no name of a phone.
type Photo struct {
	Content       []byte
	Media         string // "image/jpeg", "image/png" or "image/webp"
	Width, Height int    // in pixels, upright
}

// decoding lets one photo at a time be decoded, so that several uploads at
// once take no more memory than one.
var decoding sync.Mutex

// Intake checks a photo and makes it fit to keep. One that is upright already
// is kept as it was taken, without loss; one that is turned by a note in its
// metadata is written anew. The faults are Bad for what is not a photo that can
// be read, and TooLarge.
func Intake(content []byte) (Photo, error) { return intake(content, MaxPixels) }

// IntakeReduced is Intake with the long side made KeptSide at most. A smaller
// photo is kept as Intake keeps it.
func IntakeReduced(content []byte) (Photo, error) { return intake(content, KeptSide) }

func intake(content []byte, side int) (Photo, error) {
	is, err := look(content)
	if err != nil {
		return Photo{}, err
	}
	decoding.Lock()
	defer decoding.Unlock()
	picture, err := is.decode(content)
	if err != nil {
		return Photo{}, err
	}
	out := Photo{Media: is.media}
	switch smaller := max(is.width, is.height) > side; {
	case !smaller && is.orientation == upright:
		out.Content, err = is.strip(content)
	case smaller:
		picture = turn(reduce(picture, side), is.orientation)
		out.Media = "image/jpeg"
		out.Content, err = encode(picture, reducedQuality)
	default:
		picture = turn(picture, is.orientation)
		out.Media = "image/jpeg"
		out.Content, err = encode(picture, keptQuality)
	}
	out.Width, out.Height = picture.Bounds().Dx(), picture.Bounds().Dy()
	return out, err
}

// Screen makes a JPEG whose long side is at most ScreenSide, upright and
// without metadata. A smaller photo keeps its size.
func Screen(content []byte) ([]byte, error) { return shown(content, ScreenSide) }

// Thumbnail is Screen with ThumbnailSide.
func Thumbnail(content []byte) ([]byte, error) { return shown(content, ThumbnailSide) }

func shown(content []byte, side int) ([]byte, error) {
	is, err := look(content)
	if err != nil {
		return nil, err
	}
	decoding.Lock()
	defer decoding.Unlock()
	picture, err := is.decode(content)
	if err != nil {
		return nil, err
	}
	return encode(turn(reduce(picture, side), is.orientation), shownQuality)
}

// reduce scales a picture down, and puts a transparent one on white.
func reduce(picture image.Image, side int) image.Image {
	b := picture.Bounds()
	w, h := fit(b.Dx(), b.Dy(), side)
	if opaque, ok := picture.(interface{ Opaque() bool }); w == b.Dx() && h == b.Dy() && ok && opaque.Opaque() {
		return picture
	}
	// Most of a large picture goes by plain averaging, which is many times
	// faster; BiLinear does the last step, by a factor of 1.25 at least.
	if y, ok := picture.(*image.YCbCr); ok {
		if k := max(b.Dx(), b.Dy()) * 4 / (5 * side); k > 1 {
			picture = average(y, k)
			b = picture.Bounds()
		}
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.BiLinear.Scale(out, out.Bounds(), picture, b, draw.Over, nil)
	return out
}

// fit returns the size with the long side at most side and at least 1 each way.
func fit(w, h, side int) (int, int) {
	long := max(w, h)
	if long <= side {
		return w, h
	}
	scale := func(n int) int { return max(1, (n*side+long/2)/long) }
	return scale(w), scale(h)
}

func encode(picture image.Image, quality int) ([]byte, error) {
	var out bytes.Buffer
	err := jpeg.Encode(&out, picture, &jpeg.Options{Quality: quality})
	return out.Bytes(), err
}

// A kind is what a file turned out to be.
type kind struct {
	media       string
	config      func([]byte) (image.Config, error)
	image       func([]byte) (image.Image, error)
	walk        func([]byte) (parts, error)
	width       int
	height      int
	orientation int
}

// look finds out what a file is and whether it is within the limits, without
// decoding it.
func look(content []byte) (*kind, error) {
	is, err := kindOf(content)
	if err != nil {
		return nil, err
	}
	config, err := is.config(content)
	if err != nil {
		return nil, broken(err)
	}
	p, err := is.walk(content)
	if err != nil {
		return nil, broken(err)
	}
	is.width, is.height, is.orientation = config.Width, config.Height, p.orientation
	pixels := int64(is.width) * int64(is.height)
	switch {
	case is.width < 1 || is.height < 1:
		return nil, fault.New(fault.Bad, "The photo has no pixels. Take it again.")
	case pixels > MaxPixels:
		return nil, fault.New(fault.TooLarge, "The photo has %d million pixels (%d by %d); at most %d million are taken. Take it at a lower resolution.",
			pixels/1_000_000, is.width, is.height, MaxPixels/1_000_000)
	case memory(pixels, config.ColorModel, p) > MaxMemory:
		return nil, fault.New(fault.TooLarge, "The photo, %d by %d pixels, takes too much memory to open. Save it as a plain JPEG, or smaller.", is.width, is.height)
	}
	return is, nil
}

// memory is about what decoding takes, in bytes.
func memory(pixels int64, model color.Model, p parts) int64 {
	switch {
	case p.samples > 0 && p.progressive:
		// The decoder holds each sample's coefficient as an int32 until the end.
		return int64(float64(pixels) * p.samples * 5)
	case p.samples > 0:
		return int64(float64(pixels) * p.samples)
	case model == color.NRGBA64Model || model == color.RGBA64Model:
		return pixels * 8
	}
	return pixels * 4
}

func broken(err error) error {
	return fault.Wrap(err, fault.Bad, "The photo cannot be read; it is cut short or damaged. Take it or send it again.")
}

func (k *kind) decode(content []byte) (image.Image, error) {
	picture, err := k.image(content)
	if err != nil {
		return nil, broken(err)
	}
	// A decoder may give another size than the header said, if the file lies.
	if b := picture.Bounds(); b.Dx() != k.width || b.Dy() != k.height {
		return nil, fault.New(fault.Bad, "The photo says it has %d by %d pixels but has %d by %d; it is damaged. Take it again.", k.width, k.height, b.Dx(), b.Dy())
	}
	return picture, nil
}

func (k *kind) strip(content []byte) ([]byte, error) {
	p, err := k.walk(content)
	if err != nil {
		return nil, broken(err)
	}
	return p.picture(upright), nil
}

func reading[T any](f func(*bytes.Reader) (T, error)) func([]byte) (T, error) {
	return func(content []byte) (T, error) { return f(bytes.NewReader(content)) }
}

// kindOf goes by the first bytes.
func kindOf(content []byte) (*kind, error) {
	starts := func(at int, with string) bool {
		return len(content) >= at+len(with) && string(content[at:at+len(with)]) == with
	}
	switch {
	case len(content) == 0:
		return nil, fault.New(fault.Bad, "The file is empty. Take the photo again.")
	case starts(0, "\xff\xd8\xff"):
		return &kind{
			media:  "image/jpeg",
			config: reading(func(r *bytes.Reader) (image.Config, error) { return jpeg.DecodeConfig(r) }),
			image:  reading(func(r *bytes.Reader) (image.Image, error) { return jpeg.Decode(r) }),
			walk:   walkJPEG,
		}, nil
	case starts(0, "\x89PNG\r\n\x1a\n"):
		return &kind{
			media:  "image/png",
			config: reading(func(r *bytes.Reader) (image.Config, error) { return png.DecodeConfig(r) }),
			image:  reading(func(r *bytes.Reader) (image.Image, error) { return png.Decode(r) }),
			walk:   walkPNG,
		}, nil
	case starts(0, "RIFF") && starts(8, "WEBP"):
		return &kind{
			media:  "image/webp",
			config: reading(func(r *bytes.Reader) (image.Config, error) { return webp.DecodeConfig(r) }),
			image:  reading(func(r *bytes.Reader) (image.Image, error) { return webp.Decode(r) }),
			walk:   walkWebP,
		}, nil
	case starts(4, "ftyp"):
		return nil, fault.New(fault.Bad, "This is a HEIC or AVIF photo or a video, which is not read here. Open this page on the phone and take or choose the photo there: the page turns it into JPEG. Or set the camera to JPEG.")
	case starts(0, "GIF8"):
		return nil, fault.New(fault.Bad, "This is a GIF. Send the photo as JPEG, PNG or WebP.")
	}
	return nil, fault.New(fault.Bad, "This file is not a photo that can be read. Send it as JPEG, PNG or WebP.")
}
