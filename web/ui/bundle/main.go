// Command bundle makes web/ui/dist from web/ui/css, web/ui/src,
// web/ui/fonts and web/ui/img. Run it after changing any of them, from the repository's root:
//
//	go run -C web/ui/bundle .
//
// It is a module of its own, so that the bundler is never part of the program.
// Every file it writes carries a checksum in its name; manifest.json maps the
// plain name to that one, and keeps a checksum of the sources by which a test
// in package ui notices a bundle that is out of date.
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/evanw/esbuild/pkg/api"
)

func main() {
	if err := run(".."); err != nil {
		fmt.Fprintln(os.Stderr, "bundle:", err)
		os.Exit(1)
	}
}

func run(ui string) error {
	if err := drawIcons(filepath.Join(ui, "img")); err != nil {
		return err
	}
	sum, err := sourceSum(ui)
	if err != nil {
		return err
	}
	root, err := filepath.Abs(ui)
	if err != nil {
		return err
	}
	result := api.Build(api.BuildOptions{
		AbsWorkingDir:     root,
		EntryPoints:       append([]string{"src/app.ts", "css/app.css", "img/mark.svg"}, iconFiles()...),
		EntryNames:        "[name]-[hash]",
		AssetNames:        "[name]-[hash]",
		Outdir:            "dist",
		Bundle:            true,
		Format:            api.FormatIIFE,
		Target:            api.ES2020,
		Charset:           api.CharsetUTF8,
		MinifyWhitespace:  true,
		MinifySyntax:      true,
		MinifyIdentifiers: true,
		Loader:            map[string]api.Loader{".woff2": api.LoaderFile, ".svg": api.LoaderCopy, ".png": api.LoaderCopy},
		LogLevel:          api.LogLevelWarning,
	})
	if len(result.Errors) > 0 {
		return fmt.Errorf("%d errors, see above; dist is unchanged", len(result.Errors))
	}
	return write(filepath.Join(root, "dist"), result.OutputFiles, sum)
}

// write replaces the folder's content by the bundle, the fonts' licence and
// the manifest.
func write(dist string, files []api.OutputFile, sum string) error {
	if err := os.RemoveAll(dist); err != nil {
		return err
	}
	if err := os.MkdirAll(dist, 0o755); err != nil {
		return err
	}
	manifest := struct {
		Sources string            `json:"sources"`
		Files   map[string]string `json:"files"`
	}{sum, map[string]string{}}
	for _, f := range files {
		name := filepath.Base(f.Path)
		manifest.Files[plainName(name)] = name
		if err := os.WriteFile(filepath.Join(dist, name), f.Contents, 0o644); err != nil {
			return err
		}
		fmt.Printf("%8d  %s\n", len(f.Contents), name)
	}
	licence, err := os.ReadFile(filepath.Join(dist, "..", "fonts", "OFL.txt"))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dist, "OFL.txt"), licence, 0o644); err != nil {
		return err
	}
	text, err := json.MarshalIndent(manifest, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dist, "manifest.json"), append(text, '\n'), 0o644)
}

// plainName takes the checksum out: app-2XJ4.css is app.css.
func plainName(name string) string {
	ext := filepath.Ext(name)
	stem := strings.TrimSuffix(name, ext)
	if i := strings.LastIndexByte(stem, '-'); i > 0 {
		stem = stem[:i]
	}
	return stem + ext
}
