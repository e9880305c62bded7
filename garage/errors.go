package garage

import "lastbolt/fault"

// What a store of documents and files answers besides values. Stores wrap them
// in a sentence that names the thing; compare with errors.Is, or by the code.
var (
	// ErrStale: another version has come since the edit began.
	ErrStale = fault.New(fault.Stale, "It was changed by someone else in the meantime. Load it again, then make the change once more.")
	// ErrUnknown: there is no such document, version or file.
	ErrUnknown = fault.New(fault.NotFound, "There is no such thing here. It may have been opened from an old link.")
)

// The kinds of document the garage keeps.
const (
	KindVehicle = "vehicle" // body: Vehicle as JSON; the id is the vehicle's
	KindMap     = "map"     // body: an access map as YAML, as it was written
	KindShelf   = "shelf"   // body: Shelf as JSON
	KindLearned = "learned" // body: verdicts as JSON; the id is the map's
)
