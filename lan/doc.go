// Package lan lets phones on the local network in, and nobody else: TLS from a
// certificate authority of its own, pairing by a code that is good once and
// for minutes, paired devices that can be named and put out again, and the
// people who share them.
//
// Start with [Open], which makes or reads what is kept in one folder, then
// [Door.Network] for what the network sees and [Door.Local] for the machine
// itself, where there is no ceremony. [Door.Serve] takes the port that answers TLS
// and, on plain HTTP, only says how to come to trust the certificate.
//
// Whatever is not on the short list in [Door.Network] is answered with the same
// page for every address, whether there is something there or not. The package
// knows nothing of jobs but who records (see [job.WithPerson]); it does not
// try to be reachable from outside the local network.
package lan
