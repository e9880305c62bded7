package tables

// SummariesQuery is the statement that lists what a query asks for.
var SummariesQuery = summariesQuery

// Waiting is how many writings wait behind one that leads.
func (t *Tables) Waiting() int {
	t.queue.mu.Lock()
	defer t.queue.mu.Unlock()
	return len(t.queue.waiting)
}
