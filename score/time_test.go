package score_test

import (
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undersong/score"
)

func TestTimeStrings(t *testing.T) {
	for _, test := range []struct {
		num, den  int64
		text, xml string
	}{
		{0, 1, "0", "0/1"}, {0, -7, "0", "0/1"}, {3, 1, "3", "3/1"}, {7, 2, "7/2", "7/2"}, {14, 4, "7/2", "7/2"},
		{-3, 6, "-1/2", "-1/2"}, {3, -6, "-1/2", "-1/2"}, {-4, -2, "2", "2/1"},
	} {
		u := score.Frac(test.num, test.den)
		if u.String() != test.text {
			t.Errorf("%d/%d is written %s, want %s", test.num, test.den, u, test.text)
		}
		text, err := u.MarshalText()
		if err != nil || string(text) != test.xml {
			t.Errorf("%d/%d is marshalled %s, %v, want %s", test.num, test.den, text, err, test.xml)
		}
		var back score.Time
		if err := back.UnmarshalText(text); err != nil || back != u {
			t.Errorf("%s reads back as %s, %v", text, back, err)
		}
	}
	if score.Frac(0, 5) != (score.Time{}) || score.Quarters(4) != score.Whole || score.Quarter.Quarters() != 1 {
		t.Error("equal times must be equal under ==")
	}
}

func TestTimeReadsNoNonsense(t *testing.T) {
	for _, text := range []string{"", "x", "1/0", "1/-2", "1/2/3", "1.5", "1/1073741825", "99999999999999999999"} {
		got := score.Quarters(5)
		err := got.UnmarshalText([]byte(text))
		if err == nil || !strings.Contains(err.Error(), "7/2") {
			t.Errorf("%q: error %v, want one with an example", text, err)
		}
		if got != score.Quarters(5) {
			t.Errorf("%q changed the time to %s", text, got)
		}
	}
}

// TestTimeWritesWhatItReads: every time is written so that it reads back, or
// is an error.
func TestTimeWritesWhatItReads(t *testing.T) {
	for _, den := range []int64{1, 3, score.MaxDenominator, score.MaxDenominator + 1, 1 << 25} {
		want := score.Frac(1, den)
		text, err := want.MarshalText()
		if fine := den <= score.MaxDenominator; (err == nil) != fine {
			t.Errorf("1/%d is written %s, %v", den, text, err)
		}
		if err != nil {
			continue
		}
		var got score.Time
		if err := got.UnmarshalText(text); err != nil || got != want {
			t.Errorf("%s reads back as %s, %v", text, got, err)
		}
	}
}

func TestFracPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a denominator of 0 must panic")
		}
	}()
	score.Frac(1, 0)
}

// times draws times within the range that readers keep to.
func times() *rapid.Generator[score.Time] {
	return rapid.Custom(func(t *rapid.T) score.Time {
		return score.Frac(rapid.Int64Range(-1<<20, 1<<20).Draw(t, "num"), rapid.Int64Range(1, 1<<12).Draw(t, "den"))
	})
}

func rat(t score.Time) *big.Rat { return big.NewRat(t.Num(), t.Den()) }

// TestTimeArithmetic compares with the exact rational numbers of math/big.
func TestTimeArithmetic(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := times().Draw(t, "a"), times().Draw(t, "b")
		n, d := rapid.Int64Range(-1000, 1000).Draw(t, "n"), rapid.Int64Range(1, 1000).Draw(t, "d")
		equal := func(what string, got score.Time, want *big.Rat) {
			if rat(got).Cmp(want) != 0 || got.Num() != want.Num().Int64() || got.Den() != want.Denom().Int64() {
				t.Fatalf("%s of %s and %s is %s, want %s", what, a, b, got, want)
			}
		}
		equal("sum", a.Add(b), new(big.Rat).Add(rat(a), rat(b)))
		equal("difference", a.Sub(b), new(big.Rat).Sub(rat(a), rat(b)))
		equal("multiple", a.Mul(n, d), new(big.Rat).Mul(rat(a), big.NewRat(n, d)))
		if a.Cmp(b) != rat(a).Cmp(rat(b)) || a.Less(b) != (a.Cmp(b) < 0) || a.Sign() != rat(a).Sign() {
			t.Fatalf("order of %s and %s", a, b)
		}
		if low, high := score.Min(a, b), score.Max(a, b); high.Less(low) || low.Add(high) != a.Add(b) {
			t.Fatalf("of %s and %s the earlier is %s, the later %s", a, b, low, high)
		}
		unit := score.Frac(rapid.Int64Range(1, 100).Draw(t, "unit"), d)
		floor := a.Floor(unit)
		if rest := a.Sub(floor); rest.Sign() < 0 || !rest.Less(unit) || floor.Mul(unit.Den(), unit.Num()).Den() != 1 {
			t.Fatalf("%s rounded down to whole %s is %s", a, unit, floor)
		}
	})
}
