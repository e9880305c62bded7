package tables

import "time"

// SummariesQuery is the statement that lists what a query asks for.
var SummariesQuery = summariesQuery

// WaitFor returns once so many writings wait behind one that leads.
func (t *Tables) WaitFor(n int) {
	for {
		t.queue.mu.Lock()
		waiting := len(t.queue.waiting)
		t.queue.mu.Unlock()
		if waiting >= n {
			return
		}
		time.Sleep(time.Millisecond)
	}
}
