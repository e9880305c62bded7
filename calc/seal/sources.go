package seal

import "lastbolt/calc"

// The sources the calculations share.
var (
	fromDirectory = calc.Source{Text: "marcorubber.com, O-ring groove design directory: squeeze, stretch, fill and their usual ranges", Known: calc.Published}
	fromStretch   = calc.Source{Text: "gallagherseals.com, How to design an O-ring gland: stretch", Known: calc.Published}
	fromGland     = calc.Source{Text: "usseal.com, general design and gland dimensions: depth from bore and groove, most and least", Known: calc.Published}
	fromApple     = calc.Source{Text: "Apple Rubber, seal types and gland design (fdocument.pub): static gland table", Known: calc.Published}
	fromCurve     = calc.Source{Text: "O-ring handbooks' curve of section against stretch, as two public source listings and a design note give it", Known: calc.Published}
	fromVolume    = calc.Source{Text: "applerubber.com, seal compression: section under stretch at constant volume", Known: calc.Published}
	fromAS568     = calc.Source{Text: "AS568 sizes and tolerances as a public listing gives them, three slips in it mended", Known: calc.Published}
	fromISO       = calc.Source{Text: "ISO 3601-1 sizes as a public listing of its equal GB/T 3452.1-2005 gives them", Known: calc.Published}
	fromClassB    = calc.Source{Text: "rtdygert.com, tolerances for metric O-rings: ISO 3601-1 class B; exponent 0.95, which alone fits the values printed there", Known: calc.Published}
	fromJIS       = calc.Source{Text: "JIS B 2401 sizes P and G as a public listing gives them; tolerances taken as class B", Known: calc.Published}
	fromFill      = calc.Source{Text: "Fill at most 85 %, common in the handbooks", Known: calc.FromMemory}
	fromBode      = calc.Source{Text: bode, Known: calc.Published}
	fromSupply    = calc.Source{Text: supply, Known: calc.Published}
	fromListing   = calc.Source{Text: listing, Known: calc.Published}
	fromDanco     = calc.Source{Text: danco, Known: calc.Published}
	fromGrowth    = calc.Source{Text: "Linear growth of rubbers, table of the O-ring handbooks", Known: calc.FromMemory}
)
