package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// A need is a program that some tests use and that is not part of the module.
type need struct {
	program string // looked up in PATH
	debian  string // package that brings it
	use     string
}

var needs = []need{
	{"chromium", "chromium", "browser tests"},
	{"certutil", "libnss3-tools", "phones that trust the shop's certificate, in browser tests"},
	{"pdftoppm", "poppler-utils", "looking at printed pages"},
	{"pdftotext", "poppler-utils", "reading printed pages"},
	{"glpsol", "glpk-utils", "planner checked against an exact solver"},
	{"cbc", "coinor-cbc", "planner checked against an exact solver"},
	{"gringo", "gringo", "planner checked against answer sets"},
	{"clasp", "clasp", "planner checked against answer sets"},
	{"initdb", "postgresql", "everything kept in PostgreSQL"},
}

// nodeFolder holds the node packages that tests read; git ignores it.
const nodeFolder = ".cache/node"

// nodePackages are name@version, pinned so that a run means the same tomorrow.
var nodePackages = []string{"axe-core@4.14.1", "highs@1.15.3", "typescript@7.0.2"}

// provideNeeds installs what is missing where that is possible without asking,
// and otherwise says which command does it. A missing need is counted as
// skipped here: the tests that want it skip too, with their own reason.
func provideNeeds(r *runner) {
	if missing := missingNeeds(lookable); len(missing) > 0 {
		installDebian(r, missing)
	}
	for _, n := range missingNeeds(lookable) {
		r.skip("tool "+n.program, n.program+" is missing, used for "+n.use+"; install it with: "+aptLine([]need{n}))
	}
	installNode(r)
}

func lookable(program string) bool {
	if _, err := exec.LookPath(program); err == nil {
		return true
	}
	// Debian keeps the server's own programs out of PATH.
	found, err := filepath.Glob("/usr/lib/postgresql/*/bin/" + program)
	return err == nil && len(found) > 0
}

func missingNeeds(have func(string) bool) []need {
	var missing []need
	for _, n := range needs {
		if !have(n.program) {
			missing = append(missing, n)
		}
	}
	return missing
}

// aptLine is the command that installs the needs, each package once.
func aptLine(missing []need) string {
	seen := map[string]bool{}
	line := "apt-get install -y --no-install-recommends"
	for _, n := range missing {
		if !seen[n.debian] {
			seen[n.debian] = true
			line += " " + n.debian
		}
	}
	if os.Geteuid() != 0 {
		line = "sudo " + line
	}
	return line
}

func installDebian(r *runner, missing []need) {
	line := aptLine(missing)
	if os.Geteuid() != 0 || !lookable("apt-get") {
		r.say("missing tools; install them with:\n  %s", line)
		return
	}
	r.say("$ %s", line)
	for _, argv := range [][]string{{"apt-get", "update", "-qq"}, strings.Fields(line)} {
		if out, err := quiet(argv, "DEBIAN_FRONTEND=noninteractive"); err != nil {
			r.say("%s\n%s: %v", out, strings.Join(argv, " "), err)
		}
	}
}

func installNode(r *runner) {
	var missing []string
	for _, p := range nodePackages {
		name, version, _ := strings.Cut(p, "@")
		manifest, err := os.ReadFile(filepath.Join(nodeFolder, "node_modules", name, "package.json"))
		if err != nil || !strings.Contains(string(manifest), `"`+version+`"`) {
			missing = append(missing, p)
		}
	}
	if len(missing) == 0 {
		return
	}
	line := append([]string{"npm", "install", "--no-audit", "--no-fund", "--ignore-scripts", "--prefix", nodeFolder}, nodePackages...)
	r.say("$ %s", strings.Join(line, " "))
	if !lookable("npm") {
		r.skip("node packages", "npm is missing; install Node.js, then run: "+strings.Join(line, " "))
		return
	}
	if err := os.MkdirAll(nodeFolder, 0o755); err != nil {
		r.fail("node packages", err.Error())
		return
	}
	if out, err := quiet(line); err != nil {
		r.say("%s", out)
		r.skip("node packages", "npm could not fetch "+strings.Join(missing, ", ")+"; run: "+strings.Join(line, " "))
	}
}

// quiet runs a command and returns its output, for showing on failure only.
func quiet(argv []string, env ...string) (string, error) {
	cmd := exec.Command(argv[0], argv[1:]...)
	cmd.Env = append(os.Environ(), env...)
	out, err := cmd.CombinedOutput()
	return string(out), err
}
