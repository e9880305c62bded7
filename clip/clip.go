// Package clip takes sound clips in: it finds out what a file is by its
// content, takes out what tells more than the sound, and bounds its size and
// length.
//
// Start with [Intake]. It reads what a browser's recorder writes (WebM, Ogg,
// MP4) and what people have as files (WAV, MP3, AAC, M4A). The sound itself is
// passed on to the byte: the package decodes nothing, makes nothing smaller, and
// never trusts a file's name. Titles, comments and tags go, because a phone's
// recorder names a clip by the place it was recorded at. It works on bytes in
// memory and keeps nothing.
package clip

import (
	"errors"

	"lastbolt/fault"
)

// The limits. A clip is a noise before and a noise after, not a film: two
// minutes of uncompressed sound (48 kHz, 16 bit, one channel) take 11.5 MB, and
// what a browser records takes a tenth of that.
const (
	MaxBytes   = 16 << 20
	MaxSeconds = 120
)

// slack is how much longer than [MaxSeconds] a clip may be: a recorder that is
// told to stop goes on until its block is full.
const slack = 5 // seconds

// A Clip is one that was taken in.
type Clip struct {
	Content []byte
	Media   string  // as a browser plays it: "audio/webm"
	Seconds float64 // how long it is; 0 where the file does not tell
}

// errCut is a file whose parts do not fit together.
var errCut = errors.New("its parts do not fit together")

// errVideo is a file with pictures in it.
var errVideo = errors.New("it holds a video")

// errSilent is a container without a track of sound.
var errSilent = errors.New("it holds no sound")

// Intake checks a clip and makes it fit to keep. The faults are Bad for what is
// no sound that a browser plays, and TooLarge.
func Intake(content []byte) (Clip, error) {
	if len(content) == 0 {
		return Clip{}, fault.New(fault.Bad, "The file is empty. Record the sound again.")
	}
	if len(content) > MaxBytes {
		return Clip{}, fault.New(fault.TooLarge, "The clip has %d MB; at most %d MB are taken. Record a shorter one: two minutes are enough to know a noise by.", len(content)>>20, MaxBytes>>20)
	}
	_, clean, err := kindOf(content)
	if err != nil {
		return Clip{}, err
	}
	var c Clip
	c.Content, c.Seconds, err = clean(content)
	if err == nil {
		// What lay behind a tag says itself what it is: an AAC stream as well as an
		// MP3 one may have a tag before it, or too little to be either.
		if c.Media, _, err = kindOf(c.Content); err != nil {
			err = errCut
		}
	}
	switch {
	case errors.Is(err, errVideo):
		return Clip{}, fault.New(fault.Bad, "This is a video. Send the sound alone: record it here, or with the phone's sound recorder.")
	case errors.Is(err, errSilent):
		return Clip{}, fault.New(fault.Bad, "There is no sound in this file. Record it again.")
	case err != nil:
		return Clip{}, fault.Wrap(err, fault.Bad, "The clip cannot be read; it is cut short or damaged. Record it or send it again.")
	case c.Seconds > MaxSeconds+slack:
		return Clip{}, fault.New(fault.TooLarge, "The clip is %.0f seconds long; at most %d are taken. Cut it to the part with the noise.", c.Seconds, MaxSeconds)
	}
	return c, nil
}

// Plays reports whether a media type is one that Intake gives, and so may be
// told to a browser.
func Plays(media string) bool {
	switch media {
	case "audio/wav", "audio/webm", "audio/ogg", "audio/mp4", "audio/mpeg", "audio/aac":
		return true
	}
	return false
}

// cleaner returns the content without what tells more than the sound, and how
// long it is. It may not change what it is given.
type cleaner func(content []byte) (clean []byte, seconds float64, err error)

// kindOf goes by the first bytes.
func kindOf(content []byte) (media string, clean cleaner, err error) {
	starts := func(at int, with string) bool {
		return len(content) >= at+len(with) && string(content[at:at+len(with)]) == with
	}
	switch {
	case starts(0, "RIFF") && starts(8, "WAVE"):
		return "audio/wav", cleanWAV, nil
	case starts(0, "\x1aE\xdf\xa3"):
		return "audio/webm", cleanWebM, nil
	case starts(0, "OggS"):
		return "audio/ogg", cleanOgg, nil
	case starts(4, "ftyp"):
		return "audio/mp4", cleanMP4, nil
	case starts(0, "ID3"):
		return "audio/mpeg", cleanMP3, nil
	case len(content) > 2 && content[0] == 0xFF && content[1]&0xF6 == 0xF0:
		return "audio/aac", asItIs, nil
	case len(content) > 2 && content[0] == 0xFF && content[1]&0xE0 == 0xE0 && content[1]&0x06 != 0:
		return "audio/mpeg", cleanMP3, nil
	case starts(0, "#!AMR"):
		return "", nil, fault.New(fault.Bad, "This is an AMR recording, which browsers do not play. Set the recorder to M4A, AAC, MP3 or WAV, or record the sound here.")
	case starts(0, "caff"), starts(0, "fLaC"), starts(0, "FORM"):
		return "", nil, fault.New(fault.Bad, "Not every browser plays this kind of sound file. Save it as M4A, MP3 or WAV, or record the sound here.")
	}
	return "", nil, fault.New(fault.Bad, "This file is not a sound clip that can be read. Send it as WebM, Ogg, M4A, MP3 or WAV, or record the sound here.")
}

func asItIs(content []byte) ([]byte, float64, error) { return content, 0, nil }
