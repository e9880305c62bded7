package main

import (
	"os"
	"path/filepath"
	"testing"

	"lastbolt/calc/all"
)

func TestHandbookIsUpToDate(t *testing.T) {
	pages, err := handbook(all.Registry())
	if err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join("..", "handbook")
	for name, want := range pages {
		got, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || string(got) != want {
			t.Errorf("docs/handbook/%s is not what the calculations give (%v): run go run ./docs/generate", name, err)
		}
	}
	there, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	if len(there) != len(pages) {
		t.Errorf("docs/handbook has %d files, want %d: run go run ./docs/generate", len(there), len(pages))
	}
}

func TestEveryCalculationHasAnExampleAndAMethod(t *testing.T) {
	for _, g := range all.Registry().Groups() {
		for _, d := range g.Calculations() {
			if len(d.Example) == 0 || d.Method == "" {
				t.Errorf("%s: the handbook wants an example and a method", d.Name)
			}
		}
	}
}
