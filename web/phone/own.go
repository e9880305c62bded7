package phone

import "fmt"

// Own is what [OwnPage] shows.
type Own struct {
	Device   string // how this phone is named where devices differ
	LastCopy string // a sentence
	Error    string // what went wrong with a file, empty for nothing

	Server bool     // the phone exchanges with one
	Line   Line     // of the exchange
	Held   []string // why some records are not sent
}

// MaxCopy is how many bytes of a file a phone takes in at once: all of it is in
// memory, more than once.
const MaxCopy = 256_000_000

// TooLarge says what to do with a larger one.
const TooLarge = "This phone takes in at most 256 MB at once, for all of it must fit into its memory. Take it in on a computer instead: lastbolt import FILE. Phones that keep the program from that computer then get it from there."

// A Holding is what a computer has for a phone that keeps everything itself.
type Holding struct {
	Jobs, InHand int   // jobs in all, and those not released
	Bytes        int64 // of the database: records, vehicles and maps, no photos
}

// text is the sentence that a person reads before taking it; empty for nothing.
func (h Holding) text() string {
	if h.Jobs == 0 {
		return ""
	}
	jobs := fmt.Sprintf("%d jobs, %d of them in hand", h.Jobs, h.InHand)
	if h.Jobs == 1 {
		jobs = "1 job"
	}
	return fmt.Sprintf("Then it takes in all that is on the computer: %s, in a database of %.1f MB. The photos of jobs in hand come on top; those of released jobs stay on the computer until they are looked at.", jobs, float64(h.Bytes)/1e6)
}
