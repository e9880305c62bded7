package memory_test

import (
	"testing"

	"lastbolt/keep"
	"lastbolt/store/memory"
	"lastbolt/store/storetest"
)

func TestMemoryBehavesAsAStore(t *testing.T) {
	storetest.Run(t, func(*testing.T) keep.Backend { return memory.New() })
}
