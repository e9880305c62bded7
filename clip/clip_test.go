package clip

import (
	"bytes"
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"lastbolt/fault"
)

// secret is a text that a phone may write beside the sound; it must not be in
// what is kept.
const secret = "12 Mill Lane, 51.4778 N 0.0015 W"

// sound is what must stay, to the byte.
var sound = bytes.Repeat([]byte("\x10\x20\x7f\x00\xf0"), 400)

// The samples are made here, piece by piece, each with the secret in every
// place the format has for it.
func samples() map[string][]byte {
	return map[string][]byte{
		"wav": wavFile(8000, sound), "webm": webmFile(), "webm of a live recording": liveWebM(),
		"ogg opus": oggFile("opus"), "ogg vorbis": oggFile("vorbis"), "m4a": mp4File("soun"), "mp3": mp3File(),
	}
}

func wavFile(bytesASecond uint32, data []byte) []byte {
	chunk := func(name string, body []byte) []byte {
		b := append([]byte(name), binary.LittleEndian.AppendUint32(nil, uint32(len(body)))...)
		return append(append(b, body...), make([]byte, len(body)&1)...)
	}
	format := binary.LittleEndian.AppendUint16(nil, 1)
	format = binary.LittleEndian.AppendUint16(format, 1)
	format = binary.LittleEndian.AppendUint32(format, bytesASecond/2)
	format = binary.LittleEndian.AppendUint32(format, bytesASecond)
	format = binary.LittleEndian.AppendUint16(format, 2)
	format = binary.LittleEndian.AppendUint16(format, 16)
	body := bytes.Join([][]byte{
		[]byte("WAVE"), chunk("LIST", []byte("INFOINAM"+secret)), chunk("fmt ", format), chunk("bext", []byte(secret)),
		chunk("data", data), chunk("iXML", []byte("<LOCATION>"+secret+"</LOCATION>")),
	}, nil)
	return append(append([]byte("RIFF"), binary.LittleEndian.AppendUint32(nil, uint32(len(body)))...), body...)
}

// element makes a WebM element with a size of four bytes.
func element(id uint64, body ...[]byte) []byte {
	all := bytes.Join(body, nil)
	return append(binary.BigEndian.AppendUint32(elementID(id), 0x10000000|uint32(len(all))), all...)
}

// liveElement is one that does not know how long it is.
func liveElement(id uint64, body ...[]byte) []byte {
	return append(append(elementID(id), 0x01, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF), bytes.Join(body, nil)...)
}

func elementID(id uint64) []byte {
	return bytes.TrimLeft(binary.BigEndian.AppendUint64(nil, id), "\x00")
}

func webmHead() []byte { return element(idEBML, element(0x4282, []byte("webm"))) }

func webmInfo(more ...[]byte) []byte {
	more = append(more, element(idTimestampScale, []byte{0x0F, 0x42, 0x40}), element(idTitle, []byte(secret)), element(0x4D80, []byte("recorder")))
	return element(idInfo, more...)
}

func webmTracks(kind byte) []byte {
	return element(idTracks, element(idTrack, element(0xD7, []byte{1}), element(idTrackType, []byte{kind})))
}

func webmCluster(make func(uint64, ...[]byte) []byte, at uint16, block []byte) []byte {
	return make(idCluster, element(idTimestamp, binary.BigEndian.AppendUint16(nil, at)), element(idSimpleBlock, []byte("\x81\x00\x64\x80"), block))
}

func webmTags() []byte { return element(idTags, element(0x7373, []byte(secret))) }

func webmFile() []byte {
	duration := binary.BigEndian.AppendUint64(nil, math.Float64bits(2500))
	return append(webmHead(), element(idSegment, webmInfo(element(idDuration, duration)), webmTracks(2), webmCluster(element, 0, sound), webmTags())...)
}

func liveWebM() []byte {
	return append(webmHead(), liveElement(idSegment, webmInfo(), webmTracks(2),
		webmCluster(liveElement, 0, sound[:1000]), webmCluster(liveElement, 1000, sound[1000:]), webmTags())...)
}

func oggFile(codec string) []byte {
	head := append([]byte("OpusHead\x01\x01"), 0x38, 0x01, 0x80, 0xBB, 0, 0, 0, 0, 0)
	tags := []byte("OpusTags")
	end, rest := []byte(nil), 48000+312
	if codec == "vorbis" {
		head = append([]byte("\x01vorbis\x00\x00\x00\x00\x01"), make([]byte, 18)...)
		binary.LittleEndian.PutUint32(head[12:], 8000)
		tags, end, rest = []byte("\x03vorbis"), []byte{1}, 8000
	}
	comment := "DESCRIPTION=" + strings.Repeat(secret+" ", 20) // longer than one lace of 255 bytes
	tags = binary.LittleEndian.AppendUint32(tags, 4)
	tags = append(tags, "made"...)
	tags = binary.LittleEndian.AppendUint32(tags, 1)
	tags = binary.LittleEndian.AppendUint32(tags, uint32(len(comment)))
	tags = append(append(tags, comment...), end...)
	return bytes.Join([][]byte{oggPage(0, 0, head), oggPage(1, 0, tags), oggPage(2, int64(rest), sound)}, nil)
}

func oggPage(number uint32, granule int64, packet []byte) []byte {
	p := append([]byte("OggS\x00\x00"), binary.LittleEndian.AppendUint64(nil, uint64(granule))...)
	p = binary.LittleEndian.AppendUint32(p, 7)
	p = binary.LittleEndian.AppendUint32(p, number)
	p = append(p, 0, 0, 0, 0, byte(len(packet)/255+1))
	p = append(p, bytes.Repeat([]byte{255}, len(packet)/255)...)
	p = append(append(p, byte(len(packet)%255)), packet...)
	binary.LittleEndian.PutUint32(p[22:], oggSum(p))
	return p
}

func box(name string, body ...[]byte) []byte {
	all := bytes.Join(body, nil)
	return append(append(binary.BigEndian.AppendUint32(nil, uint32(8+len(all))), name...), all...)
}

func mp4File(handler string) []byte {
	movie := make([]byte, 100)
	binary.BigEndian.PutUint32(movie[12:], 1000)
	binary.BigEndian.PutUint32(movie[16:], 3250)
	return bytes.Join([][]byte{
		box("ftyp", []byte("M4A \x00\x00\x00\x00")),
		box("moov", box("mvhd", movie),
			box("trak", box("mdia", box("hdlr", make([]byte, 8), []byte(handler), make([]byte, 13))), box("udta", box("name", []byte(secret)))),
			box("udta", box("\xa9xyz", []byte(secret)), box("meta", []byte(secret)))),
		box("uuid", []byte(secret)), box("mdat", sound),
	}, nil)
}

func mp3File() []byte {
	tag := append([]byte("ID3\x04\x00\x00\x00\x00\x00\x40"), append([]byte(secret), make([]byte, 64-len(secret))...)...)
	end := append([]byte("TAG"+secret), make([]byte, 125-len(secret))...)
	return bytes.Join([][]byte{tag, []byte("\xff\xfb\x90\x00"), sound, end}, nil)
}

func TestAClipKeepsItsSoundAndNothingElse(t *testing.T) {
	seconds := map[string]float64{"wav": 0.25, "webm": 2.5, "webm of a live recording": 1.1, "ogg opus": 1, "ogg vorbis": 1, "m4a": 3.25, "mp3": 0}
	for name, file := range samples() {
		t.Run(name, func(t *testing.T) {
			if !bytes.Contains(file, []byte(secret)) {
				t.Fatal("the sample holds no secret, so the test shows nothing")
			}
			before := bytes.Clone(file)
			c, err := Intake(file)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(file, before) {
				t.Error("what was given is changed")
			}
			if bytes.Contains(c.Content, []byte("Mill Lane")) || bytes.Contains(c.Content, []byte("51.4778")) {
				t.Error("the place is still in it")
			}
			if parts := [][]byte{sound[:1000], sound[1000:]}; !bytes.Contains(c.Content, parts[0]) || !bytes.Contains(c.Content, parts[1]) {
				t.Error("the sound is not in it to the byte")
			}
			if math.Abs(c.Seconds-seconds[name]) > 0.001 || !Plays(c.Media) {
				t.Errorf("got %g seconds of %s, want %g", c.Seconds, c.Media, seconds[name])
			}
			again, err := Intake(c.Content)
			if err != nil || !bytes.Equal(again.Content, c.Content) || again.Media != c.Media {
				t.Errorf("taken in again it is another clip: %v", err)
			}
		})
	}
}

func TestThePagesOfACleanedOggStillAddUp(t *testing.T) {
	c, err := Intake(oggFile("opus"))
	if err != nil {
		t.Fatal(err)
	}
	pages := 0
	for rest := c.Content; len(rest) > 0; pages++ {
		end := oggHead + int(rest[26])
		for _, n := range rest[oggHead : oggHead+int(rest[26])] {
			end += int(n)
		}
		page := bytes.Clone(rest[:end])
		want := binary.LittleEndian.Uint32(page[22:])
		clear(page[22:26])
		if got := oggSum(page); got != want {
			t.Errorf("page %d has the sum %08x, its bytes give %08x", pages, want, got)
		}
		rest = rest[end:]
	}
	if pages != 3 {
		t.Errorf("%d pages, want 3", pages)
	}
	// The sum of "123456789", a common test of such sums (CRC-32 with this
	// polynomial, no reflection, from 0), worked out bit by bit.
	var bitwise uint32
	for _, b := range []byte("123456789") {
		for i := 7; i >= 0; i-- {
			high := bitwise>>31 ^ uint32(b)>>i&1
			bitwise = bitwise<<1 ^ high*0x04c11db7
		}
	}
	if got := oggSum([]byte("123456789")); got != bitwise {
		t.Errorf("the sum is %08x, bit by bit %08x", got, bitwise)
	}
}

func TestWhatIsNoClipIsRefusedInASentence(t *testing.T) {
	long := wavFile(100, make([]byte, 100*(MaxSeconds+slack+1)))
	video := append(webmHead(), element(idSegment, webmTracks(1), webmTracks(2))...)
	for name, row := range map[string]struct {
		content []byte
		code    fault.Code
		says    string
	}{
		"nothing":            {nil, fault.Bad, "empty"},
		"text":               {[]byte("the notes of the day"), fault.Bad, "not a sound clip"},
		"a photo":            {[]byte("\xff\xd8\xff\xe0\x00\x10JFIF"), fault.Bad, "not a sound clip"},
		"a video":            {video, fault.Bad, "video"},
		"a video as MP4":     {mp4File("vide"), fault.Bad, "video"},
		"a HEIC photo":       {box("ftyp", []byte("heic\x00\x00\x00\x00")), fault.Bad, "no sound"},
		"AMR":                {[]byte("#!AMR\n\x0c"), fault.Bad, "AMR"},
		"too long":           {long, fault.TooLarge, "126 seconds"},
		"too large":          {make([]byte, MaxBytes+1), fault.TooLarge, "16 MB"},
		"a WAV cut short":    {wavFile(8000, sound)[:60], fault.Bad, "cut short"},
		"a WebM cut short":   {webmFile()[:700], fault.Bad, "cut short"},
		"an M4A cut short":   {mp4File("soun")[:300], fault.Bad, "cut short"},
		"an Ogg cut short":   {oggFile("opus")[:300], fault.Bad, "cut short"},
		"an MP3 of tags":     {mp3File()[:74], fault.Bad, "cut short"},
		"a tag and no frame": {[]byte("ID3\x04\x00\x00\x00\x00\x00\x00\xff\xfb"), fault.Bad, "cut short"},
		"a page that lies":   {[]byte("OggS\x00\x00"), fault.Bad, "cut short"},
		"a WebM of nothing":  {webmHead(), fault.Bad, "no sound"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Intake(row.content)
			if fault.CodeOf(err) != row.code || !strings.Contains(fault.Say(err), row.says) {
				t.Errorf("got %v, want a fault %v that says %q", err, row.code, row.says)
			}
		})
	}
}

// Whatever comes from outside, Intake ends, does not touch what it is given,
// and what it lets in it lets in again as it is.
func FuzzIntake(f *testing.F) {
	for _, file := range samples() {
		f.Add(file)
	}
	f.Add([]byte("\xff\xf1\x50\x80\x02\x1f\xfc"))
	f.Fuzz(func(t *testing.T, content []byte) {
		before := bytes.Clone(content)
		c, err := Intake(content)
		if !bytes.Equal(content, before) {
			t.Fatal("what was given is changed")
		}
		if err != nil {
			if fault.CodeOf(err) == fault.Internal {
				t.Fatalf("not a fault: %v", err)
			}
			return
		}
		if !Plays(c.Media) || len(c.Content) == 0 || c.Seconds < 0 || c.Seconds > MaxSeconds+slack {
			t.Fatalf("let in %d bytes of %q, %g seconds", len(c.Content), c.Media, c.Seconds)
		}
		again, err := Intake(c.Content)
		if err != nil || !bytes.Equal(again.Content, c.Content) {
			t.Fatalf("taken in again it differs: %v", err)
		}
	})
}
