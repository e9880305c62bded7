package belt

import (
	"math"
	"regexp"
	"strconv"
	"strings"

	"lastbolt/calc"
	"lastbolt/pattern"
	"lastbolt/quantity"
)

// A Marking is what the print on a belt says.
type Marking struct {
	Kind    string // "V-ribbed belt", "classical V belt" ...
	Profile string
	Ribs    int // 0: not a ribbed belt
	Length  quantity.Length
	Which   string // which length is marked: effective, inside, outside, datum
	Width   quantity.Length
	Note    string
}

// A belt's section and how much longer its pitch line is than its inside:
// Shigley, table 17-11 (in), from memory; and its top width (ISO 4184, from
// memory).
var sections = map[string]struct{ toPitch, width float64 }{
	"Z": {0.9, 10}, "A": {1.3, 13}, "B": {1.8, 17}, "C": {2.9, 22}, "D": {3.3, 32}, "E": {4.5, 38},
}

var markings = []struct {
	form func() *regexp.Regexp
	read func(m []string) Marking
}{
	{pattern.Of(`^(\d{1,2})([DE]?)P([HJKLM])(\d{3,5})$`), func(m []string) Marking {
		r := ribbed("P"+m[3], m[1], milli(number(m[4])))
		switch m[2] {
		case "D":
			r.Kind, r.Note = "V-ribbed belt with ribs on both sides", "Both sides drive; the back may run on grooved pulleys."
		case "E":
			r.Note = "An elastic belt: it goes on stretched, without a tensioner, and is replaced each time it comes off."
		}
		return r
	}},
	{pattern.Of(`^([HJKLM])(\d{2})(\d{4})$`), func(m []string) Marking {
		return ribbed("P"+m[1], m[2], quantity.Inch.Of(number(m[3])/10))
	}},
	{pattern.Of(`^(\d{2,5})([HJKLM])(\d{1,2})$`), func(m []string) Marking {
		return ribbed("P"+m[2], m[3], quantity.Inch.Of(number(m[1])/10))
	}},
	{pattern.Of(`^([ZABCDE])X?(\d{2,3})$`), func(m []string) Marking {
		return Marking{Kind: "classical V belt", Profile: m[1], Length: quantity.Inch.Of(number(m[2])), Which: "inside", Width: milli(sections[m[1]].width)}
	}},
	{pattern.Of(`^([SX]P[ZABC])(\d{3,5})$`), func(m []string) Marking {
		return Marking{Kind: "narrow V belt", Profile: m[1], Length: milli(number(m[2])), Which: "datum"}
	}},
	{pattern.Of(`^([358])VX?(\d{3,4})$`), func(m []string) Marking {
		return Marking{Kind: "narrow V belt", Profile: m[1] + "V", Length: quantity.Inch.Of(number(m[2]) / 10), Which: "outside", Width: quantity.Inch.Of(number(m[1]) / 8)}
	}},
	{pattern.Of(`^(?:AVX?)?(10|13)X(\d{3,4})(?:LA)?$`), func(m []string) Marking {
		return Marking{Kind: "automotive V belt", Profile: "AV" + m[1], Length: milli(number(m[2])), Which: "outside", Width: milli(number(m[1])),
			Note: "Some makers mark the inside length (Li) in this form; measure the old belt as well."}
	}},
	{pattern.Of(`^(\d{1,2})X(\d{3,5})LI$`), func(m []string) Marking {
		return Marking{Kind: "classical V belt", Profile: m[1] + " wide", Length: milli(number(m[2])), Which: "inside", Width: milli(number(m[1]))}
	}},
	{pattern.Of(`^(\d{1,2})X(\d{3,5})L[DPW]$`), func(m []string) Marking {
		return Marking{Kind: "V belt", Profile: m[1] + " wide", Length: milli(number(m[2])), Which: "datum", Width: milli(number(m[1]))}
	}},
}

func number(digits string) float64 {
	n, err := strconv.ParseFloat(digits, 64)
	if err != nil {
		panic("belt: " + err.Error()) // the forms let only digits through
	}
	return n
}

func ribbed(profile, ribs string, length quantity.Length) Marking {
	m := Marking{Kind: "V-ribbed belt", Profile: profile, Ribs: int(number(ribs)), Length: length, Which: "effective"}
	if p, err := ProfileNamed(profile); err == nil {
		m.Width = p.RibPitch * quantity.Length(m.Ribs)
	}
	return m
}

// ReadMarking reads the print on a belt: 6PK1200, K060955, 955K6, B112, SPZ1250,
// AVX10x825, 13x1000Li. Blanks, hyphens and small letters do not matter.
func ReadMarking(text string) (Marking, error) {
	bare := strings.NewReplacer(" ", "", "-", "", "×", "X", "*", "X", ".", "").Replace(strings.ToUpper(strings.TrimSpace(text)))
	for _, f := range markings {
		m := f.form().FindStringSubmatch(bare)
		if m == nil {
			continue
		}
		r := f.read(m)
		if strings.Contains(r.Kind, "ribbed") && (r.Ribs < 1 || r.Ribs > 40) {
			return r, calc.Cannot("%q would be a belt with %d ribs; read the marking again.", text, r.Ribs)
		}
		if r.Length <= 0 {
			return r, calc.Cannot("%q would be a belt without length; read the marking again.", text)
		}
		return r, nil
	}
	return Marking{}, calc.Cannot("%q is no marking known here; it looks like 6PK1200, K060955, B112, SPZ1250 or AVX10x825.", text)
}

var _ = Group.Add(func() calc.Definition {
	return calc.Definition{
		Name:  "belt-marking",
		Title: "What does the print on the belt say?",
		About: "Reads a belt's marking: its kind, ribs, and which of its lengths is marked.",
		Method: "Ribbed belts: ribs, P and profile letter, effective length in millimetres (6PK1200); or profile letter, two digits of ribs, effective length in tenths of an inch (K060955). Classical V belts: section and inside length in inches (B112). Automotive V belts: top width by outside length in millimetres. The pitch length of classical sections is the inside length and a fixed step.\n\n" +
			"Makers' own part numbers are not read. Over its back a PK belt measures about 14 mm more than its effective length.",
		Inputs: []calc.Input{{Name: "marking", Title: "Marking", Kind: calc.Text, Help: "Such as 6PK1200."}},
		Outputs: []calc.Output{
			{Name: "kind", Title: "Kind", Kind: calc.Text},
			{Name: "profile", Title: "Profile", Kind: calc.Text},
			{Name: "ribs", Title: "Ribs", Kind: calc.Count, Optional: true},
			{Name: "length", Title: "Marked length", Kind: "length", Unit: "mm", Digits: 5},
			{Name: "which", Title: "Which length that is", Kind: calc.Text},
			{Name: "pitch_length", Title: "Pitch length", Kind: "length", Unit: "mm", Digits: 5, Optional: true},
			{Name: "outside_length", Title: "Measured over the back, about", Kind: "length", Unit: "mm", Digits: 4, Optional: true},
			{Name: "width", Title: "Width, about", Kind: "length", Unit: "mm", Digits: 3, Optional: true},
		},
		Sources: []calc.Source{
			{Text: "6PK1200 and the 14 mm over the back: a belt maker's note on PK numbers (hawkbelt.com)", Known: calc.Published},
			{Text: "K060955: bustedbelt.com, page 401", Known: calc.Published},
			{Text: "Classical sections and their step to the pitch length: Shigley, table 17-11; narrow and automotive markings: ISO 4184 and 2790", Known: calc.FromMemory},
		},
		Example: map[string]string{"marking": "6PK1200"},
		Compute: func(in calc.In, a *calc.Answer) error {
			m, err := ReadMarking(in.Text("marking"))
			if err != nil {
				return in.Refuse("marking", "%s", sentenceOf(err))
			}
			a.Give("kind", m.Kind)
			a.Give("profile", m.Profile)
			a.Give("length", m.Length)
			a.Give("which", m.Which)
			if m.Ribs > 0 {
				a.Give("ribs", m.Ribs)
				p, err := ProfileNamed(m.Profile)
				if err != nil {
					return err
				}
				a.Give("pitch_length", m.Length+quantity.Length(2*math.Pi*float64(p.Differential)))
			}
			if s, ok := sections[m.Profile]; ok && m.Which == "inside" {
				a.Give("pitch_length", m.Length+quantity.Inch.Of(s.toPitch))
				a.Rest("pitch_length", calc.Tabulated, "Shigley, table 17-11, from memory; metric tables differ by a few millimetres")
			}
			if m.Profile == "PK" {
				a.Give("outside_length", m.Length+milli(14))
				a.Rest("outside_length", calc.Tabulated, "a belt maker's note")
			}
			if m.Width > 0 {
				a.Give("width", m.Width)
			}
			if m.Note != "" {
				a.Note("%s", m.Note)
			}
			return nil
		},
	}
})
