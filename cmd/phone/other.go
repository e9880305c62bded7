//go:build !js

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "This program runs in a phone's browser: lastbolt site writes the files for it.")
	os.Exit(2)
}
