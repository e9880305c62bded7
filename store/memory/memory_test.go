package memory_test

import (
	"testing"

	"lastbolt/store"
	"lastbolt/store/memory"
	"lastbolt/store/storetest"
)

func TestMemoryBehavesAsAStore(t *testing.T) {
	storetest.Run(t, func(*testing.T) store.Backend { return memory.New() })
}
