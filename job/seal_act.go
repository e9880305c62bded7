package job

import (
	"cmp"
	"slices"
	"strings"

	"lastbolt/calc/seal"
	"lastbolt/fault"
	"lastbolt/plan/access"
	"lastbolt/quantity"
)

// SetSeal records what seals a joint, what was measured of it, or why it is
// fitted all the same.
func SetSeal(d SealSet) Action {
	return open(func(r *Recorder, s *State) ([]Event, error) {
		j := s.Seal(d.Joint)
		if j == nil {
			return nil, refuse(CodeUnknown, "This job opens no such joint any more: go back to its seals.")
		}
		d.Size, d.Anyway, d.Note = strings.TrimSpace(d.Size), strings.TrimSpace(d.Anyway), strings.TrimSpace(d.Note)
		if err := checkSeal(d); err != nil {
			return nil, err
		}
		if d.Anyway != "" && !j.Unfit() {
			return nil, refuse(CodeWrong, "The seal of %s is not judged unfit: nothing has to be explained.", j.Name)
		}
		return one(r, s, KindSeal, d)
	})
}

func checkSeal(d SealSet) error {
	switch {
	case d.Kind != "" && !slices.Contains(seal.Kinds(), d.Kind):
		return refuse(CodeWrong, "%q is no kind of seal known here: choose one of the list.", d.Kind)
	case d.Material != "" && !d.Material.Known():
		return refuse(CodeWrong, "%q is no material known here: choose one of the list, or leave it not known.", d.Material)
	case d.Fluid != "" && !slices.Contains(seal.Fluids(), d.Fluid):
		return refuse(CodeWrong, "%q is no fluid known here: choose one of the list.", d.Fluid)
	case d.Seat != "" && !slices.Contains([]seal.Seat{seal.Face, seal.Piston, seal.Rod}, d.Seat):
		return refuse(CodeWrong, "A ring sits in a face, round a plug or pipe, or in a housing: choose one of the three.")
	}
	if d.Size != "" && (d.Kind == "" || d.Kind == seal.ORing || d.Kind == seal.MovingRing) {
		if _, err := seal.Sized(d.Size); err != nil {
			return refuse(CodeWrong, "%s", fault.Say(err))
		}
	}
	for _, l := range []struct {
		name  string
		value quantity.Written[quantity.Length]
	}{{"inside diameter", d.Inside}, {"section", d.Section}, {"depth", d.Depth}, {"groove's diameter", d.Groove}, {"diameter of the bore or rod", d.Mate}, {"width", d.Width}} {
		if !l.value.IsZero() && !(l.value.Value > 0 && l.value.Value < quantity.Metres(3)) {
			return refuse(CodeWrong, "The %s of %s cannot be: it has to be more than nothing, as in 3.5 mm.", l.name, l.value)
		}
	}
	if !d.Error.IsZero() && !(d.Error.Value >= 0 && d.Error.Value <= quantity.Millimetres(2)) {
		return refuse(CodeWrong, "A reading that may be off by %s tells nothing: measure again, within 2 mm.", d.Error)
	}
	if !d.Hot.IsZero() {
		if t := quantity.DegreeCelsius.Count(d.Hot.Value); t < -60 || t > 400 {
			return refuse(CodeWrong, "No seal of this table lives at %s.", d.Hot)
		}
	}
	return nil
}

// sealUnfit refuses to close a joint on a seal that is judged unfit.
func (s *State) sealUnfit(st *Step) error {
	if !st.Closes {
		return nil
	}
	for _, j := range s.SealsOf(st) {
		if !j.Unfit() {
			continue
		}
		_, why := j.Judge()
		mend := "Take another"
		if instead := j.Instead(); len(instead) > 0 {
			mend = "Take " + string(instead[0])
		}
		return refuse(CodeNotYet, "The seal of %s will not do. %s %s, or say on the seal's page why it is fitted all the same.", j.Name, why[0].Say, mend)
	}
	return nil
}

// sealPiece is what has to be got for a joint's seal; ok is false where nothing
// is renewed, or too little is known to ask for it.
func (j *JointSeal) sealPiece() (p access.Piece, sealant bool, ok bool) {
	switch j.Kind {
	case "", seal.HoseJoint:
		return p, false, false
	case seal.Silicone, seal.Anaerobic:
		return access.Piece{Name: capital(string(j.Kind))}, true, true
	}
	size := j.Size
	if j.Material != "" {
		size = strings.TrimPrefix(size+", "+string(j.Material), ", ")
	}
	return access.Piece{Name: capital(string(j.Kind)) + " for " + j.Name, Size: size}, false, true
}

// seals adds what the joints of a step are sealed with, where the map does not
// list it among the single-use pieces.
func (l *lister) seals(st *Step) {
	for _, j := range l.s.SealsOf(st) {
		piece, sealant, ok := j.sealPiece()
		if !ok || listsSeal(st.way.SingleUse.Items, j) {
			continue
		}
		if sealant {
			line := l.add("consumables", piece.Name, st.Name)
			l.sums[line.Key].unknown = true
			continue
		}
		line := l.piece("pieces", st, piece)
		if j.Unfit() {
			_, why := j.Judge()
			line.Note = strings.TrimPrefix(line.Note+" · "+why[0].Say, " · ")
		}
	}
}

// Renewals are the pieces to be fitted new when a step puts something back: its
// single-use pieces, and what seals its joints where the map does not list it
// among them.
func (s *State) Renewals(st *Step) []access.Piece {
	if st.way == nil || !st.Closes {
		return nil
	}
	out := slices.Clone(st.way.SingleUse.Items)
	for _, j := range s.SealsOf(st) {
		if p, sealant, ok := j.sealPiece(); ok && !sealant && !listsSeal(st.way.SingleUse.Items, j) {
			out = append(out, p)
		}
	}
	return out
}

// listsSeal reports that one of the pieces is the seal: by its size, or because
// it is called a ring, a seal, a gasket or a washer.
func listsSeal(pieces []access.Piece, j *JointSeal) bool {
	return slices.ContainsFunc(pieces, func(p access.Piece) bool {
		name := strings.ToLower(p.Name)
		return j.Size != "" && strings.EqualFold(cmp.Or(p.Size, p.Number), j.Size) ||
			slices.ContainsFunc([]string{"ring", "seal", "gasket", "washer"}, func(word string) bool { return strings.Contains(name, word) })
	})
}
