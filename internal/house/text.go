package house

import (
	"bytes"
	"fmt"
	"go/parser"
	"go/token"
	"path"
	"path/filepath"
	"regexp"
	"strings"
)

// File is a file of the tree, by slash path from the module's root.
type File struct {
	Path string
	Data []byte
}

// maxLines is what a reader can take in at one sitting; past it a file holds
// two ideas.
const maxLines = 700

// written are the endings of files that people write and read as code.
const written = ".go .templ .ts .js .mjs .css .sql .sh"

// TooLong finds hand-written source files over the limit.
func TooLong(files []File) []Breach {
	var found []Breach
	for _, f := range files {
		if !has(written, path.Ext(f.Path)) || generated(f.Data) {
			continue
		}
		if n := bytes.Count(f.Data, []byte("\n")); n > maxLines {
			found = append(found, Breach{f.Path, fmt.Sprintf("has %d lines, over %d; split it where the subject changes", n, maxLines)})
		}
	}
	return found
}

// generatedMark is Go's convention, see `go help generate`.
var generatedMark = regexp.MustCompile(`(?m)^(//|/\*) Code generated .* DO NOT EDIT\.`)

func generated(data []byte) bool { return generatedMark.Match(data) }

// unwanted are texts that have no place in the tree. They are written so that
// this file does not match itself.
var unwanted = []struct {
	pattern *regexp.Regexp
	why     string
	except  string // the files where it is meant
}{
	{regexp.MustCompile("(?:^|[\\s\"'`(=:])/(?:home|root|work|tmp|Users)/\\w"), "a path of one machine; use a path from the module's root", ""},
	{regexp.MustCompile(`\b[A-Z]:\\Users\\`), "a path of one machine; use a path from the module's root", ""},
	{regexp.MustCompile(`\.\./shared\b`), "a folder outside the checkout; tests find it through LASTBOLT_DATA", ".ci/run"},
	{regexp.MustCompile(`(?i)transcript\s+of`), "say what the text is for, not where it came from", ""},
	{regexp.MustCompile(`(?i)\bas\s+(?:requested|instructed)\b|\b(?:per|in)\s+the\s+brief\b`), "say why it is so, not who asked", ""},
	{regexp.MustCompile(`(?i)\bissues?\s+#?\d`), "say what is wrong here; numbers elsewhere go stale", ""},
	{regexp.MustCompile(`\b(?:T[O]DO|F[I]XME|X[X]X)\b`), "finish it, or state the limit as a sentence in the doc comment", ""},
	{regexp.MustCompile(`(?i)lorem\s+ipsum`), "write the real words", ""},
	{regexp.MustCompile(`(?m)^(?:<{7}|>{7}) `), "an unfinished merge", ""},
	{regexp.MustCompile(`\b(?:proxy|registry|sum)\.\w+\.(?:org|com)\b`), "a registry's host; name the package instead", ""},
}

// Unwanted finds unwanted texts in files and file names. Binary files and
// checksum lists are passed over.
func Unwanted(files []File) []Breach {
	var found []Breach
	for _, f := range files {
		if path.Ext(f.Path) == ".sum" || binary(f.Data) {
			continue
		}
		for _, u := range unwanted {
			if f.Path == u.except {
				continue
			}
			if m := u.pattern.FindString(f.Path); m != "" {
				found = append(found, Breach{f.Path, fmt.Sprintf("the file's name has %q: %s", m, u.why)})
			}
			for _, at := range u.pattern.FindAllIndex(f.Data, -1) {
				line := 1 + bytes.Count(f.Data[:at[0]], []byte("\n"))
				text := strings.TrimSpace(string(f.Data[at[0]:at[1]]))
				found = append(found, Breach{fmt.Sprintf("%s:%d", f.Path, line), fmt.Sprintf("%q: %s", text, u.why)})
			}
		}
	}
	return found
}

// binary uses Git's own test: a zero byte near the beginning.
func binary(data []byte) bool {
	return bytes.IndexByte(data[:min(len(data), 8000)], 0) >= 0
}

// Uncommented finds packages without a package comment: the place where a
// reader learns what a package is, where to start and what it will not do.
func Uncommented(packages []Package) []Breach {
	var found []Breach
	for _, p := range packages {
		commented := false
		names := append(append([]string{}, p.GoFiles...), p.IgnoredGoFiles...)
		for _, name := range names {
			tree, err := parser.ParseFile(token.NewFileSet(), filepath.Join(p.Dir, name), nil, parser.PackageClauseOnly|parser.ParseComments)
			commented = commented || err == nil && tree.Doc != nil && !generatedMark.MatchString("// "+tree.Doc.Text())
		}
		if !commented && len(names) > 0 {
			found = append(found, Breach{p.ImportPath, "has no package comment; write what it is, where to start and what it will not do"})
		}
	}
	return found
}
