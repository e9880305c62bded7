package quantity

import (
	"fmt"
	"math"
	"time"
)

// DurationOf takes over a duration of the standard library.
func DurationOf(d time.Duration) Duration { return Duration(d.Seconds()) }

// Time gives the duration as the standard library's type, rounded to
// nanoseconds; beyond about 292 years, or not a number, it is the longest there is.
func (q Duration) Time() time.Duration {
	nanoseconds := math.Round(float64(q) * 1e9)
	switch {
	case nanoseconds <= math.MinInt64:
		return math.MinInt64
	case nanoseconds < math.MaxInt64:
		return time.Duration(nanoseconds)
	}
	return math.MaxInt64
}

// String prints a duration as one is said in the shop: "45 s", "12 min",
// "1 min 30 s", "1 h 05 min". From an hour up it is rounded to minutes.
func (q Duration) String() string {
	seconds := math.Round(float64(q))
	if math.IsNaN(seconds) || math.Abs(seconds) > 1e12 {
		return "not known"
	}
	sign := ""
	if seconds < 0 {
		sign, seconds = "-", -seconds
	}
	total := int64(seconds)
	if total >= 3600 {
		total = (total + 30) / 60 * 60
	}
	hours, minutes, rest := total/3600, total/60%60, total%60
	switch {
	case hours > 0 && minutes > 0:
		return fmt.Sprintf("%s%d h %02d min", sign, hours, minutes)
	case hours > 0:
		return fmt.Sprintf("%s%d h", sign, hours)
	case minutes > 0 && rest > 0:
		return fmt.Sprintf("%s%d min %02d s", sign, minutes, rest)
	case minutes > 0:
		return fmt.Sprintf("%s%d min", sign, minutes)
	}
	return fmt.Sprintf("%s%d s", sign, rest)
}
