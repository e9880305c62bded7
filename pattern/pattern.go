// Package pattern makes regular expressions when they are first wanted. On a
// phone the program starts anew whenever the browser has stopped it, and no page
// should wait for expressions that it does not use.
//
// Start at [Of]. An expression that cannot be read is a fault of the program
// and panics, as with regexp.MustCompile, at its first use.
package pattern

import (
	"regexp"
	"sync"
)

// Of gives a function that makes the expression at its first call and the same
// one from then on. It may be called from several goroutines.
func Of(expression string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expression) })
}
