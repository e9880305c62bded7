//go:build !phone

package phone

// Built is the program inside this binary; ok is false when it was built
// without the tag phone and so has none.
func Built() (p Program, ok bool) { return Program{}, false }
