// Command bench measures the engines, beside general-purpose peers where one
// exists, and prints tables.
//
// Usage:
//
//	go run ./bench [-limit 60s] [-only PEER,PEER] [TABLE...]
//
// Without a table's name it prints all of them but those that take long (load).
// Peers are run as their users
// run them, with a model of ours (encode.go) and a time limit; one that is not
// installed is said so. To add a table, write one file with a function and name
// it in [tables].
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"slices"
	"strings"
	"syscall"
	"time"
)

// A table is one thing to measure.
type table struct {
	name, about string
	run         func(*bench) error
	long        bool // only when named
}

func tables() []table {
	return []table{
		{"planner", "what must come off: cheapest orderable selections", planner, false},
		{"sequence", "in what order: set-up costs and waits", sequences, false},
		{"opening", "whole plans: ways and order together", openings, false},
		{"belt", "how a belt can run: every routing over given pulleys", belts, false},
		{"fluid", "coolant and other fluids: calculations, containers to buy, water's boiling points", fluids, false},
		{"seal", "flat faces by readings, and rings by their measures", seals, false},
		{"phone", "a phone without a server: bytes to fetch, pages warm and from a stopped worker, memory", phones, false},
		{"tighten", "the order of a cover's bolts: time and growth, and against the usual ways", tightens, false},
		{"load", "ten thousand jobs with two million events, on both databases: start, pages, records, memory", loads, true},
	}
}

// bench is what a table works with.
type bench struct {
	ctx   context.Context
	limit time.Duration // for each run of a peer
	only  string        // peers to run, comma-separated; empty: all
	work  string        // a folder for models, removed at the end
	cache string        // a folder for downloads, kept
}

func main() {
	limit := flag.Duration("limit", 60*time.Second, "time limit of each run of a peer")
	only := flag.String("only", "", "run only these peers, comma-separated (none: no peer)")
	flag.Parse()
	if err := run(*limit, *only, flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

func run(limit time.Duration, only string, names []string) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	work, err := os.MkdirTemp("", "bench")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	b := &bench{ctx: ctx, limit: limit, only: only, work: work, cache: cacheFolder()}
	chosen, err := choose(names)
	if err != nil {
		return err
	}
	for _, t := range chosen {
		fmt.Printf("%s: %s\n\n", t.name, t.about)
		if err := t.run(b); err != nil {
			return fmt.Errorf("table %s: %w", t.name, err)
		}
		fmt.Println()
	}
	return nil
}

func choose(names []string) ([]table, error) {
	var known []string
	var chosen []table
	for _, t := range tables() {
		known = append(known, t.name)
	}
	if len(names) == 0 {
		return slices.DeleteFunc(tables(), func(t table) bool { return t.long }), nil
	}
	for _, name := range names {
		found := false
		for _, t := range tables() {
			if t.name == name {
				chosen, found = append(chosen, t), true
			}
		}
		if !found {
			return nil, fmt.Errorf("there is no table %q; the tables are %s", name, strings.Join(known, ", "))
		}
	}
	return chosen, nil
}

// cacheFolder is $XDG_CACHE_HOME/lastbolt, else .cache here (which the
// repository ignores).
func cacheFolder() string {
	if dir := os.Getenv("XDG_CACHE_HOME"); dir != "" {
		return dir + "/lastbolt"
	}
	return ".cache"
}
