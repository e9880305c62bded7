package opening

import (
	"fmt"

	"lastbolt/plan/access"
)

// A writer turns the labels of an order into steps with times.
type writer struct {
	o     *order
	c     *choice
	now   float64
	place int
	tool  int
	ready []float64
	times map[string]int // how often an id was used
	lab   label          // state before the step
	out   []uint64       // items out of the way before the step
	flips []string       // by condition: the id of the step that switched it last
	ids   [phases][]string
	end   float64
	tail  float64
}

// phaseOf names the phases.
var phaseOf = [phases + 1]Phase{Down, Bottom, Up, Up}

func (w *writer) steps(labels []label) []Step {
	o := w.o
	w.ready = make([]float64, o.slots)
	w.flips = make([]string, len(o.conds))
	w.out = append([]uint64(nil), o.first...)
	for p := range phases {
		w.ids[p] = make([]string, len(o.jobs[p]))
	}
	steps := make([]Step, 0, len(labels))
	phase := w.skip(0)
	w.lab.on = o.on
	for k := range labels {
		l := &labels[k]
		if l.act == noAct {
			continue
		}
		w.lab.phase = int8(phase)
		steps = append(steps, w.step(l))
		w.lab = *l
		phase = int(l.phase)
	}
	w.end = w.now
	for _, s := range o.last {
		w.end = max(w.end, w.ready[s])
	}
	w.tail = w.end - w.now
	return steps
}

// skip is the first phase that has anything to do.
func (w *writer) skip(p int) int {
	for p < phases {
		n := 0
		if p == down {
			for _, x := range w.o.first {
				n += popcount(x)
			}
		}
		if n < len(w.o.jobs[p]) {
			break
		}
		p++
	}
	return p
}

// step writes one act and moves the state on.
func (w *writer) step(l *label) Step {
	o := w.o
	var j *job
	var s Step
	if l.act < 0 {
		f := &o.flips[^l.act]
		j = &f.job
		s = w.flipped(int(^l.act), f)
	} else {
		j = &o.jobs[w.lab.phase][l.act]
		s = w.worked(int(l.act), j)
	}
	s.Phase = phaseOf[w.lab.phase]
	s.Before = w.before(j, l.act)
	s.Hand, s.Trouble = j.hand, j.trouble
	if j.place != nothing {
		s.SetUp += o.m.move[w.place][j.place]
		w.place = j.place
		s.Hands = o.m.places[j.place]
	}
	if j.tool != nothing {
		if j.tool != w.tool {
			s.SetUp += o.m.req.Map.SetUp.Tool
		}
		w.tool = j.tool
		s.Tool = o.m.tools[j.tool]
	}
	w.ahead(&s, l)
	s.Start = w.now
	begin := w.now + s.SetUp
	for _, slot := range j.slots {
		begin = max(begin, w.ready[slot])
	}
	for g := range j.gates {
		if j.gates[g].bits != nil {
			begin = max(begin, j.gates[g].ready(w.out, w.lab.on, w.ready))
		}
	}
	s.Idle = begin - w.now - s.SetUp
	s.End = begin + s.Hand + s.Trouble
	w.now = s.End
	if j.slot != nothing {
		w.ready[j.slot] = w.now + j.wait
	}
	w.record(&s, l.act, j)
	return s
}

// ahead adds what the wait before the step is used for.
func (w *writer) ahead(s *Step, l *label) {
	m := w.o.m
	if p := int(l.place); p != w.place {
		s.SetUp += m.move[w.place][p]
		w.place, s.AheadHands = p, m.places[p]
	}
	if t := int(l.tool); t != w.tool {
		s.SetUp += m.req.Map.SetUp.Tool
		w.tool, s.AheadTool = t, m.tools[t]
	}
}

// record notes the step's id and what it moved.
func (w *writer) record(s *Step, code int32, j *job) {
	if code < 0 {
		w.flips[^code/2] = s.ID
		return
	}
	w.ids[w.lab.phase][code] = s.ID
	if j.fill || int(w.lab.phase) == bottom {
		return
	}
	if int(w.lab.phase) == down {
		set(w.out, int(code))
	} else {
		w.out[code>>6] &^= 1 << (code & 63)
	}
}

func (w *writer) id(id string) string {
	w.times[id]++
	if n := w.times[id]; n > 1 {
		return fmt.Sprintf("%s#%d", id, n)
	}
	return id
}

func (w *writer) flipped(f int, j *flip) Step {
	it := w.o.m.items[j.ref].src
	way := w.o.way(w.c, j.ref)
	s := Step{Item: it.ID, Name: it.Name, Way: way.src.ID, People: way.src.People}
	if f%2 == 0 {
		s.ID, s.Span, s.Wait, s.TroubleVar = w.id("down/"+it.ID), way.src.Minutes.Off, way.src.Wait, way.troubleVar
		return s
	}
	s.ID, s.Span, s.Back = w.id("up/"+it.ID), way.src.Minutes.On, true
	return s
}

func (w *writer) worked(i int, j *job) Step {
	m := w.o.m
	switch {
	case j.fill:
		name := m.fluids[j.ref]
		return Step{ID: "up/fill-" + slug(name), Name: name, Fluid: name, Back: true, Span: w.o.filling(w.c, j.ref)}
	case int(w.lab.phase) == bottom:
		work, t := &m.works[j.ref], m.targets[j.ref]
		it := m.items[work.item].src
		s := Step{ID: "work/" + it.ID + "/" + slug(string(t.Action)), Item: it.ID, Name: it.Name, Action: t.Action}
		if work.src != nil {
			s.Span, s.Wait = work.src.Minutes, work.src.Wait
		}
		return s
	}
	it := m.items[j.ref].src
	way := w.o.way(w.c, j.ref)
	s := Step{Item: it.ID, Name: it.Name, Way: way.src.ID, Aside: kindOf(way.src) == access.Aside, People: way.src.People}
	if int(w.lab.phase) == down {
		s.ID, s.Span, s.Wait, s.TroubleVar = "down/"+it.ID, way.src.Minutes.Off, way.src.Wait, way.troubleVar
		return s
	}
	s.ID, s.Span, s.Wait, s.Back = "up/"+it.ID, way.src.Minutes.On, way.src.Back.Wait, true
	return s
}

// before lists the steps that a step could not have come before.
func (w *writer) before(j *job, code int32) []string {
	var ids []string
	add := func(id string) {
		if id != "" {
			ids = append(ids, id)
		}
	}
	p := int(w.lab.phase)
	if p < phases && code >= 0 {
		for i := range w.o.jobs[p] {
			if has(j.pre, i) {
				add(w.ids[p][i])
			}
		}
	}
	if code < 0 {
		for i := range w.o.items {
			if has(w.o.flips[^code].out, i) {
				add(w.ids[down][i])
			}
			if has(w.o.flips[^code].in, i) {
				add(w.ids[up][i])
			}
		}
	}
	if p == bottom && code >= 0 {
		w.workNeeds(j, add)
	}
	if p < up {
		for g := range j.gates {
			add(w.opened(&j.gates[g]))
		}
	}
	for k := range w.o.conds {
		if (j.on|j.off)&(1<<k) != 0 {
			add(w.flips[k])
		}
	}
	return ids
}

// workNeeds adds the items a work wants out of the way.
func (w *writer) workNeeds(j *job, add func(string)) {
	need := job{}
	w.o.require(w.c, w.o.m.works[j.ref].need, &need)
	for i := range w.o.items {
		if has(need.pre, i) {
			add(w.ids[down][i])
		}
	}
}

// opened names the first step that passed one leaf of a gate.
func (w *writer) opened(g *gate) string {
	for i := range w.o.items {
		if has(g.out, i) && has(w.out, i) {
			return w.ids[down][i]
		}
	}
	for k := range w.o.conds {
		if g.on&w.lab.on&(1<<k) != 0 {
			return w.flips[k]
		}
	}
	return ""
}
