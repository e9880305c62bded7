package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/chromedp/cdproto/serviceworker"
	"github.com/chromedp/chromedp"
)

// A phoneTab is one tab of a browser of its own.
type phoneTab struct {
	ctx  context.Context
	host string
	pid  int // of the browser
}

func openPhone(ctx context.Context, host string) (t *phoneTab, closeTab func(), err error) {
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.DisableGPU, chromedp.WSURLReadTimeout(time.Minute), chromedp.Flag("disable-quic", true))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // Chromium's sandbox refuses root
	}
	allocated, free := chromedp.NewExecAllocator(ctx, options...)
	tab, closeBrowser := chromedp.NewContext(allocated)
	closeTab = func() { closeBrowser(); free() }
	if err := chromedp.Do(tab, chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(3), chromedp.EmulateMobile)); err != nil {
		closeTab()
		return nil, nil, fmt.Errorf("chromium did not start: %w", err)
	}
	t = &phoneTab{tab, host, chromedp.FromContext(tab).Browser.Process().Pid}
	if err := t.do(serviceworker.Enable.Method, func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, serviceworker.Enable, struct{}{})
		return err
	}); err != nil {
		closeTab()
		return nil, nil, err
	}
	return t, closeTab, nil
}

func (t *phoneTab) do(what string, f func(ctx context.Context) error) error {
	ctx, stop := context.WithTimeout(t.ctx, 2*time.Minute)
	defer stop()
	if err := f(ctx); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	return nil
}

// load opens a page and waits until the program on the phone has given it.
func (t *phoneTab) load(path string) error {
	return t.do("open "+path, func(ctx context.Context) error {
		if err := chromedp.Do(ctx, chromedp.Navigate(t.host+path)); err != nil {
			return err
		}
		for {
			there, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`!!navigator.serviceWorker.controller && !!document.querySelector("main") && document.readyState === "complete"`))
			if err == nil && there {
				return nil
			}
			select {
			case <-ctx.Done():
				return errors.New("the phone's program did not come")
			case <-time.After(20 * time.Millisecond):
			}
		}
	})
}

func (t *phoneTab) takeIn(copied []byte) error {
	script := `(async () => {
		const form = new FormData();
		form.append("file", new File([` + strconv.Quote(string(copied)) + `], "copy.json"));
		const answer = await fetch("/phone/copy", {method: "POST", body: form});
		if (!answer.ok) throw new Error("status " + answer.status);
	})()`
	return t.do("take a copy in", func(ctx context.Context) error {
		_, err := chromedp.Run(ctx, chromedp.Evaluate[any](script, chromedp.EvalAwaitPromise))
		return err
	})
}

// pageLoads are the timings of one page's loads.
type pageLoads struct {
	answered, loaded []time.Duration
	parts            map[string][]time.Duration // by [startParts]
	used             time.Duration              // of the processor, for one load
}

// A loading is one way to load a page.
type loading struct {
	kept    bool // by what the worker has kept of it, or by the program
	stopped bool // from a worker that was stopped, or one that runs
	slower  int  // how many times the processor is slowed
}

// time loads a page again and again in one way.
// Used is the processor's time of a load in all processes of the browser, which
// other programs on the machine change little.
func (t *phoneTab) time(path string, how loading) (*pageLoads, error) {
	out := &pageLoads{parts: map[string][]time.Duration{}}
	for range 2 { // the first loads are not counted
		if err := t.load(path); err != nil {
			return nil, err
		}
		time.Sleep(keepingTime)
	}
	var used time.Duration
	for tries := 0; len(out.answered) < phoneRounds; tries++ {
		if err := t.prepare(how); err != nil {
			return nil, err
		}
		before := processor(t.pid)
		back := slowly(t.pid, how.slower)
		err := t.load(path)
		back()
		if err != nil {
			return nil, err
		}
		spent := processor(t.pid) - before
		timing, err := chromedp.Run(t.ctx, chromedp.Evaluate[[]float64](`(() => { const n = performance.getEntriesByType("navigation")[0]; return [n.responseEnd - n.startTime, n.loadEventEnd - n.startTime]; })()`))
		if err != nil {
			return nil, err
		}
		time.Sleep(keepingTime)
		if err := t.split(out, how); err != nil {
			if tries < 2*phoneRounds { // the worker kept the page after it was told to forget it, or not yet
				continue
			}
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		used += spent
		out.answered = append(out.answered, time.Duration(timing[0]*1e6))
		out.loaded = append(out.loaded, time.Duration(timing[1]*1e6))
	}
	out.used = used / phoneRounds
	return out, nil
}

// keepingTime is how long a page is left alone before the next is asked for: the
// worker keeps it, and starts the program behind one that it had kept.
const keepingTime = 800 * time.Millisecond

// prepare brings the worker to where the next load is to find it.
func (t *phoneTab) prepare(how loading) error {
	if how.stopped {
		// To a picture first: a page that is open wakes its worker.
		if err := t.do("leave", func(ctx context.Context) error { return chromedp.Do(ctx, chromedp.Navigate(t.host+"/icon.svg")) }); err != nil {
			return err
		}
	}
	if !how.kept {
		if err := t.do("forget what is kept", func(ctx context.Context) error {
			_, err := chromedp.Run(ctx, chromedp.Evaluate[any](forgetKept, chromedp.EvalAwaitPromise))
			return err
		}); err != nil {
			return err
		}
	}
	if how.stopped {
		return t.stopWorkers()
	}
	return nil
}

const forgetKept = `new Promise((resolve, reject) => {
	const request = indexedDB.open("lastbolt");
	request.onerror = () => reject(request.error);
	request.onsuccess = () => {
		const t = request.result.transaction("pages", "readwrite");
		t.objectStore("pages").clear();
		t.oncomplete = () => { request.result.close(); resolve(true); };
	};
})`

// startParts are the parts of an answer's time that the worker tells of a page
// that the program made.
var startParts = []string{"find", "compile", "run", "page"}

// split adds where the time of the page that is shown went, as its worker says,
// and makes sure that it came in the way that was wanted.
func (t *phoneTab) split(l *pageLoads, how loading) error {
	told, err := chromedp.Run(t.ctx, chromedp.Evaluate[map[string]float64](`Object.fromEntries(performance.getEntriesByType("navigation")[0].serverTiming.map((part) => [part.name, part.duration]))`))
	if err != nil {
		return err
	}
	names := startParts
	if how.kept {
		names = []string{"kept"}
	}
	for _, name := range names {
		if _, there := told[name]; !there {
			return fmt.Errorf("the worker does not tell how long %q took, but %v", name, told)
		}
	}
	for _, name := range names {
		ms := told[name]
		l.parts[name] = append(l.parts[name], time.Duration(ms*1e6))
	}
	return nil
}

func (t *phoneTab) stopWorkers() error {
	return t.do("stop the worker", func(ctx context.Context) error {
		_, err := chromedp.Call(ctx, serviceworker.StopAllWorkers, struct{}{})
		time.Sleep(300 * time.Millisecond) // until it is gone
		return err
	})
}

// slowly lets a process and all its descendants run for one part in times of
// each period only, until back is called.
func slowly(pid, times int) (back func()) {
	if times <= 1 {
		return func() {}
	}
	const running = time.Millisecond
	end, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		var all []int
		for round := 0; ; round++ {
			if round%20 == 0 {
				all = descendants(pid)
			}
			sendAll(all, syscall.SIGSTOP)
			time.Sleep(time.Duration(times-1) * running)
			sendAll(all, syscall.SIGCONT)
			select {
			case <-end:
				return
			case <-time.After(running):
			}
		}
	}()
	return func() { close(end); <-ended }
}

func sendAll(pids []int, s syscall.Signal) {
	for _, pid := range pids {
		_ = syscall.Kill(pid, s) // one that has ended needs none
	}
}

// descendants is a process and every process it started, and so on.
func descendants(root int) []int {
	folders, _ := os.ReadDir("/proc") // where there is none, only the root is slowed
	parent := map[int]int{}
	for _, f := range folders {
		pid, err := strconv.Atoi(f.Name())
		if err != nil {
			continue
		}
		stat, err := os.ReadFile("/proc/" + f.Name() + "/stat")
		if err != nil {
			continue
		}
		if _, after, ok := strings.Cut(string(stat), ") "); ok {
			if fields := strings.Fields(after); len(fields) > 1 {
				parent[pid], _ = strconv.Atoi(fields[1]) // a number by the kernel's word
			}
		}
	}
	out := []int{root}
	for i := 0; i < len(out); i++ {
		for pid, of := range parent {
			if of == out[i] {
				out = append(out, pid)
			}
		}
	}
	return out
}

// processor is the time that a process and its descendants have run.
func processor(pid int) time.Duration {
	const tick = 10 * time.Millisecond // of Linux, in /proc
	var ticks int
	for _, p := range descendants(pid) {
		stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", p))
		if err != nil {
			continue
		}
		if _, after, ok := strings.Cut(string(stat), ") "); ok {
			if fields := strings.Fields(after); len(fields) > 12 {
				user, _ := strconv.Atoi(fields[11]) // numbers by the kernel's word
				system, _ := strconv.Atoi(fields[12])
				ticks += user + system
			}
		}
	}
	return time.Duration(ticks) * tick
}

// memory prints what the program and the browser's processes hold.
func (t *phoneTab) memory() error {
	var all int
	for _, pid := range descendants(t.pid) {
		text, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps_rollup", pid))
		if err != nil {
			continue
		}
		for _, line := range strings.Split(string(text), "\n") {
			if rest, ok := strings.CutPrefix(line, "Pss:"); ok {
				kb, _ := strconv.Atoi(strings.Fields(rest)[0]) // a number by the kernel's word
				all += kb
			}
		}
	}
	fmt.Printf("memory: %.0f MB in all processes of the browser together\n", float64(all)/1e3)
	return nil
}
