package cli

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"text/tabwriter"

	"github.com/andybalholm/brotli"

	"lastbolt/fault"
	"lastbolt/web/phone"
)

// phoneProgram names the program that phones run.
type phoneProgram struct {
	Program string `arg:"--program" help:"Compiled program of the phone, plain or compressed with brotli or gzip, if this binary carries none or another is wanted." placeholder:"FILE.wasm"`
	Glue    string `arg:"--glue" help:"The Go release's wasm_exec.js that fits --program." placeholder:"FILE.js"`
}

type siteCommand struct {
	phoneProgram
	To string `arg:"positional,required" help:"Folder to write the files into; it is made if it is not there."`
}

// Run writes Lastbolt as static files and prints what a phone fetches.
func (c siteCommand) Run(env *Env) error {
	program, err := c.phoneProgram.program()
	if err != nil {
		return err
	}
	site, err := phone.Site(program)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(c.To, 0o755); err != nil {
		return fault.Wrap(err, fault.ReadOnly, "The folder %q could not be made: check that the one around it is yours, or name another", c.To)
	}
	table := tabwriter.NewWriter(env.Out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(table, "bytes\tcompressed\t  file\t")
	var plain, packed int
	for _, name := range slices.Sorted(maps.Keys(site)) {
		if err := writeWhole(filepath.Join(c.To, name), site[name]); err != nil {
			return err
		}
		small := compressed(site[name])
		plain, packed = plain+len(site[name]), packed+small
		fmt.Fprintf(table, "%d\t%d\t  %s\t\n", len(site[name]), small, name)
	}
	fmt.Fprintf(table, "%d\t%d\t  together\t\n", plain, packed)
	if err := table.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(env.Err, "Serve %s over https at the top of a name, as in https://name.example/, with any host for files. Nothing is sent to it.\n", c.To)
	return nil
}

// writeWhole writes a file as [output] does: never half of it under its name.
func writeWhole(name string, content []byte) error {
	out, commit, err := output(nil, name)
	if err != nil {
		return err
	}
	_, err = out.Write(content)
	return commit(err)
}

// program gives the one that is named, or else the one inside this binary.
func (c phoneProgram) program() (phone.Program, error) {
	built, carried := phone.Built()
	if c.Program == "" {
		if !carried {
			return built, fault.New(fault.NotFound, "This lastbolt was built without the phone's program: build it with make build, or name one with --program FILE.wasm --glue wasm_exec.js (make phone-program makes both)")
		}
		built.Open = fromBrotli
		return built, nil
	}
	if c.Glue == "" {
		return built, usage("A program needs the wasm_exec.js of the Go release that compiled it: add --glue FILE.js, from lib/wasm in the folder that go env GOROOT prints")
	}
	wasm, err := os.ReadFile(c.Program)
	if err != nil {
		return built, unreadable(c.Program, err)
	}
	glue, err := os.ReadFile(c.Glue)
	if err != nil {
		return built, unreadable(c.Glue, err)
	}
	plain, err := unpacked(wasm)
	if err != nil {
		return built, fault.Wrap(err, fault.Damaged, "The file %q is cut short or damaged: build it again", c.Program)
	}
	switch {
	case !bytes.HasPrefix(plain, []byte("\x00asm")):
		return built, status{fault.New(fault.Bad, "The file %q is no WebAssembly program: build one with GOOS=js GOARCH=wasm go build ./cmd/phone", c.Program), exitFile}
	case len(plain) == len(wasm):
		return phone.Pack(wasm, glue)
	case bytes.HasPrefix(wasm, gzipMark):
		return phone.Program{Wasm: wasm, Glue: glue}, nil
	}
	return phone.Program{Brotli: wasm, Glue: glue, Open: fromBrotli}, nil
}

var gzipMark = []byte{0x1f, 0x8b}

// unpacked is a program that may have been compressed. Brotli has no mark of its
// own: what it does not open is given back as it is.
func unpacked(content []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(content, []byte("\x00asm")):
		return content, nil
	case bytes.HasPrefix(content, gzipMark):
		z, err := gzip.NewReader(bytes.NewReader(content))
		if err != nil {
			return nil, err
		}
		return io.ReadAll(z)
	}
	plain, err := fromBrotli(content)
	if err != nil && bytes.HasPrefix(plain, []byte("\x00asm")) {
		return nil, err
	}
	if err != nil {
		return content, nil
	}
	return plain, nil
}

func fromBrotli(packed []byte) ([]byte, error) {
	return io.ReadAll(brotli.NewReader(bytes.NewReader(packed)))
}

// compressed is how many bytes content has once gzip is through with it; what
// is compressed already stays as it is.
func compressed(content []byte) int {
	n := new(counter)
	z, err := gzip.NewWriterLevel(n, gzip.BestCompression)
	if _, werr := z.Write(content); errors.Join(err, werr, z.Close()) != nil {
		return len(content)
	}
	return min(int(*n), len(content))
}

type counter int

func (c *counter) Write(b []byte) (int, error) { *c += counter(len(b)); return len(b), nil }
