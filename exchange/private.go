package exchange

import (
	"bytes"
	"strings"

	"lastbolt/clip"
	"lastbolt/fault"
	"lastbolt/photo"
)

// private refuses a photo or clip that tells more than what is seen or heard. No
// export of ours holds one, as it is taken out before a file is kept; taking one
// in would let it out again with the next export. What cannot be read as a photo
// or clip is kept as it came: nothing shows it.
func private(name string, content []byte, media string) error {
	var clean []byte
	switch {
	case strings.HasPrefix(media, "image/"):
		stripped, err := photo.StripLocation(content)
		if err != nil {
			return nil
		}
		clean = stripped
	case strings.HasPrefix(media, "audio/"):
		c, err := clip.Intake(content)
		if err != nil {
			return nil
		}
		clean = c.Content
	default:
		return nil
	}
	if bytes.Equal(clean, content) {
		return nil
	}
	return fault.New(fault.Bad, "The photo or clip %s still says where or when it was taken, which no export of this program does. Take it out of the file, and add it to the job by its page.", name)
}
