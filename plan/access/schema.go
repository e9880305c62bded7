package access

import (
	_ "embed"
	"slices"
)

//go:embed schema.json
var schema []byte

// Schema gives the JSON Schema (draft 2020-12) of map files. It describes
// shapes: Check finds more, such as names that do not exist and circles.
func Schema() []byte { return slices.Clone(schema) }
