package main

import (
	"crypto/sha256"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// A generator writes files that are committed.
type generator struct {
	name   string
	folder string // the generator exists when this folder does; "" is always
	argv   []string
	writes func(path string) bool // which files are its output
}

var generators = []generator{
	{"templates", "", []string{"go", "tool", "-modfile=tools.mod", "templ", "generate"},
		func(path string) bool { return strings.HasSuffix(path, "_templ.go") }},
	{"UI bundle", "web/ui/bundle", []string{"go", "run", "-C", "web/ui/bundle", "."},
		func(path string) bool { return strings.HasPrefix(path, "web/ui/dist/") }},
	{"handbook", "docs/generate", []string{"go", "run", "./docs/generate"},
		func(path string) bool { return strings.HasPrefix(path, "docs/") }},
}

// checkGenerated runs every generator and fails when one changes a file. The
// files are left as the generator wrote them: committing them is the mend.
func checkGenerated(r *runner) {
	for _, g := range generators {
		changed, ran := regenerate(r, g)
		switch {
		case !ran:
		case len(changed) > 0:
			r.say("%s changed, commit what was just written: %s", g.name, strings.Join(changed, " "))
			r.fail("generated "+g.name, "out of date: "+strings.Join(changed, ", "))
		default:
			r.pass("generated " + g.name)
		}
	}
}

// generate runs every generator and says what it changed.
func generate(r *runner) {
	for _, g := range generators {
		if changed, ran := regenerate(r, g); ran {
			r.say("%s: %d files changed %s", g.name, len(changed), strings.Join(changed, " "))
			r.pass("generate " + g.name)
		}
	}
}

// regenerate reports whether the generator ran to its end, and the files that
// are different afterwards.
func regenerate(r *runner, g generator) (changed []string, ran bool) {
	if g.folder != "" && !isDir(g.folder) {
		return nil, false
	}
	before, err := fingerprints(".", g.writes)
	if err != nil {
		r.fail("generated "+g.name, err.Error())
		return nil, false
	}
	r.say("$ %s", strings.Join(g.argv, " "))
	if out, err := quiet(g.argv); err != nil {
		r.say("%s", out)
		r.fail("generated "+g.name, strings.Join(g.argv, " ")+": "+err.Error())
		return nil, false
	}
	after, err := fingerprints(".", g.writes)
	if err != nil {
		r.fail("generated "+g.name, err.Error())
		return nil, false
	}
	return differing(before, after), true
}

type fingerprint = [sha256.Size]byte

// fingerprints hashes the wanted files below root, by slash path. Hidden
// folders and node_modules are not ours.
func fingerprints(root string, wanted func(string) bool) (map[string]fingerprint, error) {
	prints := map[string]fingerprint{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() {
			if path != root && (strings.HasPrefix(name, ".") || name == "node_modules") {
				return filepath.SkipDir
			}
			return nil
		}
		rel, err := filepath.Rel(root, path)
		if err != nil || !wanted(filepath.ToSlash(rel)) {
			return err
		}
		data, err := os.ReadFile(path)
		prints[filepath.ToSlash(rel)] = sha256.Sum256(data)
		return err
	})
	return prints, err
}

// differing returns the sorted paths added, removed or changed.
func differing(before, after map[string]fingerprint) []string {
	var changed []string
	for path, print := range after {
		if old, ok := before[path]; !ok || old != print {
			changed = append(changed, path)
		}
	}
	for path := range maps.Keys(before) {
		if _, ok := after[path]; !ok {
			changed = append(changed, path)
		}
	}
	slices.Sort(changed)
	return changed
}
