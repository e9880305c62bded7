package phone

// Own is what [OwnPage] shows.
type Own struct {
	LastCopy string // a sentence
	Error    string // what went wrong with a file, empty for nothing

	Server bool     // the phone exchanges with one
	Line   Line     // of the exchange
	Held   []string // why some records are not sent
}
