// Command generate writes the handbook, docs/handbook, from the registry of
// calculations: a page for each with what it asks, how it works, a worked
// example, its cautions and sources, and the published values it is checked
// against. Run it from the top of the tree after changing a calculation:
//
//	go run ./docs/generate
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"lastbolt/calc/all"
)

func main() {
	pages, err := handbook(all.Registry())
	if err == nil {
		err = write(filepath.Join("docs", "handbook"), pages)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

// write replaces the folder's pages with those given.
func write(dir string, pages map[string]string) error {
	old, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		return err
	}
	for _, name := range old {
		if _, kept := pages[filepath.Base(name)]; !kept {
			if err := os.Remove(name); err != nil {
				return err
			}
		}
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	for name, text := range pages {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			return err
		}
	}
	return nil
}
