package clip

import (
	"bytes"
	"encoding/binary"
	"math"
	"math/bits"
)

// The elements of WebM that matter here (RFC 8794 and RFC 9559).
const (
	idVoid           = 0xEC
	idCRC            = 0xBF
	idEBML           = 0x1A45DFA3
	idSegment        = 0x18538067
	idInfo           = 0x1549A966
	idTimestampScale = 0x2AD7B1
	idDuration       = 0x4489
	idDate           = 0x4461
	idTitle          = 0x7BA9
	idTracks         = 0x1654AE6B
	idTrack          = 0xAE
	idTrackType      = 0x83
	idCluster        = 0x1F43B675
	idTimestamp      = 0xE7
	idSimpleBlock    = 0xA3
	idTags           = 0x1254C367
	idAttachments    = 0x1941A469
	idChapters       = 0x1043A770
)

// cleanWebM makes what tells more than the sound into empty space, in its
// place. It goes through the elements as one line: of those with others inside
// only the head is passed over where the inside matters, so that the elements
// of a live recording, which do not know how long they are, need no care.
func cleanWebM(content []byte) ([]byte, float64, error) {
	w := webm{out: bytes.Clone(content), scale: 1e6}
	for at := 0; at < len(w.out); {
		next, err := w.element(at)
		if err != nil {
			return nil, 0, err
		}
		at = next
	}
	switch {
	case w.video:
		return nil, 0, errVideo
	case !w.sound:
		return nil, 0, errSilent
	}
	if w.long == 0 {
		w.long = w.last
	}
	return w.out, w.long * w.scale / 1e9, nil
}

type webm struct {
	out          []byte
	video, sound bool
	scale        float64 // nanoseconds a tick
	long         float64 // ticks, as the file says; 0 where it does not
	cluster      float64 // ticks of the cluster
	last         float64 // ticks of the last block
}

// element reads one and returns where to go on.
func (w *webm) element(at int) (next int, err error) {
	id, idBytes := vint(w.out[at:], 4, true)
	if idBytes == 0 {
		return 0, errCut
	}
	size, sizeBytes := vint(w.out[at+idBytes:], 8, false)
	if sizeBytes == 0 {
		return 0, errCut
	}
	body := at + idBytes + sizeBytes
	unknown := size == 1<<(7*sizeBytes)-1
	switch id {
	case idSegment, idInfo, idTracks, idTrack, idCluster:
		return body, nil
	}
	if unknown || size > uint64(len(w.out)-body) {
		return 0, errCut
	}
	end := body + int(size)
	w.read(id, w.out[body:end])
	switch id {
	case idTags, idAttachments, idChapters, idTitle, idDate, idCRC:
		void(w.out[at:end])
	}
	return end, nil
}

func (w *webm) read(id uint64, body []byte) {
	switch id {
	case idTrackType:
		w.video = w.video || number(body) == 1
		w.sound = w.sound || number(body) == 2
	case idTimestampScale:
		w.scale = number(body)
	case idDuration:
		w.long = real(body)
	case idTimestamp:
		w.cluster = number(body)
	case idSimpleBlock:
		if _, n := vint(body, 8, false); n > 0 && len(body) >= n+2 {
			w.last = max(w.last, w.cluster+float64(int16(binary.BigEndian.Uint16(body[n:]))))
		}
	}
}

// vint reads a number whose length is told by the zeros it begins with; an id
// keeps the bit that ends them. 0 bytes is one that cannot be read.
func vint(b []byte, most int, keepMark bool) (value uint64, n int) {
	if len(b) == 0 {
		return 0, 0
	}
	n = bits.LeadingZeros8(b[0]) + 1
	if n > most || n > len(b) {
		return 0, 0
	}
	value = uint64(b[0])
	if !keepMark {
		value &= 1<<(8-n) - 1
	}
	for _, c := range b[1:n] {
		value = value<<8 | uint64(c)
	}
	return value, n
}

func number(b []byte) float64 {
	if len(b) > 8 {
		return 0
	}
	var v uint64
	for _, c := range b {
		v = v<<8 | uint64(c)
	}
	return float64(v)
}

func real(b []byte) float64 {
	v := 0.0
	switch len(b) {
	case 4:
		v = float64(math.Float32frombits(binary.BigEndian.Uint32(b)))
	case 8:
		v = math.Float64frombits(binary.BigEndian.Uint64(b))
	}
	if !(v > 0 && v < 1e15) { // also what is not a number
		return 0
	}
	return v
}

// void makes an element, its head and all, into one that says nothing. At
// least two bytes are there: an id and a size.
func void(element []byte) {
	clear(element)
	element[0] = idVoid
	rest := len(element) - 1
	n := 1
	for n < 8 && uint64(rest-n) >= 1<<(7*n)-1 {
		n++
	}
	size := uint64(rest-n) | 1<<(7*n)
	for i := range n {
		element[1+i] = byte(size >> (8 * (n - 1 - i)))
	}
}
