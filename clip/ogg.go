package clip

import (
	"bytes"
	"encoding/binary"
)

// cleanOgg empties the comments of Opus or Vorbis (RFC 3533, RFC 7845), in
// their place, and sums the pages they are on anew.
func cleanOgg(content []byte) ([]byte, float64, error) {
	o := ogg{out: bytes.Clone(content)}
	for at := 0; at < len(o.out); {
		next, err := o.page(at)
		if err != nil {
			return nil, 0, err
		}
		at = next
	}
	if o.rate == 0 || o.packet < 2 {
		return nil, 0, errCut
	}
	if err := o.emptyComments(); err != nil {
		return nil, 0, err
	}
	for _, p := range o.pages {
		page := o.out[p[0]:p[1]]
		clear(page[22:26])
		binary.LittleEndian.PutUint32(page[22:], oggSum(page))
	}
	return o.out, max(0, float64(o.last)-o.skip) / o.rate, nil
}

type ogg struct {
	out      []byte
	serial   uint32
	packet   int      // packets ended so far
	head     []byte   // the first packet
	comments []int    // where each byte of the second packet is
	pages    [][2]int // those with a piece of it
	rate     float64  // samples a second, once the head is read
	skip     float64  // samples before the sound
	last     int64    // samples at the end of the last page
}

const oggHead = 27 // bytes of a page before its table of lengths

// page reads one and returns where the next begins.
func (o *ogg) page(at int) (next int, err error) {
	p := o.out[at:]
	if len(p) < oggHead || string(p[:4]) != "OggS" || p[4] != 0 {
		return 0, errCut
	}
	table := oggHead + int(p[26])
	if len(p) < table {
		return 0, errCut
	}
	switch serial := binary.LittleEndian.Uint32(p[14:]); {
	case at == 0:
		o.serial = serial
	case serial != o.serial: // a second stream: pictures, or another clip
		return 0, errVideo
	}
	if g := int64(binary.LittleEndian.Uint64(p[6:])); g > 0 {
		o.last = g
	}
	body := at + table
	for _, n := range p[oggHead:table] {
		if body+int(n) > len(o.out) {
			return 0, errCut
		}
		o.piece(at, body, int(n))
		body += int(n)
		if n < 255 {
			if err := o.ended(); err != nil {
				return 0, err
			}
		}
	}
	if k := len(o.pages) - 1; k >= 0 && o.pages[k][0] == at {
		o.pages[k][1] = body
	}
	return body, nil
}

// piece notes a part of the first two packets.
func (o *ogg) piece(page, at, n int) {
	switch o.packet {
	case 0:
		o.head = append(o.head, o.out[at:at+n]...)
	case 1:
		if k := len(o.pages) - 1; k < 0 || o.pages[k][0] != page {
			o.pages = append(o.pages, [2]int{page, 0})
		}
		for i := range n {
			o.comments = append(o.comments, at+i)
		}
	}
}

// ended reads the head once it is whole.
func (o *ogg) ended() error {
	o.packet++
	if o.packet != 1 {
		return nil
	}
	switch h := o.head; {
	case len(h) >= 19 && string(h[:8]) == "OpusHead":
		o.rate, o.skip = 48000, float64(binary.LittleEndian.Uint16(h[10:]))
	case len(h) >= 30 && string(h[:7]) == "\x01vorbis":
		o.rate = float64(binary.LittleEndian.Uint32(h[12:]))
	default:
		return errSilent
	}
	if o.rate == 0 {
		return errCut
	}
	return nil
}

// emptyComments keeps the name of the program that made the sound, which a
// decoder may go by, and sets the count of comments behind it to none. Vorbis
// wants a bit after them.
func (o *ogg) emptyComments() error {
	text := make([]byte, len(o.comments))
	for i, at := range o.comments {
		text[i] = o.out[at]
	}
	magic, after := 8, byte(0)
	if bytes.HasPrefix(text, []byte("\x03vorbis")) {
		magic, after = 7, 1
	} else if !bytes.HasPrefix(text, []byte("OpusTags")) {
		return errCut
	}
	if len(text) < magic+4 {
		return errCut
	}
	vendor := int64(binary.LittleEndian.Uint32(text[magic:]))
	count := int64(magic) + 4 + vendor
	if count+4 > int64(len(text)) {
		return errCut
	}
	clear(text[count:])
	if after != 0 && count+4 < int64(len(text)) {
		text[count+4] = after
	}
	for i, at := range o.comments {
		o.out[at] = text[i]
	}
	return nil
}

// oggTable is the check sum of each byte: CRC-32 with the polynomial 0x04c11db7,
// highest bit first, which package hash/crc32 does not do.
var oggTable = func() (table [256]uint32) {
	for i := range table {
		sum := uint32(i) << 24
		for range 8 {
			high := sum >> 31
			sum = sum<<1 ^ high*0x04c11db7
		}
		table[i] = sum
	}
	return table
}()

func oggSum(page []byte) (sum uint32) {
	for _, b := range page {
		sum = sum<<8 ^ oggTable[byte(sum>>24)^b]
	}
	return sum
}
