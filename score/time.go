package score

import (
	"fmt"
	"strconv"
	"strings"
)

// Time is an exact number of quarter notes: an onset or a length. The zero
// value is no time at all. Equal times are equal under ==.
//
// Readers keep all times of a score within 2^28 quarters and on a grid of at
// most [MaxDenominator] parts of a quarter, which keeps their sums and
// differences inside 64 bits. Nothing here checks for overflow.
type Time struct {
	num int64
	den int64 // the denominator less one, so that the zero value is 0/1
}

// MaxDenominator is the finest division of a quarter note that readers
// accept over a whole score.
const MaxDenominator = 1 << 24

// Quarter is the length of a quarter note, Whole that of a whole note.
var (
	Quarter = Quarters(1)
	Whole   = Quarters(4)
)

// Quarters is the time of n quarter notes.
func Quarters(n int64) Time { return Time{num: n} }

// Frac is the time of num/den quarter notes, in lowest terms. It panics when
// den is zero, which is a mistake of the caller.
func Frac(num, den int64) Time {
	if den == 0 {
		panic("score: time with denominator 0")
	}
	if den < 0 {
		num, den = -num, -den
	}
	if g := gcd(num, den); g > 1 {
		num, den = num/g, den/g
	}
	return Time{num, den - 1}
}

// Num is the numerator of t in lowest terms.
func (t Time) Num() int64 { return t.num }

// Den is the denominator of t in lowest terms, at least 1.
func (t Time) Den() int64 { return t.den + 1 }

// Add is t + u.
func (t Time) Add(u Time) Time {
	if t.den == 0 && u.den == 0 { // as most are
		return Time{num: t.num + u.num}
	}
	if t.den == u.den {
		return Frac(t.num+u.num, t.Den())
	}
	l := LCM(t.Den(), u.Den())
	return Frac(t.num*(l/t.Den())+u.num*(l/u.Den()), l)
}

// Sub is t - u.
func (t Time) Sub(u Time) Time { return t.Add(Time{-u.num, u.den}) }

// Mul is t × num/den.
func (t Time) Mul(num, den int64) Time {
	g, h := gcd(t.num, den), gcd(num, t.Den())
	return Frac((t.num/g)*(num/h), (t.Den()/h)*(den/g))
}

// Cmp is -1, 0 or +1 as t is before, at or after u.
func (t Time) Cmp(u Time) int {
	if t.den != u.den {
		l := LCM(t.Den(), u.Den())
		t.num, u.num = t.num*(l/t.Den()), u.num*(l/u.Den())
	}
	switch {
	case t.num < u.num:
		return -1
	case t.num > u.num:
		return 1
	}
	return 0
}

// Less tells whether t is before u.
func (t Time) Less(u Time) bool { return t.Cmp(u) < 0 }

// Sign is -1, 0 or +1 as t is negative, zero or positive.
func (t Time) Sign() int { return t.Cmp(Time{}) }

// Floor is the largest whole multiple of unit that is not after t.
// unit must be positive.
func (t Time) Floor(unit Time) Time {
	l := LCM(t.Den(), unit.Den())
	a, b := t.num*(l/t.Den()), unit.num*(l/unit.Den())
	q := a / b
	if a%b < 0 {
		q--
	}
	return unit.Mul(q, 1)
}

// Quarters is t as a decimal number of quarter notes, for what is not time
// any more: seconds, pictures, averages.
func (t Time) Quarters() float64 { return float64(t.num) / float64(t.Den()) }

// String is "3" or "7/2", in quarter notes.
func (t Time) String() string {
	if t.den == 0 {
		return strconv.FormatInt(t.num, 10)
	}
	return fmt.Sprintf("%d/%d", t.num, t.Den())
}

// MarshalText writes t as "n/d", always with a denominator. A time that is
// finer than [MaxDenominator] is an error, as it is to UnmarshalText.
func (t Time) MarshalText() ([]byte, error) {
	if t.Den() > MaxDenominator {
		return nil, fmt.Errorf("time %s divides a quarter note into more than %d parts", t, MaxDenominator)
	}
	return fmt.Appendf(nil, "%d/%d", t.num, t.Den()), nil
}

// UnmarshalText reads "n/d" or "n", with d up to [MaxDenominator].
func (t *Time) UnmarshalText(text []byte) error {
	n, d, found := strings.Cut(string(text), "/")
	num, err := strconv.ParseInt(n, 10, 64)
	den := int64(1)
	if err == nil && found {
		den, err = strconv.ParseInt(d, 10, 64)
	}
	if err != nil || den <= 0 || den > MaxDenominator {
		return fmt.Errorf("time %q is not a fraction of quarter notes such as 7/2", text)
	}
	*t = Frac(num, den)
	return nil
}

// Min is the earlier of t and u, Max the later.
func Min(t, u Time) Time {
	if u.Less(t) {
		return u
	}
	return t
}

// Max is the later of t and u.
func Max(t, u Time) Time {
	if t.Less(u) {
		return u
	}
	return t
}

func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	for b != 0 {
		a, b = b, a%b
	}
	return max(a, 1)
}

// LCM is the least common multiple of two denominators, which must be positive.
func LCM(a, b int64) int64 { return a / gcd(a, b) * b }
