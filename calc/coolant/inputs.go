package coolant

import (
	"lastbolt/calc"
	"lastbolt/quantity"
)

// Inputs that several calculations ask for.

var askBase = calc.Input{Name: "base", Title: "Glycol", Kind: calc.Choice, Default: "ethylene",
	Help: "What the coolant is made of; the label or the safety sheet says. Most are ethylene glycol.",
	Choices: []calc.Option{
		{Value: "ethylene", Title: "ethylene glycol (poisonous)"},
		{Value: "propylene", Title: "propylene glycol"}}}

func baseOf(in calc.In) Base {
	if in.Choice("base") == "propylene" {
		return Propylene
	}
	return Ethylene
}

func askStrength(preset string) calc.Input {
	return calc.Input{Name: "strength", Title: "Antifreeze in the mixture", Kind: calc.Number, Unit: "%", Min: "0", Max: "100", Default: preset}
}

var askBy = calc.Input{Name: "by", Title: "Per cent of", Kind: calc.Choice, Default: "volume",
	Help: "Mixing tables and bottles count volume; property tables often count mass. 50 % by volume is 52 % by mass of ethylene glycol.",
	Choices: []calc.Option{
		{Value: "volume", Title: "volume"},
		{Value: "mass", Title: "mass"}}}

// shareOf reads strength and by, and refuses what is stronger than most, the
// reach of the tables.
func shareOf(in calc.In, b Base, most VolumeShare) (VolumeShare, error) {
	percent := in.Number("strength")
	v := VolumeShare(percent / 100)
	if in.Choice("by") == "mass" {
		v = b.Volume(MassShare(percent / 100))
	}
	if v <= most+1e-9 {
		return min(v, most), nil
	}
	if percent >= 99 {
		return 0, in.Refuse("strength", "Antifreeze in the mixture: %s %% is the concentrate itself, which freezes far sooner "+
			"than a mixture (pure ethylene glycol at about −13 °C) and carries heat badly; thin it with water and ask for at most %.0f %% by volume.",
			in.Written("strength"), 100*float64(most))
	}
	return 0, in.Refuse("strength", "Antifreeze in the mixture: %s %% by %s is stronger than the published tables reach; ask for at most %.0f %% by volume.",
		in.Written("strength"), in.Choice("by"), 100*float64(most))
}

var askAltitude = calc.Input{Name: "altitude", Title: "Altitude", Kind: "length", Unit: "m", Default: "0 m",
	Help: "Of the highest place the vehicle goes to."}

// Roads run from the Dead Sea shore to the high passes; the limits are of the trade.
func altitudeOf(in calc.In) (quantity.Length, error) {
	h := in.Length("altitude")
	if h < quantity.Metres(-450) || h > quantity.Metres(6000) {
		return 0, in.Refuse("altitude", "Altitude: %s is where no road is; write between -450 m and 6000 m.", in.Written("altitude"))
	}
	return h, nil
}

var askCap = []calc.Input{
	{Name: "system", Title: "The system is", Kind: calc.Choice, Default: "capped",
		Choices: []calc.Option{
			{Value: "capped", Title: "closed by a pressure cap"},
			{Value: "open", Title: "open to the air, or the cap leaks"}}},
	{Name: "cap", Title: "Pressure the cap holds", Kind: "pressure", Unit: "bar", Default: "1 bar",
		Help: "Over the air outside, as stamped on the cap. Not asked of an open system."},
}

// pressureOf is the absolute pressure in the system: caps are gauge devices.
func pressureOf(in calc.In) (absolute quantity.Pressure, err error) {
	altitude, err := altitudeOf(in)
	if err != nil {
		return 0, err
	}
	air := Atmosphere(altitude)
	if in.Choice("system") == "open" {
		return air, nil
	}
	held := in.Pressure("cap")
	switch {
	case held <= 0:
		return 0, in.Refuse("cap", "Pressure the cap holds: a cap of %s holds nothing; choose the open system, or read the figure on the cap (most are 0.9 to 1.4 bar).", in.Written("cap"))
	case held > quantity.Bars(2.2):
		return 0, in.Refuse("cap", "Pressure the cap holds: %s is more than any road vehicle's cap; most are 0.9 to 1.4 bar (13 to 20 psi). Look whether the figure is in kPa or psi.", in.Written("cap"))
	}
	return air + held, nil
}

// The sources by the words they are cited with.
var (
	fromASHRAE   = calc.Source{Text: "ASHRAE Handbook Fundamentals 2001, secondary coolants: tables as data in CoolProp (SecCool) and its fits AEG and APG", Known: calc.Published}
	fromMelinder = calc.Source{Text: "Melinder, Properties of Secondary Working Fluids for Indirect Systems, 2010: tables and coefficients as data in CoolProp", Known: calc.Published}
	fromJ814     = calc.Source{Text: "SAE J814 (2023-05), freezing and boiling points of glycol coolants, as quoted at tnlab.org", Known: calc.Published}
	fromLange    = calc.Source{Text: "Lange's Handbook of Chemistry, 15th edition, table 5.13 (propylene glycol)", Known: calc.Published}
	fromD1177    = calc.Source{Text: "Ethylene glycol by volume after ASTM D1177: 30, 50 and 60 % at kaspercalc.com, the other points from memory", Known: calc.FromMemory}
	fromIF97     = calc.Source{Text: "IAPWS Industrial Formulation 1997, revised release 2007, region 4", Known: calc.Published}
	fromAntoine  = calc.Source{Text: "Antoine constants of the glycols, Landolt-Börnstein collection, as carried by the chemicals library", Known: calc.Published}
	fromAir      = calc.Source{Text: "ISO 2533 standard atmosphere (U.S. Standard Atmosphere 1976)", Known: calc.Published}
	fromKell     = calc.Source{Text: "Water density: Bettin and Spieweck after Kell, IP Standard Methods 1998, Appendix G", Known: calc.Published}
)

// notMakers is said with every figure of a mixture.
const notMakers = "Where the coolant's own label or the vehicle's maker gives a figure, that one holds: inhibitors and the water in a concentrate shift these values."
