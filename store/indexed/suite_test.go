//go:build js && wasm

package indexed_test

import (
	"fmt"
	"testing"
	"time"

	"lastbolt/keep"
	"lastbolt/store/indexed"
	"lastbolt/store/storetest"
)

// It runs in a browser: package browsertest has the page that runs it.
func TestTheBrowsersDatabaseBehavesAsAStore(t *testing.T) {
	n := 0
	storetest.Run(t, func(t *testing.T) keep.Backend {
		n++
		st, err := indexed.Open(t.Context(), fmt.Sprintf("suite-%d-%d", time.Now().UnixNano(), n))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(st.Close)
		return st
	})
}
