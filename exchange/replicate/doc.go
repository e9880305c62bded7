// Package replicate brings what a phone recorded to its server and what the
// server has to the phone: events, documents with all their versions, photos.
//
// Start with [Server], which answers a phone, and [Client], which asks. Both
// work on the store that the host hands in; neither opens a connection or has a
// clock of its own. Whatever is cut off at any moment goes on where it was,
// nothing depends on the order, and what comes twice is passed over.
//
// How each kind finds out what the other side lacks:
//
//   - Events, by position. A log gives each event it takes a rising position.
//     The phone asks for what came behind the position it has seen, and sends
//     what came behind the position it has sent. With the position goes the id
//     of the event there, so that a server whose log is another one than before
//     (a backup was restored) is noticed: then both sides begin anew.
//   - Documents, by a digest of every history. Histories that differ are sent
//     whole and merged, see [keep.MergeHistory].
//   - Photos, by name, which is the hash of the content.
//
// A phone writes in no other name than those of the people who have signed in
// on it, see [Device]. What the server does not take stays on the phone and is
// told there; nothing is changed on the way, so that both sides keep the same.
package replicate
