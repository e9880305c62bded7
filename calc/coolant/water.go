package coolant

import (
	"math"

	"lastbolt/quantity"
)

// The coefficients of region 4 of IAPWS-IF97, table 34 of the revised release
// of 2007 (iapws.org/relguide/IF97-Rev.pdf).
var if97 = [10]float64{1167.0521452767, -724213.16703206, -17.073846940092, 12020.824702470, -3232555.0322333,
	14.915108613530, -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798}

// SaturationPressure is the absolute pressure at which water boils at a
// temperature: the saturation line of IAPWS-IF97, equation 30. It holds from
// 0 °C to 373.9 °C and is within 0.03 % there; outside it is NaN.
func SaturationPressure(t quantity.Temperature) quantity.Pressure {
	k := float64(t) // the base unit
	if k < 273.15 || k > 647.096 {
		return quantity.Pressure(math.NaN())
	}
	n := &if97
	theta := k + n[8]/(k-n[9])
	a := theta*theta + n[0]*theta + n[1]
	b := n[2]*theta*theta + n[3]*theta + n[4]
	c := n[5]*theta*theta + n[6]*theta + n[7]
	root := 2 * c / (-b + math.Sqrt(b*b-4*a*c))
	return quantity.Pressure(1e6 * root * root * root * root)
}

// SaturationTemperature is the temperature at which water boils under an
// absolute pressure, equation 31 of IAPWS-IF97; NaN outside 611.213 Pa to
// 22.064 MPa. It undoes SaturationPressure to within 1 mK.
func SaturationTemperature(p quantity.Pressure) quantity.Temperature {
	m := float64(p) / 1e6
	if m < 611.212e-6 || m > 22.0641 {
		return quantity.Temperature(math.NaN())
	}
	n := &if97
	beta := math.Sqrt(math.Sqrt(m))
	e := beta*beta + n[2]*beta + n[5]
	f := n[0]*beta*beta + n[3]*beta + n[6]
	g := n[1]*beta*beta + n[4]*beta + n[7]
	d := 2 * g / (-f - math.Sqrt(f*f-4*e*g))
	return quantity.Temperature((n[9] + d - math.Sqrt((n[9]+d)*(n[9]+d)-4*(n[8]+n[9]*d))) / 2)
}

// WaterDensity is the density of air-free water at 1 atm from 0 to 100 °C:
// Kell's equation as recalculated by Bettin and Spieweck for the temperature
// scale of 1990 (IP Standard Methods 1998, Appendix G), within 0.03 kg/m³ of
// IAPWS-97.
func WaterDensity(t quantity.Temperature) quantity.Density {
	c := celsius(t)
	return quantity.Density(polynomial(c, 999.83952, 16.952577, -7.9905127e-3, -46.241757e-6,
		105.84601e-9, -281.03006e-12) / (1 + 16.887236e-3*c))
}

// waterHeat is the specific heat of water at 1 atm, J/(kg·K) over °C, as steam
// tables print it (from memory).
var waterHeat = through(0, 4217, 10, 4192, 20, 4182, 30, 4178, 40, 4179, 50, 4181, 60, 4185, 70, 4190, 80, 4197,
	90, 4205, 100, 4216)

// Atmosphere is the pressure of the standard atmosphere at an altitude, from
// −450 to 11 000 m: ISO 2533 (the U.S. Standard Atmosphere 1976 is the same
// here), with geopotential altitude taken as altitude. The weather moves the
// true pressure by 3 % either way.
func Atmosphere(altitude quantity.Length) quantity.Pressure {
	h := altitude.In(quantity.Metre)
	return quantity.Pascals(101325 * math.Pow(1-0.0065*h/288.15, 5.255880))
}
