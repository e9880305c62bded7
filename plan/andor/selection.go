package andor

import "slices"

// newSelection turns chosen methods, one a part, into a Selection that opens
// nothing superfluous: only what the targets need under that choice.
func newSelection(in *Instance, opt Options, methods []int32) Selection {
	pick := make([]int, in.Parts)
	for _, m := range methods {
		pick[in.Methods[m].Part] = int(m)
	}
	off := make([]bool, in.Parts)
	for _, p := range opt.Off {
		off[p] = true
	}
	w := walk{in: in, pick: pick, off: off, sel: Selection{Method: make([]int, in.Parts)}}
	for p := range w.sel.Method {
		w.sel.Method[p] = -1
	}
	w.used = make([]bool, len(in.Resources))
	need := slices.Clone(in.Targets)
	slices.Sort(need)
	for _, t := range need {
		w.open(t)
	}
	for r, u := range w.used {
		if u {
			w.sel.Resources = append(w.sel.Resources, r)
		}
	}
	return w.sel
}

// walk opens parts depth first, so that every part follows what it needs.
type walk struct {
	in   *Instance
	pick []int
	off  []bool
	used []bool
	sel  Selection
}

func (w *walk) open(p int) {
	if w.off[p] {
		return
	}
	w.off[p] = true
	m := w.pick[p]
	needs := slices.Clone(w.in.Methods[m].Needs)
	slices.Sort(needs)
	for _, q := range needs {
		w.open(q)
	}
	for _, r := range w.in.Methods[m].Resources {
		w.used[r] = true
	}
	w.sel.Method[p] = m
	w.sel.Order = append(w.sel.Order, m)
}
