package job

import (
	"cmp"
	"slices"
	"strings"

	"lastbolt/calc"
	"lastbolt/calc/seal"
	"lastbolt/plan/access"
)

// sealed keeps what is said of a seal until the joints are known.
func (b *builder) sealed(e Event, d SealSet) {
	if !strings.HasPrefix(d.Joint, "joint/") || len(d.Joint) > 300 {
		b.problem(e.ID, "it does not say which joint the seal is of")
		return
	}
	j := b.s.Seal(d.Joint)
	if j == nil {
		j = &JointSeal{ID: d.Joint}
		j.Item, _, _ = strings.Cut(strings.TrimPrefix(d.Joint, "joint/"), "/")
		b.s.Seals = append(b.s.Seals, j)
	}
	j.At, j.By = e.At, e.By
	was := j.SealSet
	j.SealSet = over(d, was)
	if d.Anyway == "" && changedSeal(was, j.SealSet) {
		j.Anyway = "" // it was said of another seal
	}
}

// over lays what is said now over what was said before.
func over(now, was SealSet) SealSet {
	now.Kind, now.Size, now.Material, now.Fluid = cmp.Or(now.Kind, was.Kind), cmp.Or(now.Size, was.Size), cmp.Or(now.Material, was.Material), cmp.Or(now.Fluid, was.Fluid)
	now.Seat, now.Anyway, now.Note = cmp.Or(now.Seat, was.Seat), cmp.Or(now.Anyway, was.Anyway), cmp.Or(now.Note, was.Note)
	keep(&now.Hot, was.Hot)
	keep(&now.Inside, was.Inside)
	keep(&now.Section, was.Section)
	keep(&now.Depth, was.Depth)
	keep(&now.Groove, was.Groove)
	keep(&now.Mate, was.Mate)
	keep(&now.Width, was.Width)
	keep(&now.Error, was.Error)
	return now
}

// sealText says in a few words what was recorded of a seal.
func (b *builder) sealText(d SealSet) string {
	name := strings.TrimPrefix(d.Joint, "joint/")
	item, rest, _ := strings.Cut(name, "/")
	_, joint, _ := strings.Cut(rest, "/")
	name = b.name(item)
	if joint != "" && joint != slug(name) {
		name += ", " + strings.ReplaceAll(joint, "-", " ")
	}
	switch {
	case d.Anyway != "":
		return "Seal fitted all the same: " + name + ", " + clip(d.Anyway)
	case d.Kind != "" || d.Material != "" || d.Size != "":
		return clip("Seal: " + name + ", " + strings.Join(strings.Fields(string(d.Kind)+" "+d.Size+" "+string(d.Material)), " "))
	}
	return "Seal measured: " + clip(name)
}

// keep leaves what was written where nothing is.
func keep[T interface{ IsZero() bool }](now *T, was T) {
	if (*now).IsZero() {
		*now = was
	}
}

func changedSeal(was, now SealSet) bool {
	return was.Kind != now.Kind || was.Size != now.Size || was.Material != now.Material || was.Fluid != now.Fluid
}

// seals ties what is said of seals to the joints that the steps open, and adds
// those of which nothing is said but what the map knows.
func (b *builder) seals() {
	said := map[string]*JointSeal{}
	for _, j := range b.s.Seals {
		said[j.ID] = j
	}
	var all []*JointSeal
	for _, st := range b.steps {
		if st.way == nil || !st.Opens {
			continue
		}
		for _, joint := range st.way.Opens {
			if _, seals := sealFluids[joint.Kind]; !seals {
				continue
			}
			id := jointID(st.Item, joint)
			if i := slices.IndexFunc(all, func(j *JointSeal) bool { return j.ID == id }); i >= 0 {
				all[i].Down, all[i].way = st, st.way.ID
				continue
			}
			j := said[id]
			if j == nil {
				j = &JointSeal{ID: id}
			}
			delete(said, id)
			j.Item, j.Opens, j.Down, j.way = st.Item, joint, st, st.way.ID
			j.Name = cmp.Or(joint.Name, st.Name)
			j.fromMap(joint.Seal)
			all = append(all, j)
		}
	}
	for _, j := range b.s.Seals { // of joints that nothing opens any more
		if said[j.ID] != nil {
			j.Name = b.name(j.Item)
			all = append(all, j)
		}
	}
	b.s.Seals = all
}

// fromMap takes the map's word where nothing was recorded.
func (j *JointSeal) fromMap(known access.Seal) {
	if known == (access.Seal{}) {
		return
	}
	j.Mapped = true
	j.Kind, j.Size = cmp.Or(j.Kind, seal.Kind(known.Kind)), cmp.Or(j.Size, known.Size)
	j.Material = cmp.Or(j.Material, seal.Material(known.Material))
}

func severity(l calc.Level) int {
	return slices.Index([]calc.Level{calc.Good, calc.Careful, calc.Bad}, l)
}

func worstFirst(all []seal.Finding) {
	slices.SortStableFunc(all, func(x, y seal.Finding) int { return severity(y.Level) - severity(x.Level) })
}

// sealTests says in the test of each joint what seals it, and asks for it before
// the release where a seal is fitted against advice.
func sealTests(s *State) {
	for i := range s.Tests {
		t := &s.Tests[i]
		j := s.Seal(t.ID)
		if j == nil || !j.Named() {
			continue
		}
		t.How += " Sealed by: " + j.Text() + "."
		if level, _ := j.Judge(); level == calc.Bad {
			t.How += " It was judged unfit and fitted all the same: " + cmp.Or(j.Anyway, "no reason given") + ". Look twice, and again when it has been hot and cold."
			t.Danger = true
		}
	}
}

// joints are the joints a step opens with the seals that were found or fitted,
// for a map of the job. A seal that was judged unfit is left out: the next one
// is not to copy it.
func (s *State) joints(st *Step) []access.Joint {
	joints := slices.Clone(st.way.Opens)
	for i := range joints {
		j := s.Seal(jointID(st.Item, joints[i]))
		if j == nil || !j.Named() {
			continue
		}
		if level, _ := j.Judge(); level != calc.Bad {
			joints[i].Seal = access.Seal{Kind: string(j.Kind), Size: j.Size, Material: string(j.Material)}
		}
	}
	return joints
}

// sealLooks is the follow-up of a joint closed on a seal that was judged unfit:
// the next day, and it says to renew it.
func sealLooks(s *State, item string, joint access.Joint) []look {
	if j := s.Seal(jointID(item, joint)); j == nil || j.Anyway == "" {
		return nil
	}
	return []look{{"seal", "Look for a leak, and renew the seal fitted against advice, at", [2]int{}, 1, true}}
}
