package usage

// Level is how full a disk is.
type Level int

// The levels of a disk.
const (
	Enough Level = iota
	Low          // there is room for some days more: time to do something
	Last         // only what is recorded in words still gets in
)

// The room at which a disk is low is what one day of heavy recording takes: 60
// photos kept in full, at 8 MB each, and as much again for a backup of them. The
// last room is what must stay for the words: four files of the largest kind
// that could still be on their way, and the log of the database. On a small disk
// both are a share of it.
const (
	lowRoom   = 1 << 30   // bytes
	lastRoom  = 256 << 20 // bytes
	lowShare  = 10        // a tenth of the disk
	lastShare = 40
)

// LevelOf is how full a disk is that has so many bytes free of a total. A total
// of 0 is not known, and then there is nothing to warn of.
func LevelOf(free, total int64) Level {
	switch {
	case total <= 0:
		return Enough
	case free < min(lastRoom, total/lastShare):
		return Last
	case free < min(lowRoom, total/lowShare):
		return Low
	}
	return Enough
}
