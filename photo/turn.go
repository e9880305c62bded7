package photo

import (
	"image"
	"image/color"

	"golang.org/x/image/draw"
)

// turn returns the picture as EXIF's orientation (1 to 8) means it to be seen:
//
//	1 as it is         2 mirrored left to right
//	3 turned by half   4 mirrored top to bottom
//	5 over the main diagonal        6 turned right by a quarter
//	7 over the other diagonal       8 turned left by a quarter
//
// A picture as JPEG holds it is turned plane by plane, without converting it.
func turn(picture image.Image, orientation int) image.Image {
	if orientation == upright {
		return picture
	}
	if y, ok := picture.(*image.YCbCr); ok {
		if out := turnYCbCr(y, orientation); out != nil {
			return out
		}
	}
	b := picture.Bounds()
	from := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(from, from.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.Draw(from, from.Bounds(), picture, b.Min, draw.Over)
	w, h := turnedSize(b.Dx(), b.Dy(), orientation)
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	turnPlane(plane{out.Pix, out.Stride, w, h}, plane{from.Pix, from.Stride, b.Dx(), b.Dy()}, 4, orientation)
	return out
}

func swaps(orientation int) bool { return orientation >= 5 }

func turnedSize(w, h, orientation int) (int, int) {
	if swaps(orientation) {
		return h, w
	}
	return w, h
}

// turnYCbCr returns nil for what it cannot do: a picture that does not begin at
// 0,0, one whose chroma would need a ratio that there is not, and an odd side,
// whose last half chroma sample would come to lie on the wrong end.
func turnYCbCr(from *image.YCbCr, orientation int) *image.YCbCr {
	w, h := from.Rect.Dx(), from.Rect.Dy()
	ratio, ok := turnedRatio(from.SubsampleRatio, orientation)
	odd := from.SubsampleRatio != image.YCbCrSubsampleRatio444 && (w%2 != 0 || h%2 != 0)
	if !ok || odd || from.Rect.Min != (image.Point{}) {
		return nil
	}
	tw, th := turnedSize(w, h, orientation)
	out := image.NewYCbCr(image.Rect(0, 0, tw, th), ratio)
	turnPlane(plane{out.Y, out.YStride, tw, th}, plane{from.Y, from.YStride, w, h}, 1, orientation)
	cw, ch := chromaSize(w, h, from.SubsampleRatio)
	tcw, tch := turnedSize(cw, ch, orientation)
	turnPlane(plane{out.Cb, out.CStride, tcw, tch}, plane{from.Cb, from.CStride, cw, ch}, 1, orientation)
	turnPlane(plane{out.Cr, out.CStride, tcw, tch}, plane{from.Cr, from.CStride, cw, ch}, 1, orientation)
	return out
}

func turnedRatio(r image.YCbCrSubsampleRatio, orientation int) (image.YCbCrSubsampleRatio, bool) {
	switch r {
	case image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio420:
		return r, true
	case image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio440:
		if swaps(orientation) {
			return image.YCbCrSubsampleRatio422 + image.YCbCrSubsampleRatio440 - r, true
		}
		return r, true
	}
	return r, false
}

// chromaSize is for even sides, or none halved.
func chromaSize(w, h int, r image.YCbCrSubsampleRatio) (int, int) {
	switch r {
	case image.YCbCrSubsampleRatio420:
		return w / 2, h / 2
	case image.YCbCrSubsampleRatio422:
		return w / 2, h
	case image.YCbCrSubsampleRatio440:
		return w, h / 2
	}
	return w, h
}

type plane struct {
	pix    []byte
	stride int
	w, h   int
}

// turnPlane copies pixels of size bytes to where they belong. It goes along
// the rows of the target; the source is read along a row or down a column.
func turnPlane(to, from plane, size, orientation int) {
	// At to's x, y the source is at start + x·dx + y·dy.
	right, down := size, from.stride
	lastX, lastY := (from.w-1)*right, (from.h-1)*down
	var start, dx, dy int
	switch orientation {
	case 2:
		start, dx, dy = lastX, -right, down
	case 3:
		start, dx, dy = lastX+lastY, -right, -down
	case 4:
		start, dx, dy = lastY, right, -down
	case 5:
		start, dx, dy = 0, down, right
	case 6:
		start, dx, dy = lastY, -down, right
	case 7:
		start, dx, dy = lastX+lastY, -down, -right
	case 8:
		start, dx, dy = lastX, down, -right
	}
	for y := range to.h {
		at := start + y*dy
		row := to.pix[y*to.stride : y*to.stride+to.w*size]
		for x := 0; x < len(row); x += size {
			copy(row[x:x+size], from.pix[at:at+size])
			at += dx
		}
	}
}

// average returns the picture at 1/k of its size, each sample the mean of a
// square of k by k. Up to k-1 pixels at the right and below are left out.
func average(from *image.YCbCr, k int) image.Image {
	w, h := from.Rect.Dx(), from.Rect.Dy()
	out := image.NewYCbCr(image.Rect(0, 0, max(1, w/k), max(1, h/k)), from.SubsampleRatio)
	averagePlane(out.Y, from.Y, out.YStride, from.YStride, k)
	averagePlane(out.Cb, from.Cb, out.CStride, from.CStride, k)
	averagePlane(out.Cr, from.Cr, out.CStride, from.CStride, k)
	return out
}

// averagePlane fills all of to. The squares at the edges stop where from does.
func averagePlane(to, from []byte, toStride, fromStride, k int) {
	rows := len(from) / fromStride
	for y := range len(to) / toStride {
		top := min(y*k, rows-1)
		bottom := min(top+k, rows)
		for x := range toStride {
			left := min(x*k, fromStride-1)
			right := min(left+k, fromStride)
			sum := 0
			for row := top; row < bottom; row++ {
				for _, v := range from[row*fromStride+left : row*fromStride+right] {
					sum += int(v)
				}
			}
			n := (bottom - top) * (right - left)
			to[y*toStride+x] = byte((sum + n/2) / n)
		}
	}
}
