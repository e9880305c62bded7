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
	Brotli []byte // the same, smaller; may be nil
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

// Site returns the files of the site by name. The program lies there as brotli
// if there is that, with what opens it in the worker: it needs nothing of the
// host. The name of the program and the text of the worker change with the
// content, so that a browser sees that there is a new one.
func Site(p Program) (map[string][]byte, error) { return site(p, false) }

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
	site["worker.js"] = slices.Concat(site["kept.js"], []byte("\n"), site["worker.js"])
	delete(site, "kept.js")
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
	if server || p.Brotli == nil {
		delete(site, "brotli.js") // a browser opens what a server sends
	}
	program := programName(p)
	asking := "install.js"
	if !server {
		asking = "start.js"
	}
	site[asking] = slices.Concat(site["getting.js"], []byte("\n"), site[asking])
	delete(site, "getting.js")
	fill(site, asking, "{{program}}", program, "{{bytes}}", fmt.Sprint(len(p.known())))
	if !server {
		fill(site, "index.html", "{{size}}", megabytes(p.known()))
		site["404.html"] = site["index.html"] // for hosts that show it for a page they do not have
	}

	names := slices.Sorted(maps.Keys(site))
	var shell []string
	all := sha256.New()
	for _, name := range names {
		if name != "worker.js" && name != "brotli.js" { // what opens the program is wanted once
			shell = append(shell, "'/"+name+"'")
		}
		all.Write(site[name])
	}
	fill(site, "worker.js", "{{program}}", program, "{{version}}", hex.EncodeToString(all.Sum(nil)[:8]), "{{server}}", kind, "/*{{shell}}*/", strings.Join(shell, ", "))
	if !server {
		site[program] = p.known()
	}
	return site, nil
}

// programName ends in how the program is carried; nothing is read from that.
func programName(p Program) string {
	name := "lastbolt-" + sum(p.known()) + ".wasm"
	if p.Brotli != nil {
		return name + ".br"
	}
	return name + ".gz"
}

func megabytes(content []byte) string { return fmt.Sprintf("%.1f MB", float64(len(content))/1e6) }

func fill(site map[string][]byte, name string, pairs ...string) {
	site[name] = []byte(strings.NewReplacer(pairs...).Replace(string(site[name])))
}

func sum(b []byte) string {
	s := sha256.Sum256(b)
	return hex.EncodeToString(s[:8])
}
