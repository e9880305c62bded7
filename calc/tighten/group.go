package tighten

import "lastbolt/calc"

// Group is the calculations about orders of tightening.
var Group = calc.NewGroup("tighten", "Tightening order",
	"In what order and how many passes bolts are tightened and loosened, for bolts anywhere, and what they do to each other.")

// The sources of the package's calculations.
var (
	sourceRule = calc.Source{Text: "MIL-HDBK-60 (1990), 5.7 and figure 4: in stages, a pair of opposite bolts, " +
		"then the pair a quarter turn on, then the pairs in between", Known: calc.Published}
	sourcePCC   = calc.Source{Text: "ASME PCC-1, legacy cross-pattern table for 4 to 24 bolts", Known: calc.FromMemory}
	sourceBibel = calc.Source{Text: "Bibel, US patent 5 278 775 (1994, expired): interaction coefficients and their inverse",
		Known: calc.Published}
	sourcePlate = calc.Source{Text: "thin plates (Kirchhoff) by Ritz' method with cubic B-splines; " +
		"complementarity by Murty's rule", Known: calc.FromMemory}
	sourcePractice = calc.Source{Text: "crack all bolts a quarter to half turn first in a crossing pattern; " +
		"tighten in two passes, halfway, then full", Known: calc.CommonPractice}
)
