package exchange_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"lastbolt/exchange"
	"lastbolt/garage"
	"lastbolt/job"
	"lastbolt/keep"
	"lastbolt/plan/access"
	"lastbolt/plan/opening"
	"lastbolt/store/memory"
)

// A node is one device: a store, a book, a clock that is wrong, and who has the
// device in hand.
type node struct {
	name, by string
	wrong    time.Duration
	st       *memory.Store
	book     *job.Book
	seen     int64 // of the own log, looked at for what was recorded
}

// A parcel is under way from one device to another.
type parcel struct {
	from, to  *node
	events    []job.Event
	documents []garage.Document
	files     []string
}

// A shop is the server and the devices of one schedule, with what happened in
// it. The true time is only the shop's.
type shop struct {
	rt       *rapid.T
	ctx      context.Context
	plan     *opening.Plan
	m        *access.Map
	begun    keep.Batch // what the server has when it begins
	now      time.Time
	nodes    []*node
	flight   []parcel
	recorded map[string]job.Event
	edits    []garage.Document

	random    *rand.ChaCha8
	photos    int
	delivered int
	lines     []string // the timetable
}

var eight = time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)

// newShop plans one job and maps the bolts of its cover, once for all schedules.
func newShop(t *testing.T) *shop {
	t.Helper()
	m, err := access.Parse("merging.yaml", []byte(mergingMap))
	if err != nil {
		t.Fatal(err)
	}
	plan, err := opening.Make(t.Context(), opening.Request{Map: m, Targets: []opening.Target{{Item: "cooler", Action: access.Reseal}}})
	if err != nil {
		t.Fatal(err)
	}
	w := &shop{ctx: t.Context(), plan: plan, m: m, now: eight, random: rand.NewChaCha8([32]byte{1})}
	n := w.device("laptop", "Ada")
	s, err := n.book.Start(w.ctx, job.Started{Vehicle: "Tern van 1.4", Complaint: "Oil under the van"})
	if err != nil {
		t.Fatal(err)
	}
	actions := []job.Action{
		job.UsePlan(plan, m, 1, nil),
		job.ChangeBoltMap(job.BoltMapSet{Item: "cover", Aspect: 1, Count: 4}),
	}
	for i := range 4 {
		actions = append(actions, job.SetBolt(job.BoltSet{Item: "cover", At: &job.Point{X: 0.2 * float64(i+1), Y: 0.3}}))
	}
	actions = append(actions, func(r *job.Recorder, s *job.State) ([]job.Event, error) {
		order, err := job.TypedOrder(s.BoltMap("cover"), "1 3 2 4", 1)
		if err != nil {
			return nil, err
		}
		return job.OrderBolts(order)(r, s)
	})
	wrench, _ := garage.ReadTorqueWrench("torque wrench 2–25 N·m, ±4 %, hand 270 mm")
	for _, a := range append(actions, job.ChooseWrench(job.ChosenFrom(wrench))) {
		if _, err := n.book.Do(w.ctx, s.ID, a); err != nil {
			t.Fatal(err)
		}
	}
	if w.begun.Events, err = n.st.Events(w.ctx, s.ID); err != nil {
		t.Fatal(err)
	}
	w.begun.Documents = []garage.Document{{Kind: garage.KindShelf, ID: "shelf", Version: 1, At: eight, Body: []byte("jack")}}
	return w
}

// open makes a shop of two to four devices beside the server, of which some know
// the job already.
func (w *shop) open(rt *rapid.T) *shop {
	n := &shop{
		rt: rt, ctx: w.ctx, plan: w.plan, m: w.m, begun: w.begun, now: eight.Add(time.Hour),
		recorded: map[string]job.Event{}, random: rand.NewChaCha8([32]byte{2}),
	}
	people := []string{"Ada", "Ada", "Ben", "Cleo", ""}
	for i, name := range []string{"server", "phone", "tablet", "old phone", "laptop"}[:rapid.IntRange(3, 5).Draw(rt, "devices")] {
		d := n.device(name, people[i])
		if i > 0 {
			d.wrong = drawWrong(rt)
		}
		n.nodes = append(n.nodes, d)
		if i == 0 || rapid.IntRange(0, 3).Draw(rt, "knows the job") > 0 {
			n.take(parcel{to: d, events: w.begun.Events, documents: w.begun.Documents})
			n.line("%s knows the job; its clock is wrong by %s", name, d.wrong)
		}
	}
	for _, e := range w.begun.Events {
		n.recorded[e.ID] = e
	}
	n.edits = slices.Clone(w.begun.Documents)
	return n
}

func drawWrong(rt *rapid.T) time.Duration {
	const day = 24 * time.Hour
	return rapid.SampledFrom([]time.Duration{0, 2 * time.Minute, -time.Hour, 3 * day, -4 * day, 400 * day, -400 * day}).Draw(rt, "clock wrong by")
}

func (w *shop) device(name, by string) *node {
	n := &node{name: name, by: by, st: memory.New()}
	w.start(n)
	return n
}

// start starts the device's program, whose ids begin anew.
func (w *shop) start(n *node) {
	clock := func() time.Time { return w.now.Add(n.wrong) }
	n.book = job.NewBook(n.st, &job.Recorder{Now: clock, NewID: job.NewIDs(clock, w.random).New, By: n.by, Device: n.name})
}

func (w *shop) must(err error) {
	if err != nil {
		w.fail("%v", err)
	}
}

// line writes a line of the timetable.
func (w *shop) line(format string, a ...any) {
	w.lines = append(w.lines, w.now.Format("Mon 15:04:05  ")+fmt.Sprintf(format, a...))
}

// fail ends the schedule and prints its timetable.
func (w *shop) fail(format string, a ...any) {
	text := fmt.Sprintf(format, a...)
	if w.rt == nil {
		panic(text)
	}
	w.rt.Fatalf("%s\n\nWhat happened, by the true time:\n%s", text, strings.Join(w.lines, "\n"))
}

func (w *shop) drawNode(label string) *node {
	return w.nodes[rapid.IntRange(0, len(w.nodes)-1).Draw(w.rt, label)]
}

// move does one thing at random.
func (w *shop) move() {
	w.now = w.now.Add(time.Duration(rapid.SampledFrom([]int{1, 20, 3600, 90_000}).Draw(w.rt, "seconds pass")) * time.Second)
	switch rapid.IntRange(0, 19).Draw(w.rt, "what") {
	default:
		w.act(w.drawNode("who acts"))
	case 9, 10:
		w.edit(w.drawNode("who edits"))
	case 11, 12, 13:
		w.send(w.drawNode("from"), w.drawNode("to"))
	case 14, 15:
		w.arrive()
	case 16:
		if len(w.flight) > 0 {
			i := rapid.IntRange(0, len(w.flight)-1).Draw(w.rt, "lost")
			w.line("lost on the way: %s", w.flight[i])
			w.flight = slices.Delete(w.flight, i, i+1)
		}
	case 17:
		w.carry(w.drawNode("from"), w.drawNode("to"))
	case 18:
		n := w.drawNode("whose clock")
		n.wrong = drawWrong(w.rt)
		w.start(n)
		w.line("%s starts anew, its clock wrong by %s", n.name, n.wrong)
	case 19:
		w.begin(w.drawNode("who begins"))
	}
}

// noted keeps account of what a device recorded, and wants each record to sort
// behind all that it had seen of the job.
func (w *shop) noted(n *node, last string) (kinds []string) {
	events, next, err := n.st.Changed(w.ctx, n.seen, 0)
	w.must(err)
	n.seen = next
	for _, e := range events {
		if _, there := w.recorded[e.ID]; there {
			w.fail("%s made the id %s, which is there already", n.name, e.ID)
		}
		if e.ID <= last {
			w.fail("%s recorded %s with the id %s, which sorts before %s that it had seen", n.name, e.Kind, e.ID, last)
		}
		w.recorded[e.ID], last = e, e.ID
		kinds = append(kinds, fmt.Sprintf("%s %.80s", e.Kind, e.Data))
	}
	return kinds
}

func (n *node) clock(now time.Time) string { return now.Add(n.wrong).Format("2006-01-02 15:04") }

func (w *shop) begin(n *node) {
	_, err := n.book.Start(w.ctx, job.Started{Vehicle: "Tern van 1.4", Title: "By " + n.name})
	w.must(err)
	w.line("%s (its clock: %s) begins another job", n.name, n.clock(w.now))
	w.noted(n, "")
}

func (w *shop) act(n *node) {
	ids, err := n.st.Jobs(w.ctx)
	w.must(err)
	if len(ids) == 0 {
		return
	}
	id := rapid.SampledFrom(ids).Draw(w.rt, "job")
	s, err := n.book.Load(w.ctx, id)
	w.must(err)
	a, what := w.drawAction(n, s)
	after, err := n.book.Do(w.ctx, id, a)
	kinds := w.noted(n, s.History[len(s.History)-1].Event)
	var said *job.Error
	if err != nil && !errors.As(err, &said) {
		w.fail("%s: %s: %v", n.name, what, err)
	}
	if fresh, err := n.book.Load(w.ctx, id); err != nil || differs(after, fresh) != "" {
		w.fail("%s shows another state after the action than what its records add up to, in %s (%v)", n.name, differs(after, fresh), err)
	}
	if len(kinds) > 0 {
		w.line("%s (its clock: %s) %s -> %s", n.name, n.clock(w.now), what, strings.Join(kinds, "; "))
	}
}

func (w *shop) edit(n *node) {
	kind := rapid.SampledFrom([]string{garage.KindVehicle, garage.KindShelf, garage.KindMap}).Draw(w.rt, "kind")
	id := map[string]string{garage.KindVehicle: "tern-1", garage.KindShelf: "shelf", garage.KindMap: "tern"}[kind]
	have, err := n.st.Latest(w.ctx, kind, id)
	if err != nil && !errors.Is(err, garage.ErrUnknown) {
		w.must(err)
	}
	d := garage.Document{Kind: kind, ID: id, At: w.now.Add(n.wrong), By: n.by, Body: fmt.Appendf(nil, "edit %d", len(w.edits))}
	_, err = n.st.Put(w.ctx, d, have.Version)
	w.must(err)
	d, err = n.st.Latest(w.ctx, kind, id)
	w.must(err)
	w.edits = append(w.edits, d)
	w.line("%s (its clock: %s) saves version %d of the %s: %s", n.name, n.clock(w.now), d.Version, kind, d.Body)
}

// everything is a parcel of all that a device has.
func (w *shop) everything(from, to *node) parcel {
	p := parcel{from: from, to: to}
	var err error
	p.events, _, err = from.st.Changed(w.ctx, 0, 1<<30)
	w.must(err)
	for _, kind := range []string{garage.KindVehicle, garage.KindShelf, garage.KindMap} {
		list, err := from.st.All(w.ctx, kind)
		w.must(err)
		for _, d := range list {
			for v := 1; v <= d.Version; v++ {
				one, err := from.st.Version(w.ctx, kind, d.ID, v)
				w.must(err)
				p.documents = append(p.documents, one)
			}
		}
	}
	p.files, err = from.st.Names(w.ctx)
	w.must(err)
	return p
}

// send puts a parcel on its way: everything, the latest, or one record in a few,
// forwards or backwards.
func (w *shop) send(from, to *node) {
	p := w.everything(from, to)
	every := rapid.IntRange(1, 4).Draw(w.rt, "one record in")
	latest := rapid.IntRange(0, len(p.events)).Draw(w.rt, "without the first")
	p.events = slices.Clone(p.events[latest:])
	if rapid.Bool().Draw(w.rt, "backwards") {
		slices.Reverse(p.events)
		slices.Reverse(p.documents)
	}
	p.events = oneIn(every, p.events)
	p.documents = oneIn(rapid.IntRange(1, 3).Draw(w.rt, "one version in"), p.documents)
	p.files = oneIn(every, p.files)
	w.flight = append(w.flight, p)
	w.line("under way: %s", p)
}

func oneIn[T any](n int, list []T) (out []T) {
	for i := 0; i < len(list); i += n {
		out = append(out, list[i])
	}
	return out
}

func (p parcel) String() string {
	var names []string
	for _, e := range p.events {
		names = append(names, string(e.Kind))
	}
	var versions []string
	for _, d := range p.documents {
		versions = append(versions, fmt.Sprintf("%s %s", d.Kind, d.Body))
	}
	return fmt.Sprintf("from %s to %s, %d records [%s], versions [%s], %d photos", p.from.name, p.to.name,
		len(p.events), strings.Join(names, " "), strings.Join(versions, ", "), len(p.files))
}

// arrive delivers one of the parcels under way, which may come a second time.
func (w *shop) arrive() {
	if len(w.flight) == 0 {
		return
	}
	i := rapid.IntRange(0, len(w.flight)-1).Draw(w.rt, "which arrives")
	p := w.flight[i]
	if rapid.Bool().Draw(w.rt, "for the last time") {
		w.flight = slices.Delete(w.flight, i, i+1)
	}
	w.line("arrives: %s", p)
	w.take(p)
}

// take takes a parcel in, as a host does.
func (w *shop) take(p parcel) {
	byJob := map[string][]job.Event{}
	var jobs []string
	for _, e := range p.events {
		if byJob[e.Job] == nil {
			jobs = append(jobs, e.Job)
		}
		byJob[e.Job] = append(byJob[e.Job], e)
	}
	for _, id := range jobs {
		_, err := p.to.book.Record(w.ctx, byJob[id]...)
		w.must(err)
	}
	_, err := p.to.st.Merge(w.ctx, keep.Batch{Documents: p.documents})
	w.must(err)
	for _, name := range p.files {
		content, media, err := p.from.st.Open(w.ctx, name)
		w.must(err)
		_, err = p.to.st.Keep(w.ctx, content, media)
		w.must(err)
	}
	_, p.to.seen, err = p.to.st.Changed(w.ctx, p.to.seen, 1<<30)
	w.must(err)
	w.delivered++
}

// carry writes everything to a file and takes the file in elsewhere.
func (w *shop) carry(from, to *node) {
	var file bytes.Buffer
	_, err := exchange.Export(w.ctx, &file, from.st, exchange.ExportOptions{})
	w.must(err)
	in, err := exchange.Import(w.ctx, bytes.NewReader(file.Bytes()), to.st, exchange.ImportOptions{})
	w.must(err)
	for _, id := range in.Jobs {
		events, err := to.st.Events(w.ctx, id)
		w.must(err)
		_, err = to.book.Record(w.ctx, events...) // its line in the list of jobs
		w.must(err)
	}
	_, to.seen, err = to.st.Changed(w.ctx, to.seen, 1<<30)
	w.must(err)
	w.delivered++
	w.line("%s takes in a file from %s: %d records, %d versions new", to.name, from.name, in.Events, in.Versions)
}

// settle lets what is under way arrive, and everybody hear everything: through
// the server, or from each other where there is none in the middle.
func (w *shop) settle() {
	for _, p := range w.flight {
		w.line("arrives: %s", p)
		w.take(p)
	}
	order := rapid.Permutation([]int{0, 1, 2, 3, 4}[:len(w.nodes)]).Draw(w.rt, "order of the last exchanges")
	middle := order[:1]
	if rapid.Bool().Draw(w.rt, "each with each") {
		middle = order
	}
	for range 2 {
		for _, m := range middle {
			for _, i := range order {
				w.take(w.everything(w.nodes[i], w.nodes[m]))
				w.take(w.everything(w.nodes[m], w.nodes[i]))
			}
		}
	}
	w.line("everybody has exchanged everything, by way of %d in the order %v", middle, order)
}

func dataOf[T any](e job.Event) (d T) {
	_ = json.Unmarshal(e.Data, &d) // the zero value where it is something else
	return d
}
