// Package indexed is a [lastbolt/keep.Backend] in the database of a browser,
// IndexedDB: what a phone without a server keeps its jobs in.
//
// Start at Open, which only a program compiled for js/wasm has. Every call is
// one transaction with durability "strict": it returns once the browser has
// been told by its disk that the data is there, so a worker that is stopped in
// the middle has stored all of a batch or none of it. The package keeps nothing
// in memory; several workers may have the same database open.
//
// How it lies there: the object stores events (key job, id; indexes on id and
// on position), summaries (id), versions (kind, id, version), newest (kind,
// id), files (hash), kept (hash: what a file is and when it was last kept),
// notes (anything small the host wants kept), mark (one text, another one after
// whatever was written) and pages (the worker's, which keeps answers there by the
// mark). Ids in keys begin with a k, so that
// none can be empty or begin with what JavaScript strips. A database that an older
// version made is taken over when it is opened; an older program refuses a newer one.
package indexed
