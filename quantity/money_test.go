package quantity

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestMoneyIsReadExactly(t *testing.T) {
	tests := []struct {
		text    string
		want    Money
		printed string
	}{
		{"€ 12.50", Money{1250, "EUR"}, "EUR 12.50"},
		{"12,50 EUR", Money{1250, "EUR"}, "EUR 12.50"},
		{"12.5 eur", Money{1250, "EUR"}, "EUR 12.50"},
		{"EUR 12", Money{1200, "EUR"}, "EUR 12.00"},
		{"-£0.05", Money{-5, "GBP"}, "-GBP 0.05"},
		{"EUR \u22123", Money{-300, "EUR"}, "-EUR 3.00"},
		{"1200 JPY", Money{1200, "JPY"}, "JPY 1200"},
		{"KWD 1.234", Money{1234, "KWD"}, "KWD 1.234"},
		{"USD 0", Money{0, "USD"}, "USD 0.00"},
		{"123456789012345 KWD", Money{123456789012345000, "KWD"}, "KWD 123456789012345.000"},
	}
	for _, test := range tests {
		t.Run(test.text, func(t *testing.T) {
			got, err := ParseMoney(test.text)
			if err != nil || got != test.want || got.String() != test.printed {
				t.Errorf("got %+v, %q, %v; want %+v, %q", got, got, err, test.want, test.printed)
			}
		})
	}
}

func TestDoubtfulMoneyIsRefused(t *testing.T) {
	tests := []struct{ text, says string }{
		{"", "nothing is written"},
		{"12.50", "no currency"},
		{"EUR", "no amount"},
		{"$5", "USD, CAD or AUD"},
		{"12 kr.", "SEK, NOK or DKK"},
		{"5 XYZ", "not a currency code"},
		{"EUR 12.505", "2 decimals"},
		{"5.5 JPY", "no decimals"},
		{"1,234 EUR", "1.234 or 1234"},
		{"€5 EUR", "both before and after"},
		{"--5 EUR", "two minus signs"},
		{"1/2 EUR", "fraction"},
		{"1e3 EUR", "power of ten"},
		{"12 50 EUR", "not a currency code"},
	}
	for _, test := range tests {
		t.Run(test.text, func(t *testing.T) {
			got, err := ParseMoney(test.text)
			if err == nil || !strings.Contains(err.Error(), test.says) {
				t.Errorf("got %v, %v; want an error that says %q", got, err, test.says)
			}
		})
	}
}

func TestMoneyArithmeticRefusesWhatItCannotDo(t *testing.T) {
	euro, pound, most := Money{100, "EUR"}, Money{100, "GBP"}, Money{math.MaxInt64, "EUR"}
	least := Money{math.MinInt64, "EUR"}
	fails := map[string]error{}
	_, fails["add currencies"] = euro.Add(pound)
	_, fails["subtract currencies"] = euro.Sub(pound)
	_, fails["compare currencies"] = euro.Compare(pound)
	_, fails["add too much"] = most.Add(euro)
	_, fails["take too much"] = least.Sub(euro)
	_, fails["take the least"] = euro.Sub(least)
	_, fails["share by zero"] = euro.Share(1, 0)
	_, fails["share too much"] = most.Share(2, 1)
	_, fails["unknown currency"] = NewMoney(1, "eur")
	for name, err := range fails {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestMoneySharesRoundHalvesAway(t *testing.T) {
	tests := []struct{ minor, part, whole, want int64 }{
		{6000, 80, 60, 8000}, {100, 1, 3, 33}, {200, 1, 3, 67}, {1, 1, 2, 1}, {-1, 1, 2, -1}, {5, -1, 2, -3},
		{math.MaxInt64, 7, 7, math.MaxInt64},
	}
	for _, test := range tests {
		got, err := Money{test.minor, "EUR"}.Share(test.part, test.whole)
		if err != nil || got != (Money{test.want, "EUR"}) {
			t.Errorf("%d × %d/%d: got %v, %v; want %d", test.minor, test.part, test.whole, got, err, test.want)
		}
	}
}

func TestMoneyNotGivenCountsAsNothing(t *testing.T) {
	sum, err := Money{}.Add(Money{5, "EUR"})
	if err != nil || sum != (Money{5, "EUR"}) {
		t.Errorf("got %v, %v", sum, err)
	}
	if left, err := (Money{}).Sub(Money{5, "EUR"}); err != nil || left != (Money{-5, "EUR"}) {
		t.Errorf("got %v, %v", left, err)
	}
	if (Money{0, "EUR"}).IsZero() {
		t.Error("nothing to pay was taken for no amount given")
	}
}

func TestMoneyLaws(t *testing.T) {
	amount := rapid.Custom(func(t *rapid.T) Money {
		return Money{rapid.Int64Range(-99_999_999_999_999, 99_999_999_999_999).Draw(t, "minor"), "EUR"}
	})
	rapid.Check(t, func(t *rapid.T) {
		a, b := amount.Draw(t, "a"), amount.Draw(t, "b")
		if back, err := ParseMoney(a.String()); err != nil || back != a {
			t.Fatalf("%v was read back as %v, %v", a, back, err)
		}
		sum, err := a.Add(b)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := sum.Sub(b); err != nil || back != a {
			t.Fatalf("%v + %v - %v = %v, %v", a, b, b, back, err)
		}
		if other, err := b.Add(a); err != nil || other != sum {
			t.Fatalf("%v + %v depends on the order", a, b)
		}
	})
}
