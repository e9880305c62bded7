package browser

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// smallest is the least side of anything to tap, in CSS pixels: our own rule,
// twice the 24 of WCAG 2.2, 2.5.8, for a thumb in a wet glove.
const smallest = 48

// SmallTargets lists what can be tapped on the page but is less than 48 CSS
// pixels wide or high. Links inside a sentence are left out; the label of a
// field counts as part of it.
func (b *Tab) SmallTargets() []string {
	b.t.Helper()
	return Eval[[]string](b, call("smallTargets", smallest))
}

// Overflow lists what is cut off at the sides of the screen, and words cut off
// by the box they are in. What lies in a part that scrolls sideways by itself
// is left out.
func (b *Tab) Overflow() []string {
	b.t.Helper()
	return Eval[[]string](b, call("overflow", b.width))
}

// Axe fails the test for every accessibility violation that axe-core calls
// serious or critical. It skips the test where axe-core is not installed.
func (b *Tab) Axe() {
	b.t.Helper()
	for _, v := range b.Violations() {
		b.t.Errorf("accessibility of %s: %s", b.URL(), v)
	}
}

// axeScript is where `make tools` puts axe-core.
const axeScript = ".cache/node/node_modules/axe-core/axe.min.js"

// violation is the part of axe-core's result that is used.
type violation struct {
	ID, Impact, Help string
	Nodes            []struct {
		HTML           string
		FailureSummary string
	}
}

// Violations returns what axe-core calls serious or critical on the page, one
// sentence a rule, with the elements.
func (b *Tab) Violations() []string {
	b.t.Helper()
	script, err := os.ReadFile(filepath.Join(moduleRoot(), filepath.FromSlash(axeScript)))
	if err != nil {
		b.t.Skip("axe-core is missing, so accessibility was not checked; install it with: make tools")
	}
	// The script ends in a value that cannot be carried back, hence the void.
	b.Do(string(script))
	all := Eval[[]violation](b, `axe.run(document, {resultTypes: ["violations"]}).then((r) => r.violations.map((v) => ({
		ID: v.id, Impact: v.impact, Help: v.help,
		Nodes: v.nodes.map((n) => ({HTML: n.html.slice(0, 200), FailureSummary: n.failureSummary || ""})),
	})))`)
	var found []string
	for _, v := range all {
		if v.Impact != "serious" && v.Impact != "critical" {
			continue
		}
		text := fmt.Sprintf("%s (%s): %s", v.ID, v.Impact, v.Help)
		for _, n := range v.Nodes {
			text += "\n  " + n.HTML + "\n    " + strings.ReplaceAll(n.FailureSummary, "\n", "\n    ")
		}
		found = append(found, text)
	}
	return found
}

// moduleRoot is the folder of go.mod, searched upward from the test's folder.
func moduleRoot() string {
	dir, err := os.Getwd()
	if err != nil {
		return "."
	}
	for d := dir; ; d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, "go.mod")); err == nil {
			return d
		}
		if d == filepath.Dir(d) {
			return dir
		}
	}
}
