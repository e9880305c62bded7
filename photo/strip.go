package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// StripLocation returns the photo without metadata: no place, time or phone,
// nor anything hung on behind the picture. The pixels are left as they are, to
// the byte. A JPEG that metadata turns keeps just that note, so that it still
// shows upright. It takes JPEG, PNG and WebP; the faults are Bad.
func StripLocation(content []byte) ([]byte, error) {
	is, err := kindOf(content)
	if err != nil {
		return nil, err
	}
	p, err := is.walk(content)
	if err != nil {
		return nil, broken(err)
	}
	return p.picture(p.orientation), nil
}

// parts is what a walk over a file found: the pieces that make the picture, in
// order, and the few facts that matter from the rest.
type parts struct {
	pieces      [][]byte
	orientation int     // 1 to 8 as in EXIF; 1 when nothing is said
	samples     float64 // JPEG only: samples a pixel over all its components
	progressive bool    // JPEG only
	riff        bool    // WebP: the length in front must be set anew
}

var errWalk = errors.New("its parts do not fit together")

// picture puts the pieces together, with a note of the orientation in front
// where it is not upright. Only JPEG has one.
func (p parts) picture(orientation int) []byte {
	pieces := p.pieces
	if orientation != upright && p.samples > 0 {
		note := orientationNote(orientation)
		pieces = append([][]byte{pieces[0], note}, pieces[1:]...)
	}
	out := bytes.Join(pieces, nil)
	if p.riff {
		binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	}
	return out
}

// The markers of JPEG that matter here (ITU-T T.81, table B.1).
const (
	markerSOI  = 0xD8
	markerEOI  = 0xD9
	markerSOS  = 0xDA
	markerRST0 = 0xD0
	markerRST7 = 0xD7
	markerTEM  = 0x01
	markerCOM  = 0xFE
	markerAPP0 = 0xE0
)

// walkJPEG goes from segment to segment. What makes the picture stays: tables,
// frames, scans, and of the application segments JFIF, a colour profile and
// Adobe's colour note, without which colours come out wrong. The rest goes, and
// all that follows the end.
func walkJPEG(content []byte) (p parts, err error) {
	p.orientation = upright
	p.pieces = [][]byte{content[:2]}
	at := 2
	for {
		for at+1 < len(content) && content[at] == 0xFF && content[at+1] == 0xFF {
			at++ // fill bytes may stand before a marker
		}
		if at+2 > len(content) || content[at] != 0xFF {
			return p, errWalk
		}
		marker := content[at+1]
		if marker == markerEOI {
			p.pieces = append(p.pieces, content[at:at+2])
			return p, nil
		}
		if marker == markerSOI || marker == markerTEM || marker == 0 || marker >= markerRST0 && marker <= markerRST7 {
			return p, errWalk
		}
		if at+4 > len(content) {
			return p, errWalk
		}
		end := at + 2 + int(binary.BigEndian.Uint16(content[at+2:]))
		if end < at+4 || end > len(content) {
			return p, errWalk
		}
		body := content[at+4 : end]
		if marker == markerSOS {
			end = scanEnd(content, end)
		}
		if p.jpegSegment(marker, body) {
			p.pieces = append(p.pieces, content[at:end])
		}
		at = end
	}
}

// scanEnd is where the next marker after a scan's data begins; within the data
// 0xFF is followed by 0 or by a restart marker.
func scanEnd(content []byte, at int) int {
	for ; at+1 < len(content); at++ {
		next := content[at+1]
		if content[at] == 0xFF && next != 0 && next != 0xFF && (next < markerRST0 || next > markerRST7) {
			return at
		}
	}
	return len(content)
}

// jpegSegment notes what a segment says and reports whether it stays.
func (p *parts) jpegSegment(marker byte, body []byte) (stays bool) {
	switch {
	case marker == markerCOM:
		return false
	case marker == markerAPP0+1:
		if tiff, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok {
			if o := tiffOrientation(tiff); o != 0 {
				p.orientation = o
			}
		}
		return false
	case marker == markerAPP0+2:
		return bytes.HasPrefix(body, []byte("ICC_PROFILE\x00"))
	case marker == markerAPP0:
		return bytes.HasPrefix(body, []byte("JFIF\x00"))
	case marker == markerAPP0+14:
		return bytes.HasPrefix(body, []byte("Adobe"))
	case marker > markerAPP0 && marker <= markerAPP0+15:
		return false
	case isFrame(marker):
		p.frame(marker, body)
	}
	return true
}

// isFrame reports a start of frame: 0xC0 to 0xCF but DHT, JPG and DAC.
func isFrame(marker byte) bool {
	return marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC
}

// frame reads the sampling factors of the components (T.81, B.2.2).
func (p *parts) frame(marker byte, body []byte) {
	p.progressive = p.progressive || marker == 0xC2 || marker == 0xC6 || marker == 0xCA || marker == 0xCE
	var sum, maxH, maxV int
	for c := 6; c+2 < len(body); c += 3 {
		h, v := int(body[c+1]>>4), int(body[c+1]&15)
		sum += h * v
		maxH, maxV = max(maxH, h), max(maxV, v)
	}
	if sum > 0 {
		p.samples = float64(sum) / float64(maxH*maxV)
	}
}

// pngStays are the chunks of a PNG that stay: those that
// make the picture and its colours. Text, time and EXIF go.
var pngStays = map[string]bool{
	"IHDR": true, "PLTE": true, "IDAT": true, "IEND": true, "tRNS": true,
	"gAMA": true, "cHRM": true, "sRGB": true, "iCCP": true, "sBIT": true, "bKGD": true, "pHYs": true,
}

// walkPNG goes from chunk to chunk: length, name, data, check sum.
func walkPNG(content []byte) (p parts, err error) {
	p.orientation = upright
	p.pieces = [][]byte{content[:8]}
	for at := 8; ; {
		if at+12 > len(content) {
			return p, errWalk
		}
		length := int64(binary.BigEndian.Uint32(content[at:]))
		end := int64(at) + 12 + length
		if end > int64(len(content)) {
			return p, errWalk
		}
		name := string(content[at+4 : at+8])
		if name == "eXIf" {
			if o := tiffOrientation(content[at+8 : end-4]); o != 0 {
				p.orientation = o
			}
		}
		if pngStays[name] {
			p.pieces = append(p.pieces, content[at:end])
		}
		if name == "IEND" {
			return p, nil
		}
		at = int(end)
	}
}

// The bits of a VP8X chunk that announce what goes.
const webpMetadata = 0x08 | 0x04 // EXIF and XMP

// walkWebP goes from chunk to chunk: name, length, data, a zero byte where the
// length is odd.
func walkWebP(content []byte) (p parts, err error) {
	if len(content) < 12 {
		return p, errWalk
	}
	p.orientation, p.riff = upright, true
	p.pieces = [][]byte{bytes.Clone(content[:12])}
	whole := int64(8) + int64(binary.LittleEndian.Uint32(content[4:]))
	if whole > int64(len(content)) {
		return p, errWalk
	}
	for at := int64(12); at < whole; {
		if at+8 > whole {
			return p, errWalk
		}
		length := int64(binary.LittleEndian.Uint32(content[at+4:]))
		end := at + 8 + length
		padded := min(end+length%2, whole)
		if end > whole {
			return p, errWalk
		}
		piece := content[at:padded]
		switch string(content[at : at+4]) {
		case "EXIF":
			tiff := bytes.TrimPrefix(content[at+8:end], []byte("Exif\x00\x00"))
			if o := tiffOrientation(tiff); o != 0 {
				p.orientation = o
			}
		case "VP8X":
			piece = bytes.Clone(piece)
			if length > 0 {
				piece[8] &^= webpMetadata
			}
			p.pieces = append(p.pieces, piece)
		case "VP8 ", "VP8L", "ALPH", "ICCP":
			p.pieces = append(p.pieces, piece)
		}
		at = padded
	}
	return p, nil
}

// upright is EXIF's orientation of a picture that needs no turning.
const upright = 1

// tiffOrientation reads tag 0x0112 of the first directory, 0 when there is none
// that makes sense. The layout is TIFF 6.0, section 2.
func tiffOrientation(tiff []byte) int {
	if len(tiff) < 8 {
		return 0
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 0
	}
	first := int64(order.Uint32(tiff[4:]))
	if first+2 > int64(len(tiff)) {
		return 0
	}
	entries := tiff[first+2:]
	for range order.Uint16(tiff[first:]) {
		if len(entries) < 12 {
			return 0
		}
		const short = 3
		if order.Uint16(entries) == 0x0112 && order.Uint16(entries[2:]) == short {
			if o := int(order.Uint16(entries[8:])); o >= 1 && o <= 8 {
				return o
			}
			return 0
		}
		entries = entries[12:]
	}
	return 0
}

// orientationNote is an APP1 segment that says the orientation and nothing
// else: one directory with one entry.
func orientationNote(orientation int) []byte {
	return append([]byte{0xFF, markerAPP0 + 1, 0, 34},
		'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, '*', 0, 0, 0, 8, // header, directory at 8
		0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, byte(orientation), 0, 0, // one SHORT
		0, 0, 0, 0) // no next directory
}
