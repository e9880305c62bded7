package coolant_test

import (
	"testing"

	"lastbolt/calc/coolant"
	"lastbolt/quantity"
)

func BenchmarkFreezing(b *testing.B) {
	for b.Loop() {
		coolant.Freezing(coolant.Ethylene, 0.47)
	}
}

func BenchmarkBoiling(b *testing.B) {
	for b.Loop() {
		coolant.Boiling(coolant.Ethylene, 0.47, quantity.Bars(2))
	}
}

func BenchmarkStrengthFor(b *testing.B) {
	for b.Loop() {
		coolant.StrengthFor(coolant.Ethylene, quantity.Celsius(-30))
	}
}

func BenchmarkChart(b *testing.B) {
	for b.Loop() {
		coolant.Chart(coolant.Ethylene, 0.5, quantity.Bars(2))
	}
}

func BenchmarkBuy(b *testing.B) {
	for b.Loop() {
		coolant.Buy(quantity.Litres(7.3), []coolant.Container{{Holds: quantity.Litres(1)}, {Holds: quantity.Litres(5)}})
	}
}
