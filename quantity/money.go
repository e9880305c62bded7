package quantity

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
)

// Money is an exact amount: a whole number of the currency's smallest units
// (cents, pence; yen have none smaller) and its ISO 4217 code. Amounts of
// different currencies cannot be added. The zero Money means no amount is
// given, which is not the same as "EUR 0.00".
type Money struct {
	Minor    int64  // 1250 for EUR 12.50
	Currency string // three capital letters
}

// NewMoney makes an amount from smallest units; the currency must be known.
func NewMoney(minor int64, currency string) (Money, error) {
	if _, ok := decimalsOf(currency); !ok {
		return Money{}, fmt.Errorf("%q is not a currency code known here: write for example EUR, GBP or USD", currency)
	}
	return Money{minor, currency}, nil
}

const moneyExample = "write for example EUR 12.50 or 12,50 EUR"

// ParseMoney reads "EUR 12.50", "12,50 EUR", "€ 12.50". A sign that several
// countries use ($, ¥, kr) is refused; so is an amount finer than the
// currency's smallest unit.
func ParseMoney(s string) (Money, error) {
	text, err := tidy(s)
	if err != nil {
		return Money{}, err
	}
	if text == "" {
		return Money{}, fmt.Errorf("nothing is written here: %s", moneyExample)
	}
	m, problem := readMoney(text)
	if problem != "" {
		return Money{}, fmt.Errorf("%q %s", text, problem)
	}
	return m, nil
}

// readMoney reads tidied text: currency and number in either order, the minus
// sign in front of either.
func readMoney(text string) (Money, string) {
	rest, negative := strings.CutPrefix(text, "-")
	rest = strings.TrimSpace(rest)
	start := strings.IndexAny(rest, "-.,0123456789")
	if start < 0 {
		return Money{}, "has no amount: " + moneyExample
	}
	before := strings.TrimSpace(rest[:start])
	if negative && rest[start] == '-' {
		return Money{}, "has two minus signs: write one"
	}
	n, after, problem := readNumber(rest[start:], false)
	if problem != "" {
		return Money{}, problem
	}
	if n.fraction {
		return Money{}, "has a fraction: write the amount with decimals"
	}
	after = strings.TrimSpace(after)
	if before != "" && after != "" {
		return Money{}, "has something both before and after the amount: " + moneyExample
	}
	code, problem := currencyOf(before + after)
	if problem != "" {
		return Money{}, problem
	}
	places, _ := decimalsOf(code)
	minor := new(big.Rat).Quo(n.value, tenth(places))
	if !minor.IsInt() {
		return Money{}, fmt.Sprintf("is finer than the smallest unit of %s, which has %s", code, decimalsInWords(places))
	}
	if negative {
		minor.Neg(minor)
	}
	return Money{minor.Num().Int64(), code}, "" // at most 18 digits: always fits
}

// IsZero reports that no amount is given.
func (m Money) IsZero() bool { return m == Money{} }

// String prints "EUR 12.50", "JPY 1200", "-EUR 3.00"; "" when none is given.
func (m Money) String() string {
	if m.IsZero() {
		return ""
	}
	places, _ := decimalsOf(m.Currency)
	text := strconv.FormatInt(m.Minor, 10)
	sign := ""
	if m.Minor < 0 {
		sign, text = "-", text[1:]
	}
	if pad := places + 1 - len(text); pad > 0 {
		text = strings.Repeat("0", pad) + text
	}
	if places > 0 {
		text = text[:len(text)-places] + "." + text[len(text)-places:]
	}
	return sign + m.Currency + " " + text
}

// Add gives the sum. An amount not given counts as nothing, in any currency.
func (m Money) Add(other Money) (Money, error) {
	if m.IsZero() || other.IsZero() {
		return Money{m.Minor + other.Minor, m.Currency + other.Currency}, nil
	}
	if m.Currency != other.Currency {
		return Money{}, mixed(m, other)
	}
	sum := m.Minor + other.Minor
	if (sum > m.Minor) != (other.Minor > 0) {
		return Money{}, fmt.Errorf("%s and %s together are more than can be kept", m, other)
	}
	return Money{sum, m.Currency}, nil
}

// Sub gives the difference m − other.
func (m Money) Sub(other Money) (Money, error) {
	if other.Minor == math.MinInt64 {
		return Money{}, fmt.Errorf("%s cannot be subtracted: the amount is too large", other)
	}
	other.Minor = -other.Minor
	return m.Add(other)
}

// Compare gives -1, 0 or 1 as m is less than, equal to or more than other.
func (m Money) Compare(other Money) (int, error) {
	if m.Currency != other.Currency {
		return 0, mixed(m, other)
	}
	return cmp.Compare(m.Minor, other.Minor), nil
}

// Share gives the part/whole of m, such as 80 minutes at a rate for 60,
// rounded to the smallest unit, halves away from zero.
func (m Money) Share(part, whole int64) (Money, error) {
	if whole == 0 {
		return Money{}, fmt.Errorf("%s cannot be shared by zero", m)
	}
	exact := new(big.Rat).Mul(new(big.Rat).SetInt64(m.Minor), big.NewRat(part, whole))
	rounded, _ := new(big.Int).SetString(exact.FloatString(0), 10)
	if !rounded.IsInt64() {
		return Money{}, fmt.Errorf("%s times %d/%d is more than can be kept", m, part, whole)
	}
	return Money{rounded.Int64(), m.Currency}, nil
}

func mixed(a, b Money) error {
	return fmt.Errorf("%s and %s are in different currencies: change one of them at a rate you know", a, b)
}

// MarshalText writes the amount as String does.
func (m Money) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads it again; empty text means no amount is given.
func (m *Money) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*m = Money{}
		return nil
	}
	read, err := ParseMoney(string(text))
	if err == nil {
		*m = read
	}
	return err
}
