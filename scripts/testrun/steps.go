package main

import (
	"os"
	"strings"
)

// A step is one thing `make test` does; its name is also a make target.
type step struct {
	name  string
	why   string
	run   func(*runner)
	extra bool // only when named
}

// steps returns every step in the order of running: what is quick and most
// often wrong comes first.
func steps() []step {
	return []step{
		{name: "tools", why: "what the tests use is there, or is named as missing", run: provideNeeds},
		{name: "format", why: "gofmt has nothing to change", run: checkFormat},
		{name: "generated", why: "the generators change no committed file", run: checkGenerated},
		{name: "vet", why: "likely mistakes, for this machine and for the phone", run: checkVet},
		{name: "staticcheck", why: "mistakes the compiler lets pass", run: checkStatic},
		{name: "types", why: "the pages' scripts are sound by their types, which the bundler strips unread", run: checkTypes},
		{name: "house", why: "floors, pure engines, short files, plain words", run: houseTests},
		{name: "phone", why: "the pages and all below them build for the phone", run: buildPhone},
		{name: "unit", why: "every package, fuzz seeds and command-line scripts included", run: unitTests},
		{name: "race", why: "the race detector, where goroutines meet", run: raceTests},
		{name: "browser", why: "the pages in a real browser", run: browserTests},
		{name: "generate", why: "write the generated files anew", run: generate, extra: true},
		{name: "fuzz", why: "new inputs for every fuzz test", run: fuzz, extra: true},
		{name: "vuln", why: "known vulnerabilities the program reaches", run: vulnerabilities, extra: true},
	}
}

// racing are the folders where goroutines meet; the race detector makes tests
// several times slower, so the engines, which have no goroutines, are left out.
var racing = []string{"web", "store", "cli"}

// alone are tests of those folders in which no goroutine meets another for long:
// one client that opens hundreds of pages, commands that only calculate. They
// take a third of the detector's time, and the unit step runs them.
const alone = "^TestEveryLinkOfThePagesOpens$|^TestCommands$/^(badmaps|basics|boltcard|calc|maps|names|plan)$"

// phoneRooms are the folders that must also run inside the phone's browser,
// where there are no files, sockets or SQL.
var phoneRooms = []string{"quantity", "calc", "plan", "garage", "job", "paper", "web"}

// browserRooms hold the tests that drive a browser; they get a step of their
// own so that their time shows.
var browserRooms = []string{"browsertest", "internal/browser"}

func checkFormat(r *runner) {
	files, err := r.capture("git", "ls-files", "-co", "--exclude-standard", "*.go")
	if err != nil {
		r.fail("format", "git could not list the files")
		return
	}
	names := existing(strings.Fields(files))
	wrong, err := r.capture("gofmt", append([]string{"-l"}, names...)...)
	switch {
	case err != nil:
		r.fail("format", "gofmt could not read a file")
	case wrong != "":
		r.say("not laid out by gofmt; mend with: gofmt -w %s", strings.Join(strings.Fields(wrong), " "))
		r.fail("format", "gofmt would change "+strings.Join(strings.Fields(wrong), ", "))
	default:
		r.pass("format")
	}
}

// existing drops names that git still lists but that are gone from the disk.
func existing(names []string) []string {
	var there []string
	for _, name := range names {
		if _, err := os.Stat(name); err == nil {
			there = append(there, name)
		}
	}
	return there
}

func checkVet(r *runner) {
	r.command("vet", nil, "go", "vet", "./...")
	if isDir("web/ui/bundle") { // a module of its own
		r.command("vet of the UI bundler", nil, "go", "vet", "-C", "web/ui/bundle", "./...")
	}
	if isDir("cmd/phone") {
		r.command("vet for the phone", phoneEnv, "go", "vet", "./cmd/phone/...")
	}
}

func checkStatic(r *runner) {
	r.command("staticcheck", nil, "go", "tool", "-modfile=tools.mod", "staticcheck", "./...")
}

func checkTypes(r *runner) {
	const sources, tsc = "web/ui/src", nodeFolder + "/node_modules/.bin/tsc"
	if !isDir(sources) {
		return
	}
	if _, err := os.Stat(tsc); err != nil {
		r.skip("types", "the TypeScript compiler is missing; install it with: make tools")
		return
	}
	r.command("types", nil, tsc, "--noEmit", "-p", sources)
}

func houseTests(r *runner) { r.test("./internal/house/...") }

var phoneEnv = []string{"GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0"}

// buildPhone compiles the libraries of the phone's rooms and the phone's own
// program. Commands inside those rooms, such as the UI bundler, run on the
// developer's machine and are left out.
func buildPhone(r *runner) {
	packages := r.packages(phoneRooms, func(p goPackage) bool { return p.Name != "main" })
	if isDir("cmd/phone") {
		r.command("phone program", phoneEnv, "go", "build", "-o", ".cache/phone.wasm", "./cmd/phone")
	}
	if len(packages) == 0 {
		r.skip("phone build", "there is no package to build for the phone yet")
		return
	}
	r.command("phone build", phoneEnv, "go", append([]string{"build"}, packages...)...)
}

func unitTests(r *runner) {
	elsewhere := append([]string{"internal/house"}, browserRooms...)
	packages := r.packages(nil, func(p goPackage) bool { return !inRooms(p.ImportPath, elsewhere) })
	r.test(packages...)
}

func raceTests(r *runner) {
	if _, err := r.capture("gcc", "--version"); err != nil {
		r.skip("race detector", "the race detector needs cgo and a C compiler; install gcc")
		return
	}
	packages := r.packages(racing, nil)
	if len(packages) == 0 {
		r.skip("race detector", "none of "+strings.Join(racing, ", ")+" is there yet")
		return
	}
	r.env = []string{"CGO_ENABLED=1"}
	r.test(append([]string{"-race", "-skip", alone}, packages...)...)
	r.env = nil
}

func browserTests(r *runner) {
	// One package at a time: each starts a browser, and two on two cores make
	// both miss their deadlines.
	r.test(append([]string{"-p=1"}, r.packages(browserRooms, nil)...)...)
}
