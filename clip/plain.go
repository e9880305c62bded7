package clip

import (
	"bytes"
	"encoding/binary"
)

// wavStays are the chunks of a WAV file that stay: the format, the count of
// samples and the sound. Titles, artists, places and cues go.
var wavStays = map[string]bool{"fmt ": true, "fact": true, "data": true}

// cleanWAV goes from chunk to chunk: name, length, data, a zero byte where the
// length is odd. A recorder that was cut off leaves a length of 0 or of all
// ones: the sound then goes to the end.
func cleanWAV(content []byte) ([]byte, float64, error) {
	out := bytes.Clone(content[:12])
	var bytesASecond, sound int
	for at := 12; at+8 <= len(content); {
		name := string(content[at : at+4])
		length := int(binary.LittleEndian.Uint32(content[at+4:]))
		rest := len(content) - at - 8
		if name == "data" && (length == 0 || length > rest) {
			length = rest
		}
		if length > rest {
			return nil, 0, errCut
		}
		body := content[at+8 : at+8+length]
		switch {
		case name == "fmt " && length >= 16:
			bytesASecond = int(binary.LittleEndian.Uint32(body[8:]))
		case name == "data":
			sound += length
		}
		if wavStays[name] {
			out = append(out, name...)
			out = binary.LittleEndian.AppendUint32(out, uint32(length))
			out = append(append(out, body...), make([]byte, length&1)...)
		}
		at += 8 + length + length&1
	}
	if bytesASecond == 0 || sound == 0 {
		return nil, 0, errCut
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	return out, float64(sound) / float64(bytesASecond), nil
}

// cleanMP3 leaves the tags before and behind the sound out (ID3v2, whose length
// has seven bits a byte, and ID3v1).
func cleanMP3(content []byte) ([]byte, float64, error) {
	const header, trailer, hasFooter = 10, 128, 0x10
	for bytes.HasPrefix(content, []byte("ID3")) {
		if len(content) < header {
			return nil, 0, errCut
		}
		length := header
		for i, b := range content[6:header] {
			if b > 0x7F {
				return nil, 0, errCut
			}
			length += int(b) << (7 * (3 - i))
		}
		if content[5]&hasFooter != 0 {
			length += header
		}
		if length > len(content) {
			return nil, 0, errCut
		}
		content = content[length:]
	}
	if end := len(content) - trailer; end >= 0 && bytes.HasPrefix(content[end:], []byte("TAG")) {
		content = content[:end]
	}
	content = bytes.TrimLeft(content, "\x00") // room a tag was given
	if len(content) < 2 || content[0] != 0xFF || content[1]&0xE0 != 0xE0 {
		return nil, 0, errCut
	}
	return content, 0, nil
}

// mp4Opens are the boxes that are looked into; what is in the others is sound,
// or tables that lead to it.
var mp4Opens = map[string]bool{"moov": true, "trak": true, "mdia": true}

// mp4Goes are the boxes that hold titles, places and covers.
var mp4Goes = map[string]bool{"udta": true, "meta": true, "uuid": true, "ilst": true}

// cleanMP4 makes what tells more than the sound into free space, in its place:
// tables elsewhere in the file count bytes from its beginning.
func cleanMP4(content []byte) ([]byte, float64, error) {
	w := mp4{out: bytes.Clone(content)}
	if err := w.boxes(0, len(content), 0); err != nil {
		return nil, 0, err
	}
	switch {
	case w.video:
		return nil, 0, errVideo
	case !w.sound:
		return nil, 0, errSilent
	}
	return w.out, w.seconds, nil
}

type mp4 struct {
	out          []byte
	video, sound bool
	seconds      float64
}

// boxes goes from box to box: length, name, data. A length of 1 is followed by
// one of eight bytes, 0 goes to the end.
func (w *mp4) boxes(at, end, depth int) error {
	for at < end {
		if end-at < 8 {
			return errCut
		}
		head, size := 8, uint64(binary.BigEndian.Uint32(w.out[at:]))
		name := string(w.out[at+4 : at+8])
		switch size {
		case 0:
			size = uint64(end - at)
		case 1:
			if head = 16; end-at < head {
				return errCut
			}
			size = binary.BigEndian.Uint64(w.out[at+8:])
		}
		if size < uint64(head) || size > uint64(end-at) {
			return errCut
		}
		next := at + int(size)
		if err := w.box(name, at, at+head, next, depth); err != nil {
			return err
		}
		at = next
	}
	return nil
}

func (w *mp4) box(name string, at, body, end, depth int) error {
	content := w.out[body:end]
	switch {
	case mp4Goes[name]:
		copy(w.out[at+4:], "free")
		clear(content)
	case mp4Opens[name] && depth < 4:
		return w.boxes(body, end, depth+1)
	case name == "hdlr" && len(content) >= 12:
		w.video = w.video || string(content[8:12]) == "vide"
		w.sound = w.sound || string(content[8:12]) == "soun"
	case name == "mvhd":
		w.seconds = mvhdSeconds(content)
	}
	return nil
}

// mvhdSeconds reads the length from the movie's header; 0 where it does not
// tell.
func mvhdSeconds(b []byte) float64 {
	var scale, long uint64
	switch {
	case len(b) >= 32 && b[0] == 1:
		scale, long = uint64(binary.BigEndian.Uint32(b[20:])), binary.BigEndian.Uint64(b[24:])
	case len(b) >= 20 && b[0] == 0:
		scale, long = uint64(binary.BigEndian.Uint32(b[12:])), uint64(binary.BigEndian.Uint32(b[16:]))
	}
	if scale == 0 || long == 1<<32-1 || long == 1<<64-1 {
		return 0
	}
	return float64(long) / float64(scale)
}
