package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"github.com/andybalholm/brotli"

	"lastbolt/demo"
	"lastbolt/exchange"
	"lastbolt/store/memory"
	"lastbolt/web/phone"
)

const (
	phoneRounds = 5 // loads of a page; the figures are the median and the slowest
	phoneSlower = 4 // how many times slower the slowed processor is
)

// phones measures the program on a phone without a server: what is fetched, how
// long a page takes that the worker has kept and one that the program makes, each
// from a worker that runs and from one that was stopped, and the memory it holds.
//
// A browser's own slowing of the processor does not reach its workers, so every
// process of the browser is stopped and let go again some hundred times a second
// instead ([slowly]).
func phones(b *bench) error {
	site, err := phoneFolder(b)
	if err != nil {
		return err
	}
	if err := fetched(site); err != nil {
		return err
	}
	var sent atomic.Int64
	host := httptest.NewServer(counting(site, &sent))
	defer host.Close()
	t, closeTab, err := openPhone(b.ctx, host.URL)
	if err != nil {
		return err
	}
	defer closeTab()
	began := time.Now()
	if err := t.load("/jobs"); err != nil {
		return err
	}
	fmt.Printf("first load %s s, %.2f MB sent by a host that compresses nothing itself\n\n", secs(time.Since(began)), float64(sent.Load())/1e6)
	pages, err := t.fill(b.ctx)
	if err != nil {
		return err
	}
	var seen, g, from grid
	seen.add("page seen before, nothing written since (ms: median, slowest)", "warm", "loaded", "stopped", "loaded", "warm/4", "loaded", "stopped/4", "loaded")
	from.add("from a stopped worker (ms: median, slowest)", "find the program", "compile", "run", "first page")
	g.add("page made by the program (ms: median, slowest)", "warm", "loaded", "used", "stopped", "loaded", "used", "warm/4", "loaded", "stopped/4", "loaded")
	for _, p := range pages {
		again, row := []string{p.name}, []string{p.name}
		for _, slower := range []int{1, phoneSlower} {
			for _, stopped := range []bool{false, true} {
				l, err := t.time(p.path, loading{true, stopped, slower})
				if err != nil {
					return err
				}
				again = append(again, spread(l.answered), spread(l.loaded))
				if l, err = t.time(p.path, loading{false, stopped, slower}); err != nil {
					return err
				}
				row = append(row, spread(l.answered), spread(l.loaded))
				if slower == 1 {
					row = append(row, fmt.Sprintf("%.0f", l.used.Seconds()*1000))
				}
				if stopped {
					from.add(split(p.name, slower, l.parts)...)
				}
			}
		}
		seen.add(again...)
		g.add(row...)
	}
	for _, table := range []*grid{&seen, &g, &from} {
		table.print(os.Stdout)
		fmt.Println()
	}
	fmt.Println("warm: until the whole answer is there, and until the page is loaded; used: processor time of all processes of the browser for one load; /4: every process of the browser slowed four times")
	fmt.Println()
	if err := t.ahead(pages); err != nil {
		return err
	}
	return t.memory()
}

func secs(d time.Duration) string { return fmt.Sprintf("%.1f", d.Seconds()) }

// split is one row of where the time from a stopped worker goes.
func split(page string, times int, parts map[string][]time.Duration) []string {
	row := []string{page}
	if times > 1 {
		row[0] += fmt.Sprintf(", /%d", times)
	}
	for _, name := range startParts {
		row = append(row, spread(parts[name]))
	}
	return row
}

func spread(d []time.Duration) string {
	slices.Sort(d)
	return fmt.Sprintf("%.0f %.0f", d[len(d)/2].Seconds()*1000, d[len(d)-1].Seconds()*1000)
}

// phoneFolder is the site as `lastbolt site` writes it, by name.
func phoneFolder(b *bench) (map[string][]byte, error) {
	made := exec.CommandContext(b.ctx, "make", "-s", "phone-program")
	made.Stderr = os.Stderr
	if err := made.Run(); err != nil {
		return nil, err
	}
	packed, err := os.ReadFile("web/phone/built/lastbolt.wasm.br")
	if err != nil {
		return nil, err
	}
	glue, err := os.ReadFile("web/phone/built/wasm_exec.js")
	if err != nil {
		return nil, err
	}
	return phone.Site(phone.Program{Brotli: packed, Glue: glue})
}

// fetched prints how big the program and the rest are, by ways to compress.
func fetched(site map[string][]byte) error {
	var rest, wasm int
	var program []byte
	for name, content := range site {
		if strings.Contains(name, ".wasm") {
			program = content
			wasm = len(content)
			continue
		}
		rest += len(squeezed(content))
	}
	opened, err := io.ReadAll(brotli.NewReader(bytes.NewReader(program)))
	if err != nil {
		return err
	}
	fmt.Printf("to fetch: program %.2f MB as it lies there and as serve sends it (%.1f MB opened), gzip would be %.2f MB; everything else %.0f kB by gzip\n",
		float64(wasm)/1e6, float64(len(opened))/1e6, float64(len(squeezed(opened)))/1e6, float64(rest)/1e3)
	return nil
}

func squeezed(content []byte) []byte {
	var out bytes.Buffer
	z, _ := gzip.NewWriterLevel(&out, gzip.BestCompression) // the level is known
	_, _ = z.Write(content)                                 // into memory
	_ = z.Close()
	return out.Bytes()
}

// counting serves the files as hosts do, with the time they were made, and
// counts the bytes of answers.
func counting(site map[string][]byte, sent *atomic.Int64) http.Handler {
	built := time.Now()
	return http.HandlerFunc(func(plain http.ResponseWriter, r *http.Request) {
		w := counted{plain, sent}
		name := strings.TrimPrefix(r.URL.Path, "/")
		if name == "" {
			name = "index.html"
		}
		content, there := site[name]
		if !there {
			w.Header().Set("Content-Type", "text/html; charset=utf-8")
			w.WriteHeader(http.StatusNotFound)
			_, _ = w.Write(site["404.html"])
			return
		}
		http.ServeContent(w, r, path.Base(name), built, bytes.NewReader(content))
	})
}

// counted counts what an answer carries.
type counted struct {
	http.ResponseWriter
	sent *atomic.Int64
}

func (c counted) Write(b []byte) (int, error) {
	n, err := c.ResponseWriter.Write(b)
	c.sent.Add(int64(n))
	return n, err
}

// A phonePage is one page to time.
type phonePage struct{ name, path string }

var jobLink = regexp.MustCompile(`^[0-9a-f-]{36}$`)

// fill takes the demo's jobs in, and names pages of the longest of them.
func (t *phoneTab) fill(ctx context.Context) ([]phonePage, error) {
	st := memory.New()
	if err := demo.Fill(ctx, st, time.Now()); err != nil {
		return nil, err
	}
	var copied bytes.Buffer
	if _, err := exchange.Export(ctx, &copied, st, exchange.ExportOptions{}); err != nil {
		return nil, err
	}
	if err := t.takeIn(copied.Bytes()); err != nil {
		return nil, err
	}
	jobs, err := st.Jobs(ctx)
	if err != nil {
		return nil, err
	}
	longest, most := "", 0
	for _, id := range jobs {
		events, err := st.Events(ctx, id)
		if err != nil {
			return nil, err
		}
		if len(events) > most && jobLink.MatchString(id) {
			longest, most = id, len(events)
		}
	}
	at := "/jobs/" + longest
	return []phonePage{
		{"jobs in hand", "/jobs"}, {fmt.Sprintf("job of %d events", most), at}, {"its steps", at + "/steps"},
		{"a calculation", "/work-out/torque-advice"},
	}, nil
}
