package quantity

import (
	"fmt"
	"strings"
)

// The codes of ISO 4217 in use, from memory, by how many decimals the currency
// has. Precious metals, funds and test codes are left out.
var (
	noDecimals = codes("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF")

	twoDecimals = codes(`AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP
		BYN BZD CAD CDF CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP
		GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD
		MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR
		PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SYP SZL THB TJS TMT TOP TRY
		TTD TWD TZS UAH USD UYU UZS VES WST XCD YER ZAR ZMW`)

	threeDecimals = codes("BHD IQD JOD KWD LYD OMR TND")
)

// signs are those that stand for one currency only.
var signs = map[string]string{
	"€": "EUR", "£": "GBP", "₹": "INR", "₺": "TRY", "₴": "UAH", "₪": "ILS", "₩": "KRW", "zł": "PLN", "Kč": "CZK",
}

// sharedSigns are refused with a choice of what was meant.
var sharedSigns = map[string]string{
	"$": "USD, CAD or AUD", "¥": "JPY or CNY", "kr": "SEK, NOK or DKK", "Fr": "CHF or XOF",
}

func codes(list string) map[string]bool {
	set := map[string]bool{}
	for code := range strings.FieldsSeq(list) {
		set[code] = true
	}
	return set
}

// decimalsOf gives how many decimals a currency has; false if it is not known.
func decimalsOf(code string) (int, bool) {
	switch {
	case twoDecimals[code]:
		return 2, true
	case noDecimals[code]:
		return 0, true
	case threeDecimals[code]:
		return 3, true
	}
	return 0, false
}

func decimalsInWords(places int) string {
	if places == 0 {
		return "no decimals"
	}
	return fmt.Sprintf("%d decimals", places)
}

// currencyOf finds the code behind a code or a sign, or what is wrong with it.
func currencyOf(text string) (string, string) {
	if text == "" {
		return "", "has no currency: " + moneyExample
	}
	if code := signs[text]; code != "" {
		return code, ""
	}
	if choice := sharedSigns[strings.TrimSuffix(text, ".")]; choice != "" {
		return "", fmt.Sprintf("has a sign that several countries use: write %s", choice)
	}
	code := strings.ToUpper(text)
	if _, ok := decimalsOf(code); !ok {
		return "", fmt.Sprintf("cannot be read: %q is not a currency code known here; %s", text, moneyExample)
	}
	return code, ""
}
