package replicate

import (
	"time"

	"lastbolt/garage"
	"lastbolt/job"
)

// Prefix is the beginning of every address of the exchange.
const Prefix = "/exchange/"

// Version is what a phone and its server must both speak. It stands in the
// header versionHeader of every request and answer.
const (
	Version       = "1"
	versionHeader = "Lastbolt-Exchange"
	mediaHeader   = "Lastbolt-Media" // of a photo or clip
)

// DoorHeader is how a door in front of the exchange says whom it does not let
// pass: [Stranger] or [Unsigned].
const (
	DoorHeader = "Lastbolt-Door"
	Stranger   = "stranger" // the phone is not paired
	Unsigned   = "unsigned" // nobody has signed in on it
)

// Bounds of one request or answer.
const (
	perBatch   = 500     // events
	batchBytes = 1 << 20 // of the events' data, unless one alone has more
	perAsk     = 40      // names or histories asked for in one address
	pushBytes  = 8 << 20 // of a batch of events as JSON
	histBytes  = 4 << 20 // of bodies in one answer, unless one document alone has more
	histLimit  = 96 << 20
)

// You is what a server says to a phone about who it is taken for.
type You struct {
	Name     string   `json:"name,omitempty"` // goes into what is recorded from now on
	ReadOnly bool     `json:"readOnly,omitempty"`
	Anybody  bool     `json:"anybody,omitempty"` // the server keeps no people: any name goes
	Names    []string `json:"names,omitempty"`   // else these
}

// may tells whether the phone may write in the name. No name is nobody's.
func (y You) may(name string) bool {
	if name == "" || y.Anybody || name == y.Name {
		return true
	}
	for _, n := range y.Names {
		if n == name {
			return true
		}
	}
	return false
}

type eventsPage struct {
	Events   []job.Event `json:"events"`
	Position int64       `json:"position"` // of the last event in the server's log
	You      You         `json:"you"`
}

type eventsPush struct {
	Events []job.Event `json:"events"`
}

// refused is one thing that was not taken, and why, in a sentence.
type refused struct {
	ID  string `json:"id"`
	Why string `json:"why"`
}

type taken struct {
	Added   int       `json:"added"`
	Refused []refused `json:"refused,omitempty"`
}

// A documentDigest stands for the whole history of one document.
type documentDigest struct {
	Kind   string `json:"kind"`
	ID     string `json:"id"`
	Digest string `json:"digest"`
}

func (d documentDigest) key() string { return d.Kind + " " + d.ID }

type documentList struct {
	Same      bool             `json:"same"`
	Documents []documentDigest `json:"documents,omitempty"`
}

type histories struct {
	Documents []garage.Document `json:"documents"`
}

type missingNames struct {
	Missing []string `json:"missing"`
}

// A problem is an answer that says why not.
type problem struct {
	Say   string `json:"say"`
	Anew  bool   `json:"anew,omitempty"` // the log is another one: begin anew
	Older bool   `json:"older,omitempty"`
}

// liveEvery is how often the server looks for news for open pages.
const liveEvery = time.Second
