package photo

import (
	"image"
	"image/color"
	"math/rand/v2"
	"testing"
)

var ratios = []image.YCbCrSubsampleRatio{
	image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420,
	image.YCbCrSubsampleRatio440, image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410,
}

func noise(w, h int, ratio image.YCbCrSubsampleRatio) *image.YCbCr {
	random := rand.New(rand.NewPCG(1, 2))
	m := image.NewYCbCr(image.Rect(0, 0, w, h), ratio)
	for _, plane := range [][]byte{m.Y, m.Cb, m.Cr} {
		for i := range plane {
			plane[i] = byte(random.Uint32())
		}
	}
	return m
}

// seenAt is the slow obvious twin: which pixel of a w by h picture shows at x, y
// once it is turned.
func seenAt(x, y, w, h, orientation int) (int, int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return y, h - 1 - x
	case 7:
		return w - 1 - y, h - 1 - x
	case 8:
		return w - 1 - y, x
	}
	return x, y
}

func TestTurningMovesEveryPixelToItsPlace(t *testing.T) {
	for _, ratio := range ratios {
		for _, size := range []image.Point{{8, 4}, {4, 8}, {7, 4}, {5, 3}, {1, 1}, {16, 2}} {
			from := noise(size.X, size.Y, ratio)
			for o := 1; o <= 8; o++ {
				got := turn(from, o)
				w, h := turnedSize(size.X, size.Y, o)
				if b := got.Bounds(); b.Dx() != w || b.Dy() != h {
					t.Fatalf("%v %v orientation %d is %v, want %d by %d", ratio, size, o, b, w, h)
				}
				for y := range h {
					for x := range w {
						fx, fy := seenAt(x, y, size.X, size.Y, o)
						want := color.RGBAModel.Convert(from.At(fx, fy))
						if have := color.RGBAModel.Convert(got.At(x, y)); have != want {
							t.Fatalf("%v %v orientation %d at %d,%d: %v, want %v", ratio, size, o, x, y, have, want)
						}
					}
				}
			}
		}
	}
}

func TestAveragingKeepsTheMean(t *testing.T) {
	for _, ratio := range ratios {
		for _, k := range []int{1, 2, 3, 5} {
			flat := noise(61, 47, ratio)
			for i := range flat.Y {
				flat.Y[i] = byte(100 + i%2*20) // stride is odd, so columns alternate too
			}
			got := average(flat, k).(*image.YCbCr)
			if got.Rect.Dx() != 61/k || got.Rect.Dy() != 47/k {
				t.Fatalf("%v by %d is %v", ratio, k, got.Rect)
			}
			for i, v := range got.Y {
				if k > 1 && (v < 106 || v > 114) || k == 1 && v != flat.Y[i] {
					t.Fatalf("%v by %d: sample %d is %d, want about 110", ratio, k, i, v)
				}
			}
		}
	}
}
