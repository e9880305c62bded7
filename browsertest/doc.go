// Package browsertest walks the finished program in a real browser: the tests
// build the binary, start it on a folder of their own and tap their way
// through jobs as a mechanic does, on a phone or at a desk.
//
// Start at TestAJobFromComplaintToReleasedRecord. The helpers that start, kill
// and seed a server are in server_test.go, those that work a job's pages are in
// walk_test.go. What a single function returns is tested beside it, not here.
package browsertest
