package fastener

// grades holds the strengths: proof, yield, ultimate. The proof strengths and
// the ultimate ones of classes 4.6 to 12.9 reproduce the load tables of ISO
// 898-1; A307, A325, A449, A354 and the SAE grades 1, 2, 5 and 8 were seen in
// tables of those standards; the rest is from memory.
// A diameter between two ranges takes the later one, which begins just above.
var grades = []Grade{
	class("3.6", mpa(180, 190, 330)),
	class("4.6", mpa(225, 240, 400)),
	class("4.8", mpa(310, 340, 420)),
	class("5.6", mpa(280, 300, 500)),
	class("5.8", mpa(380, 420, 520)),
	class("6.8", mpa(440, 480, 600)),
	{Name: "8.8", System: Metric, Standard: "ISO 898-1", Head: "8.8",
		ranges: []strengthRange{{1, 16, mpa(580, 640, 800)}, {16, 68, mpa(600, 660, 830)}}},
	{Name: "9.8", System: Metric, Standard: "ISO 898-1", Head: "9.8", ranges: []strengthRange{{1, 16, mpa(650, 720, 900)}}},
	class("10.9", mpa(830, 940, 1040)),
	class("12.9", mpa(970, 1100, 1220)),
	stainless("A2-50", 210, 500), stainless("A2-70", 450, 700), stainless("A2-80", 600, 800),
	stainless("A4-50", 210, 500), stainless("A4-70", 450, 700), stainless("A4-80", 600, 800),
	stainless("A4-100", 800, 1000),
	inch("SAE 1", "SAE J429", "no mark", strengthRange{0.06, 1.5, ksi(33, 36, 60)}),
	inch("SAE 2", "SAE J429", "no mark", strengthRange{0.06, 0.75, ksi(55, 57, 74)}, strengthRange{0.75, 1.5, ksi(33, 36, 60)}),
	inch("SAE 4", "SAE J429, studs", "no mark", strengthRange{0.06, 1.5, ksi(65, 100, 115)}),
	inch("SAE 5", "SAE J429", "three lines", strengthRange{0.06, 1, ksi(85, 92, 120)}, strengthRange{1, 1.5, ksi(74, 81, 105)}),
	inch("SAE 5.2", "SAE J429", "three lines in a narrow fan", strengthRange{0.06, 1, ksi(85, 92, 120)}),
	inch("SAE 8", "SAE J429", "six lines", strengthRange{0.06, 1.5, ksi(120, 130, 150)}),
	inch("SAE 8.2", "SAE J429", "six lines in a narrow fan", strengthRange{0.06, 1, ksi(120, 130, 150)}),
	inch("A307 A", "ASTM A307", "307A", strengthRange{0.25, 4, ksi(0, 36, 60)}),
	inch("A325", "ASTM A325 (F3125)", "A325", strengthRange{0.5, 1, ksi(85, 92, 120)}, strengthRange{1, 1.5, ksi(74, 81, 105)}),
	inch("A354 BC", "ASTM A354", "BC", strengthRange{0.25, 2.5, ksi(105, 109, 125)}, strengthRange{2.5, 4, ksi(95, 99, 115)}),
	inch("A354 BD", "ASTM A354", "BD and six lines", strengthRange{0.25, 2.5, ksi(120, 130, 150)}, strengthRange{2.5, 4, ksi(105, 115, 140)}),
	inch("A449", "ASTM A449", "three lines", strengthRange{0.25, 1, ksi(85, 92, 120)}, strengthRange{1, 1.5, ksi(74, 81, 105)},
		strengthRange{1.5, 3, ksi(55, 58, 90)}),
	inch("A490", "ASTM A490 (F3125)", "A490", strengthRange{0.5, 1.5, ksi(120, 130, 150)}),
	inch("A574", "ASTM A574, socket heads", "socket head", strengthRange{0.06, 0.5, ksi(140, 162, 180)}, strengthRange{0.5, 4, ksi(135, 153, 170)}),
	stud("B7", strengthRange{0.25, 2.5, ksi(0, 105, 125)}, strengthRange{2.5, 4, ksi(0, 95, 115)}),
	stud("B8", strengthRange{0.25, 4, ksi(0, 30, 75)}),
}

func class(name string, s Strength) Grade {
	return Grade{Name: name, System: Metric, Standard: "ISO 898-1", Head: name, ranges: []strengthRange{{1, 68, s}}}
}

// stainless is an austenitic class of ISO 3506-1, which has no proof strength.
func stainless(name string, yield, ultimate float64) Grade {
	return Grade{Name: name, System: Metric, Both: true, Standard: "ISO 3506-1", Head: name, ranges: []strengthRange{{1.6, 39, mpa(0, yield, ultimate)}}}
}

func inch(name, standard, head string, ranges ...strengthRange) Grade {
	return Grade{Name: name, System: Unified, Standard: standard, Head: head, ranges: ranges}
}

// stud is a grade of ASTM A193 (B8 of its class 1), with inch and metric threads.
func stud(name string, ranges ...strengthRange) Grade {
	return Grade{Name: name, System: Unified, Both: true, Standard: "ASTM A193", Head: name, ranges: ranges}
}
