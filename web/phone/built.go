//go:build phone

package phone

import _ "embed"

// The folder built is made by `make phone-program` and is not kept.

//go:embed built/lastbolt.wasm.br
var wasm []byte

//go:embed built/wasm_exec.js
var glue []byte

// Built is the program inside this binary.
func Built() (p Program, ok bool) { return Program{Brotli: wasm, Glue: glue}, true }
