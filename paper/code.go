package paper

import "github.com/boombuler/barcode/qr"

// code is a QR code of an address, with the quiet zone of four modules that
// ISO/IEC 18004 asks for, within a square of the given side. Without an
// address, or with one too long for a code, there is none.
func (c *canvas) code(address string, side float64) (block, bool) {
	if address == "" {
		return gap(0), false
	}
	img, err := qr.Encode(address, qr.M, qr.Auto)
	if err != nil {
		return gap(0), false // longer than any code holds: the page does without
	}
	n := img.Bounds().Dx()
	module := side / float64(n+8)
	return block{side, func(x, y float64) {
		c.pdf.SetFillColor(0, 0, 0)
		for row := range n {
			for from := 0; from < n; from++ {
				to := from
				for to < n && dark(img.At(to, row).RGBA()) {
					to++
				}
				if to > from { // one rectangle for a run leaves no seams between modules
					c.pdf.Rect(x+module*float64(from+4), y+module*float64(row+4), module*float64(to-from), module, "F")
					from = to
				}
			}
		}
	}}, true
}

func dark(r, _, _, _ uint32) bool { return r < 0x8000 }
