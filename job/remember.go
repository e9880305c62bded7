package job

import (
	"bytes"
	"slices"
	"sync"
)

// A memory keeps what the events of the last few jobs say, so that a page need
// not decode them all again: that is most of the work of one. It holds nothing
// that is not in the log: the events are read there each time, and what is
// remembered of one counts only for the same kind and data. No fold, action or
// page changes what an event says.
type memory struct {
	mu   sync.Mutex
	most int // jobs; 0 remembers nothing
	jobs []remembered
}

type remembered struct {
	job   string
	known map[string]decoded
}

// take hands out what is remembered of a job, to one caller at a time; nil if
// that is nothing, and nothing is to be remembered.
func (m *memory) take(job string) map[string]decoded {
	m.mu.Lock()
	defer m.mu.Unlock()
	i := slices.IndexFunc(m.jobs, func(r remembered) bool { return r.job == job })
	switch {
	case i >= 0:
		known := m.jobs[i].known
		m.jobs = slices.Delete(m.jobs, i, i+1)
		return known
	case m.most > 0:
		return map[string]decoded{}
	}
	return nil
}

// give takes it back, as the latest of all.
func (m *memory) give(job string, known map[string]decoded) {
	if len(known) == 0 {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	m.jobs = slices.DeleteFunc(m.jobs, func(r remembered) bool { return r.job == job })
	m.jobs = slices.Insert(m.jobs, 0, remembered{job, known})
	m.jobs = m.jobs[:min(len(m.jobs), m.most)]
}

// says reports whether what was decoded is of an event like this one.
func (d *decoded) says(e Event) bool { return d.kind == e.Kind && bytes.Equal(d.raw, e.Data) }
