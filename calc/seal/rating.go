package seal

import "lastbolt/calc"

// A Rating is how a material stands a fluid.
type Rating string

// The ratings. Limited means that it may do, with a condition said beside it.
const (
	Suits    Rating = "suits"
	Limited  Rating = "limited"
	Unsuited Rating = "unsuited"
	NotKnown Rating = "not known"
)

// rated is one field of the table of ratings.
type rated struct {
	rating Rating
	why    string // a clause that follows a colon
	known  calc.Known
}

// Where the ratings come from, as they stand in the sources of the calculation.
const (
	bode    = "bodeseal.com, technical support: properties of elastomers"
	supply  = "oringsupplyco.com: NBR and EPDM compared"
	listing = "public listing of seal materials and media beside the GB/T 3452.1 sizes"
	danco   = "dancoindustry.com, materials chemical compatibility"
)

// Rate gives the rating of a material in a fluid, why, and how that is known.
// What is not in the table is not known.
func Rate(m Material, f Fluid) (Rating, string, calc.Known) {
	r, ok := ratings[m][f]
	if !ok && f.mineral() {
		r, ok = ratings[m][EngineOil]
	}
	if !ok {
		return NotKnown, "no source was found for this pair", calc.FromMemory
	}
	return r.rating, r.why, r.known
}

// ratings holds the families against the fluids. Mineral oils and grease share
// the row of engine oil.
var ratings = map[Material]map[Fluid]rated{
	NBR: {
		EngineOil:      {Suits, "good in mineral oil and grease", calc.Published},
		Coolant:        {Limited, "only while the coolant stays under about 80 °C, the hot-water limit", calc.Published},
		Water:          {Suits, "good in water under about 80 °C", calc.Published},
		Petrol:         {Limited, "special fuel grades only; the sources disagree", calc.Published},
		Diesel:         {Limited, "special fuel grades; the sources disagree, and one has it good", calc.Published},
		BrakeFluid:     {Unsuited, "glycol brake fluid swells and softens it; take EPDM", calc.Published},
		SiliconeBrake:  {Suits, "little swell", calc.FromMemory},
		RefrigerantPAG: {Limited, "one source has it good, the trade takes HNBR", calc.FromMemory},
		SiliconeGrease: {Suits, "not attacked", calc.FromMemory},
		UreaSolution:   {Limited, "the trade takes EPDM or HNBR", calc.FromMemory},
		AirAndOzone:    {Limited, "poor against ozone, which cracks it where it is stretched and open to the air", calc.Published},
	},
	HNBR: {
		EngineOil:      {Suits, "good in mineral oil and grease", calc.Published},
		Coolant:        {Suits, "good to about 100 °C, the hot-water limit", calc.Published},
		Water:          {Suits, "good to about 100 °C", calc.Published},
		Petrol:         {Limited, "average; one source has it good", calc.Published},
		Diesel:         {Limited, "average; one source has it good", calc.Published},
		BrakeFluid:     {Unsuited, "glycol brake fluid swells it; take EPDM", calc.Published},
		RefrigerantPAG: {Suits, "the usual rubber of vehicle air conditioning", calc.Published},
		SiliconeGrease: {Suits, "not attacked", calc.FromMemory},
		UreaSolution:   {Suits, "used for it", calc.FromMemory},
		AirAndOzone:    {Suits, "good against ozone", calc.Published},
	},
	EPDM: {
		EngineOil:      {Unsuited, "mineral oil and grease swell it by 30 to 80 % of its volume", calc.Published},
		Coolant:        {Suits, "the usual rubber of cooling systems", calc.Published},
		Water:          {Suits, "good in hot water", calc.Published},
		Petrol:         {Unsuited, "petrol swells it strongly", calc.Published},
		Diesel:         {Unsuited, "diesel swells it strongly", calc.Published},
		BrakeFluid:     {Suits, "the usual rubber of glycol brake systems", calc.Published},
		SiliconeBrake:  {Suits, "little swell", calc.FromMemory},
		RefrigerantPAG: {Limited, "stands the refrigerant, but not mineral oil left in the system", calc.FromMemory},
		SiliconeGrease: {Suits, "not attacked", calc.FromMemory},
		UreaSolution:   {Suits, "used for it", calc.FromMemory},
		AirAndOzone:    {Suits, "good against ozone", calc.Published},
	},
	FKM: {
		EngineOil:      {Suits, "excellent in hot mineral oil", calc.Published},
		Coolant:        {Limited, "hot-water limit about 80 °C, and amines in the coolant attack it", calc.Published},
		Water:          {Limited, "hot-water limit about 80 °C", calc.Published},
		Petrol:         {Suits, "good in petrol", calc.Published},
		Diesel:         {Suits, "good in diesel", calc.Published},
		BrakeFluid:     {Unsuited, "glycol brake fluid attacks it; take EPDM", calc.Published},
		SiliconeBrake:  {Suits, "little swell", calc.FromMemory},
		RefrigerantPAG: {Limited, "one source has it good, another memory says that R134a swells it; the trade takes HNBR", calc.FromMemory},
		SiliconeGrease: {Suits, "not attacked", calc.FromMemory},
		UreaSolution:   {Limited, "alkaline; ammonia attacks it", calc.Published},
		AirAndOzone:    {Suits, "excellent against ozone", calc.Published},
	},
	VMQ: {
		EngineOil:      {Limited, "average in mineral oil, and one source has it unsuited", calc.Published},
		Coolant:        {Limited, "to about 100 °C; weak and easily torn", calc.Published},
		Water:          {Limited, "to about 100 °C, no steam", calc.Published},
		Petrol:         {Unsuited, "petrol swells it strongly", calc.Published},
		Diesel:         {Unsuited, "diesel swells it strongly", calc.Published},
		SiliconeBrake:  {Unsuited, "a silicone fluid swells silicone rubber", calc.FromMemory},
		SiliconeGrease: {Unsuited, "like swells like: silicone grease swells silicone rubber", calc.FromMemory},
		AirAndOzone:    {Suits, "excellent against ozone", calc.Published},
	},
	FVMQ: {
		EngineOil:     {Suits, "good in mineral oil", calc.Published},
		Coolant:       {Limited, "to about 100 °C", calc.Published},
		Water:         {Limited, "to about 100 °C, no steam", calc.Published},
		Petrol:        {Suits, "good in petrol", calc.Published},
		Diesel:        {Suits, "good in diesel", calc.Published},
		BrakeFluid:    {Unsuited, "glycol brake fluid attacks it; take EPDM", calc.Published},
		UreaSolution:  {Unsuited, "alkaline; ammonia attacks it", calc.Published},
		AirAndOzone:   {Suits, "excellent against ozone", calc.Published},
		SiliconeBrake: {Limited, "a silicone fluid may swell it", calc.FromMemory},
		SiliconeGrease: {Limited,
			"may swell it; take a fluorinated grease", calc.FromMemory},
	},
	ACM: {
		EngineOil:      {Suits, "made for hot engine and transmission oil", calc.Published},
		Coolant:        {Unsuited, "water and glycol break it down", calc.Published},
		Water:          {Unsuited, "water breaks it down", calc.Published},
		UreaSolution:   {Unsuited, "water breaks it down", calc.Published},
		Petrol:         {Unsuited, "petrol swells it", calc.FromMemory},
		Diesel:         {Limited, "swells somewhat", calc.FromMemory},
		BrakeFluid:     {Unsuited, "glycol breaks it down; take EPDM", calc.FromMemory},
		SiliconeGrease: {Suits, "not attacked", calc.FromMemory},
		AirAndOzone:    {Suits, "resists ozone", calc.Published},
	},
	CR: {
		EngineOil:      {Limited, "average in mineral oil; one source has it good", calc.Published},
		Coolant:        {Limited, "only while the coolant stays under about 80 °C, the hot-water limit", calc.Published},
		Water:          {Suits, "good under about 80 °C", calc.Published},
		Petrol:         {Limited, "average in fuel", calc.Published},
		Diesel:         {Limited, "average in fuel", calc.Published},
		BrakeFluid:     {Unsuited, "glycol brake fluid is not for it; take EPDM", calc.Published},
		RefrigerantPAG: {Suits, "used in air conditioning", calc.Published},
		SiliconeGrease: {Suits, "not attacked", calc.FromMemory},
		AirAndOzone:    {Suits, "good against ozone", calc.Published},
	},
	PTFE: everything(rated{Suits, "hardly anything attacks it, but it is hard, creeps and seals only at rest", calc.Published}),
}

// everything rates every fluid alike.
func everything(r rated) map[Fluid]rated {
	all := map[Fluid]rated{}
	for _, f := range fluids {
		all[f.fluid] = r
	}
	return all
}
