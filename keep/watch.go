package keep

import "sync"

// A Watcher tells of events of a job as they come, whoever stored them: this
// process or another one on the same database.
type Watcher interface {
	// Watch begins to wait for events of a job. The channel gets a value soon
	// after some were stored; several may be told at once, and sometimes it
	// tells of none: look what is there. Who begins to watch and then reads the
	// job misses nothing. Call stop when done.
	Watch(job string) (told <-chan struct{}, stop func())
}

// Watchers are those who wait in one process. The zero value is ready; its
// methods may be called from many goroutines at once.
type Watchers struct {
	mu sync.Mutex
	of map[string]map[chan struct{}]bool // by job
}

// Watch is that of a [Watcher].
func (w *Watchers) Watch(job string) (told <-chan struct{}, stop func()) {
	c := make(chan struct{}, 1)
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.of == nil {
		w.of = map[string]map[chan struct{}]bool{}
	}
	if w.of[job] == nil {
		w.of[job] = map[chan struct{}]bool{}
	}
	w.of[job][c] = true
	return c, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		if delete(w.of[job], c); len(w.of[job]) == 0 {
			delete(w.of, job)
		}
	}
}

// Tell wakes those who watch one of the jobs. It never waits for them.
func (w *Watchers) Tell(jobs ...string) {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, job := range jobs {
		wake(w.of[job])
	}
}

// TellAll wakes everybody, to look for themselves: after a time in which
// events may have come unheard.
func (w *Watchers) TellAll() {
	w.mu.Lock()
	defer w.mu.Unlock()
	for _, waiting := range w.of {
		wake(waiting)
	}
}

func wake(waiting map[chan struct{}]bool) {
	for c := range waiting {
		select {
		case c <- struct{}{}:
		default: // is told already, and has not looked yet
		}
	}
}

// Any reports whether somebody watches.
func (w *Watchers) Any() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.of) > 0
}
