// Package house checks the rules that hold for the whole source tree and that
// neither the compiler nor a linter knows: who may import whom, that the
// engines compute and do nothing else, that files stay short, and that the
// words in the tree speak of the program alone.
//
// The rules run as the tests of this package; start there. Each rule is a
// function from what was read of the tree to the breaches found, so that it
// can be shown to fail on a small made-up tree. The package mends nothing and
// is imported by nothing.
package house

import (
	"fmt"
	"strings"
)

// A Breach is one place where a rule does not hold.
type Breach struct {
	Where string // file, file:line or import path
	What  string // what is wrong and how to mend it
}

func (b Breach) String() string { return b.Where + ": " + b.What }

// Package is what the rules need of one package of the module.
type Package struct {
	ImportPath     string
	Name           string // of the package clause
	Dir            string // absolute
	GoFiles        []string
	IgnoredGoFiles []string // for other systems; the rules hold there too
	Imports        []string // by production code, directly
	Deps           []string // by production code, in the end
}

// Module is the module's path; an import below it is our own.
const Module = "lastbolt"

// Room is the top folder of an import path of ours, "" for any other.
func Room(importPath string) string {
	rest, ours := strings.CutPrefix(importPath, Module+"/")
	if !ours {
		return ""
	}
	room, _, _ := strings.Cut(rest, "/")
	return room
}

// A Layer says what the code of a room may touch.
type Layer int

const (
	// Engine code computes: no files, network, database, clock or chance.
	Engine Layer = iota
	// Hosted code also runs in the phone's browser: its host hands it a store,
	// a clock and ids, so it has no files, database or clock of its own.
	Hosted
	// Host code touches the machine.
	Host
)

// rooms is the house plan: every top folder with Go code, and which other
// rooms, or folders of them, its production code may import. Anything lower may be used by
// anything higher, never the other way round, so that an engine can be read,
// tested and reused without knowing that there are jobs, pages or a database.
var rooms = map[string]struct {
	layer     Layer
	mayImport string
}{
	"fault":    {Engine, ""},
	"pattern":  {Engine, ""},
	"quantity": {Engine, "fault"},
	"calc":     {Engine, "fault pattern quantity plan"},
	"plan":     {Engine, "fault pattern quantity calc"},
	"photo":    {Engine, "fault"},
	"clip":     {Engine, "fault"},

	"garage":    {Hosted, "fault pattern quantity calc plan job"},
	"job":       {Hosted, "fault quantity calc plan garage"},
	"published": {Hosted, "fault quantity calc plan"},
	"demo":      {Hosted, "fault quantity calc plan garage job"},
	"keep":      {Hosted, "fault quantity calc plan garage job"},
	"exchange":  {Hosted, "fault pattern quantity calc plan garage job keep photo clip"},
	"paper":     {Hosted, "fault quantity calc plan garage job photo web/draw web/valley"}, // one drawing, on screen and on paper
	"web":       {Hosted, "fault pattern quantity calc plan garage job published demo paper photo clip exchange keep"},

	"store": {Host, "fault quantity calc plan garage job keep"},
	"lan":   {Host, "fault job exchange/replicate web"}, // its few pages wear the same look
	"cli":   {Host, "fault pattern quantity calc plan garage job published demo paper web store lan photo clip exchange keep"},
	"cmd":   {Host, "fault quantity calc plan garage job published demo paper web store lan cli photo clip exchange keep"},

	// Beside the house: nothing imports these.
	"bench":       {Host, "fault quantity calc plan garage job published demo paper web store lan cli internal photo clip exchange keep"},
	"browsertest": {Host, "fault quantity calc plan garage job published demo paper web store lan cli internal photo clip exchange keep"},
	"docs":        {Host, "fault quantity calc plan garage job published demo web/draw"},
	"internal":    {Host, ""},
	"scripts":     {Host, ""},
}

// Upward finds imports that the house plan does not allow. Tests may import
// anything: they wire rooms together to try them.
func Upward(packages []Package) []Breach {
	var found []Breach
	for _, p := range packages {
		from := Room(p.ImportPath)
		plan, known := rooms[from]
		if !known {
			found = append(found, Breach{p.ImportPath,
				fmt.Sprintf("the folder %q is not in the house plan; add it to the table in internal/house with what it may import", from)})
			continue
		}
		for _, path := range p.Imports {
			to := Room(path)
			if to == "" || to == from || allowed(plan.mayImport, path) {
				continue
			}
			found = append(found, Breach{p.ImportPath,
				fmt.Sprintf("imports %s, but %s may import only: %s", path, from, orNothing(plan.mayImport))})
		}
	}
	return found
}

// allowed tells whether an import of ours lies in one of the listed folders.
func allowed(list, importPath string) bool {
	path := strings.TrimPrefix(importPath, Module+"/")
	for _, folder := range strings.Fields(list) {
		if path == folder || strings.HasPrefix(path, folder+"/") {
			return true
		}
	}
	return false
}

func has(list, word string) bool {
	for _, w := range strings.Fields(list) {
		if w == word {
			return true
		}
	}
	return false
}

func orNothing(list string) string {
	if list == "" {
		return "nothing of ours"
	}
	return strings.Join(strings.Fields(list), ", ")
}
