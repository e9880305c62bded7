package main

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"context"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"
)

// A served is the program at work as a process of its own.
type served struct {
	cmd    *exec.Cmd
	base   string
	took   time.Duration // from its start to the first page
	client *http.Client
}

// start starts the program and asks for the first page.
func (p *place) start(ctx context.Context, binary string) (*served, error) {
	s := &served{cmd: exec.CommandContext(ctx, binary, "serve", "--listen", "127.0.0.1:0", "--dir", p.dir)}
	s.cmd.Env = append(os.Environ(), "LASTBOLT_DATABASE="+p.url) // not among the arguments, which anybody can read
	s.client = &http.Client{
		Timeout:       30 * time.Second,
		Transport:     &http.Transport{MaxIdleConnsPerHost: 256, DisableCompression: true},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
	said := &beginning{}
	s.cmd.Stderr = said
	out, err := s.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	began := time.Now()
	if err := s.cmd.Start(); err != nil {
		return nil, err
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		return nil, errors.Join(err, s.stop(), errors.New(string(said.text)))
	}
	s.base = strings.TrimSuffix(strings.TrimSpace(line), "/")
	if _, err := s.get(ctx, "/jobs"); err != nil {
		return nil, errors.Join(err, s.stop())
	}
	s.took = time.Since(began)
	return s, nil
}

// A beginning keeps the beginning of what is written: where more is asked than
// can be answered, each page given up is told of.
type beginning struct{ text []byte }

func (b *beginning) Write(p []byte) (int, error) {
	b.text = append(b.text, p[:min(len(p), 4096-len(b.text))]...)
	return len(p), nil
}

func (s *served) stop() error {
	err := s.cmd.Process.Signal(syscall.SIGTERM)
	if e := s.cmd.Wait(); err == nil {
		err = e
	}
	return err
}

func (s *served) get(ctx context.Context, path string) ([]byte, error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.base+path, nil)
	if err != nil {
		return nil, err
	}
	return s.do(r, http.StatusOK)
}

// note records a note in a job, as its form does.
func (s *served) note(ctx context.Context, id string) error {
	form := url.Values{"text": {"The hose is soft to the touch; " + fmt.Sprint(rand.Uint64())}}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, s.base+"/jobs/"+id+"/note", strings.NewReader(form.Encode()))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	_, err = s.do(r, http.StatusSeeOther)
	return err
}

func (s *served) do(r *http.Request, want int) ([]byte, error) {
	a, err := s.client.Do(r)
	if err != nil {
		return nil, err
	}
	defer a.Body.Close()
	body, err := io.ReadAll(a.Body)
	if err == nil && a.StatusCode != want {
		err = fmt.Errorf("%s %s: status %d", r.Method, r.URL.Path, a.StatusCode)
	}
	return body, err
}

// requests asks at a steady rate, whether or not answers have come, and counts
// each request's time from when it was due: a slow answer makes those behind it
// late, and that counts.
func (s *served) requests(ctx context.Context, ids []string) error {
	any := func() string { return ids[rand.IntN(len(ids))] }
	page := func() error { _, err := s.get(ctx, "/jobs/"+any()); return err }
	record := func() error { return s.note(ctx, any()) }
	g := &grid{}
	g.add("requests", "a second", "p50 ms", "p99 ms", "slowest ms", "failed", "processor ms each")
	for _, row := range []struct {
		name string
		rate int
		do   func() error
	}{
		{"the list of jobs", 20, func() error { _, err := s.get(ctx, "/jobs"); return err }},
		{"a search in it", 20, func() error { _, err := s.get(ctx, "/jobs?q=tern+cooler"); return err }},
		{"one after a far page of it", 20, func() error { _, err := s.get(ctx, fmt.Sprintf("/jobs?show=released&from=%d", len(ids)/2)); return err }},
		{"a job", 20, page},
		{"a job", loadRate, page},
		{"a record", 20, record},
		{"a record", loadRate, record},
		{"jobs and records, half each", loadRate, func() error {
			if rand.IntN(2) == 0 {
				return page()
			}
			return record()
		}},
	} {
		before := s.processor()
		r := steady(ctx, row.rate, loadFor, row.do)
		each := (s.processor() - before) / time.Duration(max(len(r.times), 1))
		if err := ctx.Err(); err != nil {
			return err
		}
		g.add(row.name, fmt.Sprint(row.rate), ms(r.at(0.50)), ms(r.at(0.99)), ms(r.at(1)), fmt.Sprint(r.failed), ms(each))
		if r.failed > 0 {
			fmt.Println("failed:", r.err)
		}
	}
	g.print(os.Stdout)
	return nil
}

// answers are what came of one steady rate.
type answers struct {
	times  []time.Duration // sorted
	failed int
	err    error // one of the failures
}

func (r answers) at(share float64) time.Duration {
	if len(r.times) == 0 {
		return 0
	}
	return r.times[min(int(share*float64(len(r.times))), len(r.times)-1)]
}

func steady(ctx context.Context, rate int, span time.Duration, do func() error) answers {
	var r answers
	var mu sync.Mutex
	var group sync.WaitGroup
	began := time.Now()
	for i := range int(span.Seconds() * float64(rate)) {
		due := began.Add(time.Duration(i) * time.Second / time.Duration(rate))
		time.Sleep(time.Until(due))
		if ctx.Err() != nil {
			break
		}
		group.Go(func() {
			err := do()
			took := time.Since(due)
			mu.Lock()
			defer mu.Unlock()
			if r.times = append(r.times, took); err != nil {
				r.failed, r.err = r.failed+1, err
			}
		})
	}
	group.Wait()
	slices.Sort(r.times)
	return r
}

// processor is the processor time that the program has used, as the system
// counts it: what others do meanwhile does not change it much. The database
// server's own is not in it.
func (s *served) processor() time.Duration {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", s.cmd.Process.Pid))
	if err != nil {
		return 0
	}
	// Behind the name, which may hold anything, the twelfth and thirteenth field
	// are hundredths of a second for the program and for the system.
	fields := strings.Fields(string(text[bytes.LastIndexByte(text, ')')+1:]))
	var sum time.Duration
	for _, f := range fields[11:min(13, len(fields))] {
		n, _ := strconv.Atoi(f) // a number, as long as there is /proc
		sum += time.Duration(n) * 10 * time.Millisecond
	}
	return sum
}

// memory is what the process holds, as the system counts it.
func (s *served) memory() string {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", s.cmd.Process.Pid))
	if err != nil {
		return "not known"
	}
	var kB int
	if i := strings.Index(string(text), "VmRSS:"); i >= 0 {
		_, _ = fmt.Sscan(string(text[i+len("VmRSS:"):]), &kB) // 0 where there is no number
	}
	return fmt.Sprintf("%.1f MB", float64(kB)/1000)
}

var linked = regexp.MustCompile(`(?:src|href)="(/[^"#?]*\.(?:css|js|woff2|svg|png|webmanifest)[^"]*)"`)

// weight is what a browser fetches for a job's page the first time.
func (s *served) weight(ctx context.Context, ids []string) error {
	page, err := s.get(ctx, "/jobs/"+ids[len(ids)-1])
	if err != nil {
		return err
	}
	plain, packed := len(page), packedSize(page)
	first := packed
	seen := map[string]bool{}
	for _, m := range linked.FindAllSubmatch(page, -1) {
		if path := string(m[1]); !seen[path] {
			seen[path] = true
			part, err := s.get(ctx, path)
			if err != nil {
				return err
			}
			plain, packed = plain+len(part), packed+packedSize(part)
		}
	}
	fmt.Printf("a job's page with the %d files it names: %.0f kB, compressed %.0f kB; %.0f kB compressed once those are kept\n",
		len(seen), float64(plain)/1000, float64(packed)/1000, float64(first)/1000)
	return nil
}

func packedSize(content []byte) int {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = z.Write(content) // a Buffer takes everything
	_ = z.Close()
	return b.Len()
}
