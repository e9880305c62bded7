package phone

// Own is what [OwnPage] shows.
type Own struct {
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
