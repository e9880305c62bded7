package coolant

// Ethylene glycol. The vapour pressure is the Antoine set of the Landolt-Börnstein
// collection, ln(p/Pa) = A − B/(T/K + C), good from 371 to 494 K, as carried by
// the chemicals library. SAE J814 (2023-05) is quoted at tnlab.org. Melinder is
// the SecCool data to 40 °C and 56 mass per cent through the fit MEG2, and above
// 56 per cent the book's own coefficients (fluid MEG) set on to it.
var ethylene = glycolOf(glycol{
	molar: 62.068, pure: 1113.5,
	antoine: [3]float64{25.14284766, 6022.181052, -28.25},
	// Above 60 mass per cent: volumes before mixing at 20 °C.
	strength:     columns(ashraeEthylene, 0, 1, 65, 62.47, 70, 67.66, 80, 78.20, 90, 88.97, 100, 100),
	j814Freezing: through(40, -24, 50, -37, 60, -52, 70, -64),
	j814Boiling:  through(40, 106, 50, 108, 60, 111, 70, 114),
	otherName:    "values after ASTM D1177",
	// 30, 50 and 60 per cent stand at kaspercalc.com; the others are from memory.
	other: through(0, 0, 10, -3.4, 20, -7.9, 30, -13.7, 40, -23.5, 50, -36.8, 60, -52.8),
	ashrae: inhibited{
		// CoolProp's fit, good to 60 volume per cent, gives the last point, which the
		// table (it ends at 60 mass per cent) does not.
		freezing: columns(ashraeEthylene, 1, 2, 60, -52.0),
		// The fits CoolProp gives for the tables: x is the volume share.
		density: matrix{0.35, 32.5, [][]float64{
			{1047.337, 140.4485, -48.70559, 71.41693, 52.4585, -693.3962},
			{-0.4505054, -0.3001582, -0.03952614, 0.02496264, -0.06817576},
			{-0.002432696, -2.084384e-5, 0.0003108353, -0.0008979712},
			{-3.72545e-9, 1.044784e-6, -4.391164e-6}}},
		heat: matrix{0.35, 32.5, [][]float64{
			{3596.551, -1707.073, -444.7538, -552.7923, -715.9059, 7905.301},
			{3.096886, 5.184379, -0.7061384, 0.7949891, -0.6689394},
			{-3.388642e-5, 0.0003639717, 0.0009169943, -0.005359818},
			{3.171299e-7, -2.457345e-6, 1.419543e-5}}}},
	melinder: plain{
		// The book's fit gives 60 mass per cent and is carried on to 62.65, which is
		// 60 per cent by volume.
		freezing: through(0, 0, 5, -1.653179544, 10, -3.400690275, 15, -5.446263312, 20, -7.932329993,
			25, -10.95978239, 30, -14.59739331, 35, -18.89123628, 40, -23.87410559, 45, -29.57493625,
			50, -36.02822398, 55, -43.28344527, 56, -44.83668719, 60, -51.20, 62.65, -55.65),
		density: joined{scale: 0.01, least: 0, most: 56, warmest: 40,
			fine: matrix{0.28, -2, [][]float64{
				{1042.886, 159.4755, 8.950418, -40.38614, -245.8249, -1128},
				{-0.2281015, -1.252875, 0.5368405, 5.033554, -3.847999},
				{-0.004163846, 0.008265311, 0.0005488274, -0.05522999},
				{1.248777e-5, 8.414822e-6, -9.808993e-5}}},
			wide: matrix{30.8462, 31.728, [][]float64{
				{1034, 1.311, 0.0000749, -0.0001062, -9.623e-7, 4.891e-8},
				{-0.4781, -0.006876, 7.855e-5, 1.229e-6, -7.211e-8},
				{-0.002692, 4.805e-5, -3.995e-7, -1.153e-8},
				{4.725e-6, 1.69e-8, 4.982e-9}}}},
		heat: joined{scale: 0.01, least: 0, most: 56, warmest: 40,
			fine: matrix{0.28, -2, [][]float64{
				{3716.958, -2330.31, -1779.415, 5431.898, 8763.437, -33800},
				{2.791511, 13.09755, -21.97181, 48.28634, 51.9},
				{0.004412513, -0.08213426, 0.4803276, -0.7777},
				{-9.205186e-5, 0.001177298, -0.00325}}},
			wide: matrix{30.8462, 31.728, [][]float64{
				{3737, -17.99, -0.09933, 0.00261, 1.537e-5, -1.618e-6},
				{2.93, 0.1046, 3.516e-4, -1.189e-6, -4.272e-7},
				{-0.004675, -4.147e-4, 5.109e-6, -1.643e-7},
				{-1.389e-5, 1.847e-7, -7.138e-8}}}}},
})
