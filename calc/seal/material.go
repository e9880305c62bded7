package seal

import "lastbolt/calc"

// A Material is a rubber's family, or PTFE, by its short sign (ISO 1629).
type Material string

// The materials.
const (
	NBR  Material = "NBR"
	HNBR Material = "HNBR"
	EPDM Material = "EPDM"
	FKM  Material = "FKM"
	VMQ  Material = "VMQ"
	FVMQ Material = "FVMQ"
	ACM  Material = "ACM"
	CR   Material = "CR"
	PTFE Material = "PTFE"
)

// Materials lists the materials, the common ones first.
func Materials() []Material {
	return []Material{NBR, HNBR, EPDM, FKM, VMQ, ACM, FVMQ, CR, PTFE}
}

// materialOptions is the choice of a material in a calculation.
func materialOptions() []calc.Option {
	var options []calc.Option
	for _, m := range Materials() {
		options = append(options, calc.Option{Value: string(m), Title: properties[m].title})
	}
	return options
}

// Title gives the material's name in words: "nitrile (NBR)".
func (m Material) Title() string { return properties[m].title }

// Known reports whether the material is one of those held here.
func (m Material) Known() bool { _, ok := properties[m]; return ok }

// property is what is published of a family; where sources disagree the careful
// and the bold figure both stand.
type property struct {
	title string
	// Temperatures in °C: cold and hot are what the careful source allows,
	// coldest and hottest what the bold one does.
	cold, coldest, hot, hottest float64
	hotWater                    float64 // °C, limit in water and coolant; 0 is not published
	grows                       float64 // linear, per kelvin
	look                        string  // a hint only: colour proves nothing
}

// properties: temperatures and hot water from bodeseal.com (technical support),
// the second limits from oringsupplyco.com and from a third article for NBR;
// ACM from dancoindustry.com and PTFE from a public listing of material data.
// Growth is of the O-ring handbooks' table, from memory: NBR, CR, EPDM, FKM and
// VMQ; HNBR is taken as NBR, ACM as FKM, FVMQ as VMQ (estimates), PTFE from
// memory.
var properties = map[Material]property{
	NBR:  {"nitrile (NBR)", -25, -40, 100, 120, 80, 11.2e-5, "mostly black"},
	HNBR: {"hydrogenated nitrile (HNBR)", -30, -40, 150, 150, 100, 11.2e-5, "often green in air conditioning"},
	EPDM: {"ethylene propylene (EPDM)", -45, -50, 130, 150, 130, 16.0e-5, "mostly black, sometimes with a purple mark"},
	FKM:  {"fluorocarbon rubber (FKM)", -15, -20, 200, 200, 80, 16.2e-5, "brown, green or black, heavier than the others"},
	VMQ:  {"silicone rubber (VMQ)", -55, -60, 200, 200, 100, 18.0e-5, "red, orange or clear, tears easily"},
	FVMQ: {"fluorosilicone (FVMQ)", -55, -60, 175, 200, 100, 18.0e-5, "often blue"},
	ACM:  {"acrylate rubber (ACM)", -15, -20, 150, 150, 0, 16.2e-5, "black"},
	CR:   {"chloroprene (CR)", -40, -40, 100, 120, 80, 13.7e-5, "black"},
	PTFE: {"PTFE", -60, -60, 260, 260, 260, 12.6e-5, "white, hard, not rubber"},
}

// A Fluid is what a seal must hold.
type Fluid string

// The fluids.
const (
	Coolant        Fluid = "coolant"
	Water          Fluid = "water"
	EngineOil      Fluid = "engine oil"
	GearOil        Fluid = "gear oil"
	Transmission   Fluid = "transmission fluid"
	Hydraulic      Fluid = "hydraulic oil"
	Petrol         Fluid = "petrol"
	Diesel         Fluid = "diesel"
	BrakeFluid     Fluid = "brake fluid"
	SiliconeBrake  Fluid = "silicone brake fluid"
	RefrigerantPAG Fluid = "refrigerant"
	MineralGrease  Fluid = "mineral grease"
	SiliconeGrease Fluid = "silicone grease"
	UreaSolution   Fluid = "urea solution"
	AirAndOzone    Fluid = "air"
)

// Fluids lists the fluids.
func Fluids() []Fluid {
	var all []Fluid
	for _, f := range fluids {
		all = append(all, f.fluid)
	}
	return all
}

// Title gives the fluid's name in words.
func (f Fluid) Title() string {
	for _, known := range fluids {
		if known.fluid == f {
			return known.title
		}
	}
	return string(f)
}

// watery reports whether the limit for hot water holds.
func (f Fluid) watery() bool { return f == Coolant || f == Water || f == UreaSolution }

// mineral reports whether the fluid is a mineral oil or grease.
func (f Fluid) mineral() bool {
	switch f {
	case EngineOil, GearOil, Transmission, Hydraulic, MineralGrease:
		return true
	}
	return false
}

var fluids = []struct {
	fluid Fluid
	title string
}{
	{Coolant, "coolant (water and glycol)"},
	{Water, "water"},
	{EngineOil, "engine oil"},
	{GearOil, "gear oil"},
	{Transmission, "automatic transmission fluid"},
	{Hydraulic, "mineral hydraulic oil"},
	{Petrol, "petrol"},
	{Diesel, "diesel"},
	{BrakeFluid, "brake fluid DOT 3, 4 or 5.1 (glycol)"},
	{SiliconeBrake, "brake fluid DOT 5 (silicone)"},
	{RefrigerantPAG, "refrigerant R134a or R1234yf with PAG oil"},
	{MineralGrease, "mineral grease"},
	{SiliconeGrease, "silicone grease"},
	{UreaSolution, "urea solution for exhaust treatment"},
	{AirAndOzone, "air and ozone"},
}

func fluidOptions() []calc.Option {
	var options []calc.Option
	for _, f := range fluids {
		options = append(options, calc.Option{Value: string(f.fluid), Title: f.title})
	}
	return options
}
