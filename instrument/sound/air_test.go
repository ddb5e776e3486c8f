package sound_test

import (
	"fmt"
	"math"
	"testing"

	"undersong/instrument/sound"
)

// TestAbsorption holds the formula to ISO 9613-1:1993, table 1 (read second
// hand, in two public test suites that transcribed it). Its frequencies are the
// exact middles of third-octave bands, 1000·10^(k/10) Hz.
func TestAbsorption(t *testing.T) {
	for _, tt := range []struct {
		celsius, humidity float64
		k                 float64
		want              float64 // dB a kilometre
	}{
		{-20, 10, -13, 0.589}, {-20, 70, 0, 11.5}, {-20, 100, 9, 41.1},
		{-10, 50, 0, 12.9}, {0, 10, -9, 1.30}, {0, 20, 0, 17.7}, {0, 100, 0, 3.37},
		{10, 10, -9, 0.788}, {10, 10, 9, 69.4}, {10, 20, 0, 11.0}, {10, 50, 0, 4.26},
		{10, 70, -9, 0.411}, {10, 70, 0, 3.66}, {10, 70, 6, 32.8}, {10, 100, 6, 23.5},
		{15, 70, 6, 26.4}, {20, 10, 6, 109}, {20, 15, 8, 175}, {20, 80, -13, 0.0501},
		{20, 50, -9, 0.445}, {20, 70, 0, 4.98}, {20, 80, 10, 105}, {20, 100, 6, 19.4},
		{30, 70, 0, 7.41}, {40, 70, 0, 8.66}, {50, 10, 9, 155}, {50, 70, 9, 80.3},
	} {
		hz := 1000 * math.Pow(10, tt.k/10)
		air := sound.Air{Celsius: tt.celsius, Humidity: tt.humidity, Pressure: 101.325}
		if got := 1000 * air.Absorption(hz); math.Abs(got-tt.want) > 0.01*tt.want {
			t.Errorf("%v °C, %v %%, %.0f Hz: %.4g dB/km, want %v", tt.celsius, tt.humidity, hz, got, tt.want)
		}
	}
}

// TestAbsorptionOctaves holds it to ISO 9613-2:1996, table 2 (read second hand
// in four places), which has a decimal less, at the exact middles of its octave
// bands.
func TestAbsorptionOctaves(t *testing.T) {
	for _, row := range []struct {
		celsius, humidity float64
		want              [8]float64
	}{
		{10, 70, [8]float64{0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117}},
		{20, 70, [8]float64{0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6}},
		{30, 70, [8]float64{0.1, 0.3, 1.0, 3.1, 7.4, 12.7, 23.1, 59.3}},
		{15, 20, [8]float64{0.3, 0.6, 1.2, 2.7, 8.2, 28.2, 88.8, 202}},
		{15, 50, [8]float64{0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129}},
		{15, 80, [8]float64{0.1, 0.3, 1.1, 2.4, 4.1, 8.3, 23.7, 82.8}},
	} {
		air := sound.Air{Celsius: row.celsius, Humidity: row.humidity, Pressure: 101.325}
		for i, want := range row.want {
			hz := 1000 * math.Pow(10, 0.3*float64(i-4))
			if got := 1000 * air.Absorption(hz); math.Abs(got-want) > 0.06+0.01*want {
				t.Errorf("%v °C, %v %%, %.0f Hz: %.3f dB/km, want %v", row.celsius, row.humidity, hz, got, want)
			}
		}
	}
}

// TestLoss: sound spreads over a sphere, 6 dB for each doubling, and the air
// takes its part of the way beyond the first metre.
func TestLoss(t *testing.T) {
	for _, metres := range []float64{1, 2, 5, 50, 400} {
		p, q := sound.Place{Metres: metres, Air: sound.CoolAir}, sound.Place{Metres: 2 * metres, Air: sound.CoolAir}
		want := 6.0206 + metres*sound.CoolAir.Absorption(2000)
		if got := q.Loss(2000) - p.Loss(2000); math.Abs(got-want) > 1e-3 {
			t.Errorf("from %v m to twice that: %.3f dB, want %.3f", metres, got, want)
		}
	}
	if got := (sound.Place{Metres: 1, Air: sound.CoolAir}).Loss(100); got != 0 {
		t.Errorf("at one metre: %v dB", got)
	}
}

func ExampleAir_Absorption() {
	fmt.Printf("%.1f dB a kilometre\n", 1000*sound.CoolAir.Absorption(1000))
	// Output: 3.7 dB a kilometre
}
