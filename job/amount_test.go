package job

import "testing"

func TestAmountsAreAddedAndCompared(t *testing.T) {
	for _, row := range []struct {
		name   string
		need   []string
		count  int
		text   string
		have   string
		status ReadyStatus
		short  string
	}{
		{"volumes in different units", []string{"0.4 L", "100 ml"}, 0, "0.5 L", "1 L", AtHand, ""},
		{"a volume short", []string{"2 L"}, 0, "2 L", "500 ml", Missing, "1.5 L"},
		{"just enough", []string{"0.1 L", "0.2 L"}, 0, "300 mL", "0.3 L", AtHand, ""},
		{"masses", []string{"30 g", "1 kg"}, 0, "1.03 kg", "1 kg", Missing, "30 g"},
		{"a decimal comma", []string{"0,5 L"}, 0, "0.5 L", "0,5 L", AtHand, ""},
		{"words", []string{"1 pair", "2 pairs"}, 0, "3 pairs", "2 pairs", Missing, "1 pairs"},
		{"words and volume stay apart", []string{"1 tube", "50 ml"}, 0, "50 mL + 1 tube", "1 tube", NotKnownYet, ""},
		{"pieces", nil, 4, "4", "3", Missing, "1"},
		{"one piece", nil, 1, "", "1", AtHand, ""},
		{"another measure", []string{"2 L"}, 0, "2 L", "2 bottles", NotKnownYet, ""},
		{"a need not known", []string{""}, 0, "", "5 L", NotKnownYet, ""},
		{"some of it not known", []string{"", "1 L"}, 0, "1 L + an amount not known", "5 L", NotKnownYet, ""},
		{"a shelf amount not known", []string{"1 L"}, 0, "1 L", "", NotKnownYet, ""},
		{"a text without a number", []string{"a little"}, 0, "1 a little", "a lot", NotKnownYet, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := sum{count: row.count}
			for _, a := range row.need {
				s.add(a)
			}
			status, short := s.against(row.have)
			if got := s.String(); got != row.text || status != row.status || short != row.short {
				t.Errorf("need %q, %s, short %q; want %q, %s, %q", got, status, short, row.text, row.status, row.short)
			}
		})
	}
}
