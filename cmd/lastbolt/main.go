// Command lastbolt goes through a repair with a mechanic who works alone.
package main

import (
	"os"

	"lastbolt/cli"
)

func main() { os.Exit(cli.Main()) }
