// Package phone is Lastbolt as a folder of static files: a first page, the
// worker that answers every other page on the phone itself, and the program
// that the worker runs.
//
// Start at [Site]. Any host that serves files over https at the top of a name
// will do; nothing is sent to it. The program itself is package cmd/phone
// compiled for js/wasm: [Built] is the one inside this binary, if it was built
// with one. The package writes no files; whoever calls does.
package phone

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strings"

	"lastbolt/web/ui"
)

//go:embed files
var files embed.FS

// A Program is what the worker runs.
type Program struct {
	Wasm   []byte // compressed with gzip, which every browser opens; may be made from Brotli
	Brotli []byte // the same, smaller: only for a server that can ask the browser; may be nil
	Glue   []byte // wasm_exec.js of the Go release that compiled it

	// Open takes Brotli apart. The host brings it, so that the program itself need
	// not carry what opens it.
	Open func(brotli []byte) ([]byte, error)
}

// Gzipped is the program with Wasm filled in.
func (p Program) Gzipped() (Program, error) {
	if p.Wasm != nil || p.Brotli == nil || p.Open == nil {
		return p, nil
	}
	plain, err := p.Open(p.Brotli)
	if err != nil {
		return p, err
	}
	packed, err := Pack(plain, p.Glue)
	p.Wasm = packed.Wasm
	return p, err
}

// known is what tells one program from another.
func (p Program) known() []byte {
	if p.Brotli != nil {
		return p.Brotli
	}
	return p.Wasm
}

// Pack compresses a compiled program.
func Pack(wasm, glue []byte) (Program, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err == nil {
		_, err = z.Write(wasm)
	}
	if err == nil {
		err = z.Close()
	}
	return Program{Wasm: b.Bytes(), Glue: glue}, err
}

// Site returns the files of the site by name. The name of the program and the
// text of the worker change with the content, so that a browser sees that there
// is a new one.
func Site(p Program) (map[string][]byte, error) {
	p, err := p.Gzipped()
	if err != nil {
		return nil, err
	}
	return site(p, false)
}

// site makes the files for a host that only keeps files, or for a server that
// the phone exchanges with.
func site(p Program, server bool) (map[string][]byte, error) {
	site := map[string][]byte{}
	list, err := files.ReadDir("files")
	if err != nil {
		return nil, err
	}
	for _, f := range list {
		if site[f.Name()], err = files.ReadFile("files/" + f.Name()); err != nil {
			return nil, err
		}
	}
	site["wasm_exec.js"] = p.Glue
	for _, name := range []string{"icon-192.png", "icon-512.png", "icon-mask-512.png"} {
		site[name] = ui.File(name)
	}
	kind := "no"
	if server {
		kind = "yes"
		site["phone.js"] = append(site["phone.js"], site["exchange.js"]...)
		delete(site, "index.html") // package phone's Handler has a page for it
		delete(site, "start.js")
	} else {
		delete(site, "install.js")
	}
	delete(site, "exchange.js")
	program := programName(p)
	if server {
		fill(site, "install.js", "{{program}}", program)
	} else {
		fill(site, "start.js", "{{program}}", program, "{{bytes}}", fmt.Sprint(len(p.Wasm)))
		fill(site, "index.html", "{{size}}", megabytes(p.Wasm))
		site["404.html"] = site["index.html"] // for hosts that show it for a page they do not have
	}

	names := slices.Sorted(maps.Keys(site))
	var shell []string
	all := sha256.New()
	for _, name := range names {
		if name != "worker.js" {
			shell = append(shell, "'/"+name+"'")
		}
		all.Write(site[name])
	}
	fill(site, "worker.js", "{{program}}", program, "{{version}}", hex.EncodeToString(all.Sum(nil)[:8]), "{{server}}", kind, "/*{{shell}}*/", strings.Join(shell, ", "))
	if !server {
		site[program] = p.Wasm
	}
	return site, nil
}

func programName(p Program) string { return "lastbolt-" + sum(p.known()) + ".wasm.gz" }

func megabytes(content []byte) string { return fmt.Sprintf("%.1f MB", float64(len(content))/1e6) }

func fill(site map[string][]byte, name string, pairs ...string) {
	site[name] = []byte(strings.NewReplacer(pairs...).Replace(string(site[name])))
}

func sum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:8])
}
