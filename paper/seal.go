package paper

import (
	"strings"

	"lastbolt/job"
)

// seals says what seals each joint of a step: coming off what to look at, going
// on how it goes in and what must never touch it.
func (p *stepper) seals(st *job.Step) []block {
	var out []block
	for _, j := range p.s.SealsOf(st) {
		name := ""
		if j.Name != st.Name {
			name = j.Name + ": "
		}
		if !j.Named() {
			if st.Opens { // to be seen as it comes off
				word := "Which seal" + ofName(name)
				clean, _ := printable(word)
				out = append(out, stack(gap(0.8), p.writeIn(word, "", min(max(60, p.measure(styleText, clean)/wordPart+1), p.inner())), gap(1)))
			}
			continue
		}
		if st.Opens {
			out = append(out, p.labelled("Seal", name+j.Title()))
			continue
		}
		out = append(out, p.labelled("Seal", name+j.InText()))
		if how, ok := j.How(); ok && len(how.Never) > 0 {
			out = append(out, p.labelled("Never on it", strings.Join(how.Never, "; ")+" (common practice)"))
		}
		if j.Unfit() {
			_, why := j.Judge()
			out = append(out, p.labelled("Will not do", why[0].Say))
		}
	}
	return out
}

func ofName(name string) string {
	if name == "" {
		return ""
	}
	return " of " + strings.TrimSuffix(name, ": ")
}
