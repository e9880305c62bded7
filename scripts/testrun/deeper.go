package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
)

// fuzz looks for new failing inputs in every fuzz test, for FUZZTIME each. An
// input that fails is written below the package's testdata, where it becomes a
// seed of the ordinary run.
func fuzz(r *runner) {
	duration := os.Getenv("FUZZTIME")
	if duration == "" {
		duration = "10s"
	}
	for _, p := range r.list() {
		if len(p.TestGoFiles)+len(p.XTestGoFiles) == 0 {
			continue
		}
		out, err := r.capture("go", "test", "-list", "^Fuzz", p.ImportPath)
		if err != nil {
			r.fail("fuzz "+p.ImportPath, "its tests do not build")
			continue
		}
		for _, line := range strings.Fields(out) {
			if strings.HasPrefix(line, "Fuzz") {
				r.command("fuzz "+p.ImportPath+" "+line, nil,
					"go", "test", "-run=^$", "-fuzz=^"+line+"$", "-fuzztime="+duration, p.ImportPath)
			}
		}
	}
}

// vulnerabilityData is the module that carries the Go vulnerability reports,
// so that the check works from the module proxy alone.
const vulnerabilityData = "golang.org/x/vulndb@v0.0.0-20261105234957-e22db6528018"

// vulnerabilities asks which known vulnerabilities the code can reach. It is
// not part of the default run: it fetches about 70 MB, and its answer changes
// with the reports and not with our code.
func vulnerabilities(r *runner) {
	out, err := r.capture("go", "mod", "download", "-json", vulnerabilityData)
	var module struct{ Dir string }
	if err != nil || json.Unmarshal([]byte(out), &module) != nil || module.Dir == "" {
		r.skip("vulnerabilities", "the vulnerability reports could not be fetched: "+vulnerabilityData)
		return
	}
	database, err := filepath.Abs(".cache/vulndb")
	if err != nil {
		r.fail("vulnerabilities", err.Error())
		return
	}
	if !isDir(database) {
		index := []string{"go", "run", "golang.org/x/vulndb/cmd/indexdb@" + strings.SplitN(vulnerabilityData, "@", 2)[1],
			"-vulns", filepath.Join(module.Dir, "data", "osv"), "-out", database}
		r.say("$ %s", strings.Join(index, " "))
		if out, err := quiet(index); err != nil {
			r.say("%s", out)
			r.fail("vulnerabilities", "the reports could not be indexed: "+err.Error())
			return
		}
	}
	r.command("vulnerabilities", nil, "go", "tool", "-modfile=tools.mod", "govulncheck", "-db", "file://"+database, "./...")
}
