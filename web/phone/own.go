package phone

// Own is what [OwnPage] shows.
type Own struct {
	LastCopy string // a sentence
	Error    string // what went wrong with a file, empty for nothing
}
