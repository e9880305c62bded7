// Command phone is the program as it runs on a phone: the same pages as the
// server's, compiled for js/wasm, answering inside a service worker.
//
// Start at main. The worker (web/phone/files/worker.js) hands over each request
// and takes the answer; what is recorded is kept in the browser's own database.
// It has no network of its own and is no server: `lastbolt serve` is.
package main
