package coolant

// The two glycols. Vapour pressures are the Antoine sets of the Landolt-Börnstein
// collection, ln(p/Pa) = A − B/(T/K + C), good from about 370 to 490 K, as carried
// by the chemicals library (Landolt_antoine_V20). Melinder 2010 is the SecCool
// data up to 56 or 57 mass per cent and otherwise the book's fit. SAE J814
// (2023-05) is quoted at tnlab.org, Lange 15th edition, table 5.13, at yumpu.com.

var ethylene = glycol{
	molar: 62.068, pure: 1113.5,
	antoine: [3]float64{25.14284766, 6022.181052, -28.25},
	// Above 60 mass per cent: volumes before mixing at 20 °C.
	strength:     columns(ashraeEthylene, 0, 1, 65, 62.47, 70, 67.66, 80, 78.20, 90, 88.97, 100, 100),
	j814Freezing: through(40, -24, 50, -37, 60, -52, 70, -64),
	j814Boiling:  through(40, 106, 50, 108, 60, 111, 70, 114),
	otherName:    "values after ASTM D1177",
	// 30, 50 and 60 per cent stand at kaspercalc.com; the others are from memory.
	other: through(0, 0, 10, -3.4, 20, -7.9, 30, -13.7, 40, -23.5, 50, -36.8, 60, -52.8),
}

var propylene = glycol{
	molar: 76.094, pure: 1036.1,
	antoine:      [3]float64{25.42514484, 6091.949380, -22.45},
	strength:     columns(ashraePropylene, 0, 1, 80, 79.6, 100, 100),
	j814Freezing: through(40, -21, 50, -33, 60, -49, 70, -61),
	j814Boiling:  through(40, 104, 50, 106, 60, 109, 70, 112),
	otherName:    "Lange",
	other:        through(0, 0, 5, -1.1, 10, -2.2, 15, -3.9, 20, -6.7, 25, -8.9, 30, -12.8, 35, -16.1, 40, -20.6, 45, -26.7, 50, -33.3),
}

// init fills in the larger tables, which would hide the rest above.
func init() {
	e, p := &ethylene, &propylene
	// CoolProp's fit of the ASHRAE table, good to 60 volume per cent, gives the
	// last point, which the table (it ends at 60 mass per cent) does not.
	e.ashrae.freezing = columns(ashraeEthylene, 1, 2, 60, -52.0)
	p.ashrae.freezing = columns(ashraePropylene, 1, 2)
	// Melinder's fit gives 60 mass per cent and is carried on to 62.6, which is
	// 60 per cent by volume.
	e.melinder.freezing = through(0, 0, 5, -1.653179544, 10, -3.400690275, 15, -5.446263312, 20, -7.932329993,
		25, -10.95978239, 30, -14.59739331, 35, -18.89123628, 40, -23.87410559, 45, -29.57493625,
		50, -36.02822398, 55, -43.28344527, 56, -44.83668719, 60, -51.20, 62.65, -55.65)
	p.melinder.freezing = through(0, 0, 5, -1.21, 10, -2.87, 15, -5.004475347, 20, -7.163558874, 25, -9.970529762,
		30, -13.08164068, 35, -16.57527373, 40, -20.7918154, 45, -26.17353161, 50, -33.10444269,
		55, -41.7501984, 57, -45.6573557)
	for _, g := range []*glycol{e, p} {
		g.mass = g.strength.turned()
	}

	// The fits CoolProp gives for the ASHRAE tables (fluids AEG and APG): x is the
	// volume share, T in °C, kg/m³ and J/(kg·K).
	e.ashrae.density = matrix{0.35, 32.5, [][]float64{
		{1047.337, 140.4485, -48.70559, 71.41693, 52.4585, -693.3962},
		{-0.4505054, -0.3001582, -0.03952614, 0.02496264, -0.06817576},
		{-0.002432696, -2.084384e-5, 0.0003108353, -0.0008979712},
		{-3.72545e-9, 1.044784e-6, -4.391164e-6}}}
	e.ashrae.heat = matrix{0.35, 32.5, [][]float64{
		{3596.551, -1707.073, -444.7538, -552.7923, -715.9059, 7905.301},
		{3.096886, 5.184379, -0.7061384, 0.7949891, -0.6689394},
		{-3.388642e-5, 0.0003639717, 0.0009169943, -0.005359818},
		{3.171299e-7, -2.457345e-6, 1.419543e-5}}}
	p.ashrae.density = matrix{0.35, 32.5, [][]float64{
		{1026.177, 72.53677, -65.32547, 34.66575, -15.82785, -213.9879},
		{-0.5350059, -0.5056296, 0.1751278, -0.092333, 0.02877433},
		{-0.002566157, -0.0001703579, 0.001165892, -0.000207517},
		{-5.177362e-9, 9.673215e-9, 3.368862e-7}}}
	p.ashrae.heat = matrix{0.35, 32.5, [][]float64{
		{3815.392, -1391.877, -1121.4, -419.3939, -243.53, 4054.145},
		{3.025751, 5.558605, -0.1073388, 0.5290725, -2.262081},
		{4.165345e-5, -9.03207e-5, -0.003392169, 0.01079472},
		{-4.309483e-7, -1.33518e-6, 3.538903e-5}}}

	// Melinder's data to 40 °C and 56 or 57 mass per cent through the fits MEG2 and
	// MPG2, and beyond that the book's own coefficients, to 60 per cent and 100 °C.
	// x is the mass per cent of the latter and the mass share of the former.
	e.melinder.density = joined{scale: 0.01, least: 0, most: 56, warmest: 40,
		fine: matrix{0.28, -2, [][]float64{
			{1042.886, 159.4755, 8.950418, -40.38614, -245.8249, -1128},
			{-0.2281015, -1.252875, 0.5368405, 5.033554, -3.847999},
			{-0.004163846, 0.008265311, 0.0005488274, -0.05522999},
			{1.248777e-5, 8.414822e-6, -9.808993e-5}}},
		wide: matrix{30.8462, 31.728, [][]float64{
			{1034, 1.311, 0.0000749, -0.0001062, -9.623e-7, 4.891e-8},
			{-0.4781, -0.006876, 7.855e-5, 1.229e-6, -7.211e-8},
			{-0.002692, 4.805e-5, -3.995e-7, -1.153e-8},
			{4.725e-6, 1.69e-8, 4.982e-9}}}}
	e.melinder.heat = joined{scale: 0.01, least: 0, most: 56, warmest: 40,
		fine: matrix{0.28, -2, [][]float64{
			{3716.958, -2330.31, -1779.415, 5431.898, 8763.437, -33800},
			{2.791511, 13.09755, -21.97181, 48.28634, 51.9},
			{0.004412513, -0.08213426, 0.4803276, -0.7777},
			{-9.205186e-5, 0.001177298, -0.00325}}},
		wide: matrix{30.8462, 31.728, [][]float64{
			{3737, -17.99, -0.09933, 0.00261, 1.537e-5, -1.618e-6},
			{2.93, 0.1046, 3.516e-4, -1.189e-6, -4.272e-7},
			{-0.004675, -4.147e-4, 5.109e-6, -1.643e-7},
			{-1.389e-5, 1.847e-7, -7.138e-8}}}}
	p.melinder.density = joined{scale: 0.01, least: 15, most: 57, warmest: 40,
		fine: matrix{0.36, -2.5, [][]float64{
			{1039.228, 102.8391, -123.5976, 144.4155, 1100.783, -6033},
			{-0.3643274, -1.363253, 2.190903, 2.141699, -29.15},
			{-0.003519521, 0.01436973, -0.05431317, -0.03025999},
			{3.065674e-6, -0.0001320439, 0.001153}}},
		wide: matrix{30.7031, 32.7083, [][]float64{
			{1018, 0.7604, -0.002498, -0.000155, -1.131e-6, 2.342e-8},
			{-0.5406, -0.00945, 2.7e-5, 2.829e-6, -2.221e-8},
			{-0.002666, 5.541e-5, -4.018e-7, -7.175e-9},
			{1.347e-5, -1.343e-7, 3.376e-9}}}}
	p.melinder.heat = joined{scale: 0.01, least: 15, most: 57, warmest: 40,
		fine: matrix{0.36, -2.5, [][]float64{
			{3800.663, -1873.36, -1929.321, 7895.204, 7505.431, -106800},
			{0.4621305, 13.36663, 1.929735, -43.96823, -9.049997},
			{0.02279298, -0.1520443, 0.08836986, 1.286},
			{-4.755331e-5, 9.18551e-4, -0.003148}}},
		wide: matrix{30.7031, 32.7083, [][]float64{
			{3882, -13.04, -0.1598, 3.539e-4, 5e-5, -4.959e-7},
			{2.699, 0.0507, 9.534e-5, 3.102e-5, -7.135e-7},
			{-0.001659, -4.752e-5, 1.167e-5, -2.95e-7},
			{-1.032e-5, 1.522e-6, -4.87e-8}}}}
}
