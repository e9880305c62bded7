package house

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"path"
	"path/filepath"
	"strconv"
	"strings"
)

// deniedImports are packages a layer may not import directly.
var deniedImports = map[Layer]string{
	Engine: "os os/exec os/signal os/user io/ioutil net net/http database/sql syscall plugin flag log log/slog crypto/rand runtime/debug unsafe",
	Hosted: "os os/exec os/signal os/user io/ioutil net database/sql syscall plugin flag",
}

// deniedDeps are packages a layer may not reach even through a library: they
// would bring sockets or a database into a calculation.
var deniedDeps = map[Layer]string{
	Engine: "net/http database/sql os/exec",
	Hosted: "database/sql os/exec",
}

// deniedCalls are functions a layer may not mention, by package path. A result
// that depends on the time or on chance cannot be checked again; whoever calls
// passes the time or the seed in.
var deniedCalls = map[Layer]map[string]string{
	Engine: {
		"time":    "Now Since Until Sleep After AfterFunc Tick NewTimer NewTicker LoadLocation Local",
		"context": "WithTimeout WithTimeoutCause WithDeadline WithDeadlineCause",
	},
	Hosted: {"time": "Now Since Until LoadLocation"},
}

// seeded are the names of the two random packages that make a generator from
// a given seed, or are types. Every other function draws from a hidden one.
const seeded = "New NewSource NewPCG NewChaCha8 NewZipf Rand Source Source64 PCG ChaCha8 Zipf"

// Impure finds what engine and hosted code may not touch. Commands inside
// those rooms, and packages of help for tests (their names end in "test"), run
// on a developer's machine and are left alone.
func Impure(packages []Package) []Breach {
	var found []Breach
	for _, p := range packages {
		plan, known := rooms[Room(p.ImportPath)]
		if !known || plan.layer == Host || p.Name == "main" || strings.HasSuffix(p.Name, "test") {
			continue
		}
		for _, imported := range p.Imports {
			if has(deniedImports[plan.layer], imported) {
				found = append(found, Breach{p.ImportPath, fmt.Sprintf("imports %s; %s", imported, layerRule[plan.layer])})
			}
		}
		for _, dep := range p.Deps {
			if has(deniedDeps[plan.layer], dep) {
				found = append(found, Breach{p.ImportPath, fmt.Sprintf("reaches %s through a library; %s", dep, layerRule[plan.layer])})
			}
		}
		for _, name := range append(append([]string{}, p.GoFiles...), p.IgnoredGoFiles...) {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			found = append(found, impureCalls(plan.layer, filepath.Join(p.Dir, name), nil)...)
		}
	}
	return found
}

var layerRule = map[Layer]string{
	Engine: "an engine computes from what it is given: pass the value in",
	Hosted: "this room also runs in the phone's browser: take it from the host",
}

// impureCalls finds denied names in one file. src is as for parser.ParseFile:
// nil reads the file.
func impureCalls(layer Layer, file string, src any) []Breach {
	fset := token.NewFileSet()
	tree, err := parser.ParseFile(fset, file, src, 0)
	if err != nil {
		return []Breach{{file, "cannot be parsed: " + err.Error()}}
	}
	names := importNames(tree)
	var found []Breach
	ast.Inspect(tree, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		// An identifier that the parser resolved is a local name, not a package.
		id, ok := sel.X.(*ast.Ident)
		if !ok || id.Obj != nil || !denied(layer, names[id.Name], sel.Sel.Name) {
			return true
		}
		at := fset.Position(sel.Pos())
		found = append(found, Breach{fmt.Sprintf("%s:%d", at.Filename, at.Line),
			fmt.Sprintf("uses %s.%s; %s", id.Name, sel.Sel.Name, layerRule[layer])})
		return true
	})
	return found
}

func denied(layer Layer, pkg, name string) bool {
	if pkg == "math/rand" || pkg == "math/rand/v2" {
		return !has(seeded, name)
	}
	return has(deniedCalls[layer][pkg], name)
}

// importNames maps the name a file uses to the package path behind it.
func importNames(tree *ast.File) map[string]string {
	names := map[string]string{}
	for _, spec := range tree.Imports {
		full, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			continue
		}
		name := path.Base(strings.TrimSuffix(full, "/v2"))
		if spec.Name != nil {
			name = spec.Name.Name
		}
		names[name] = full
	}
	return names
}
