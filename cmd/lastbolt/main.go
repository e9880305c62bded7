// Command lastbolt goes through a repair with a mechanic who works alone.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	"lastbolt/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := cli.Run(ctx, os.Args[1:], cli.System())
	stop()
	os.Exit(code)
}
