package sound_test

import (
	"bytes"
	"context"
	"errors"
	"hash/fnv"
	"io"
	"math"
	"math/cmplx"
	"runtime"
	"testing"

	"github.com/go-audio/wav"
	"gonum.org/v1/gonum/dsp/fourier"

	"undersong/instrument"
	"undersong/instrument/sound"
)

// recorded writes a recording and reads it back with an independent library;
// samples are parts of full scale.
func recorded(t testing.TB, r *sound.Recording) ([]float64, sound.Made) {
	t.Helper()
	var b bytes.Buffer
	made, err := r.WriteWAV(t.Context(), &b, nil)
	if err != nil {
		t.Fatal(err)
	}
	d := wav.NewDecoder(bytes.NewReader(b.Bytes()))
	read, err := d.FullPCMBuffer()
	if err != nil {
		t.Fatal(err)
	}
	if d.NumChans != 1 || d.BitDepth != 16 || d.SampleRate != sound.Rate || d.WavAudioFormat != 1 {
		t.Errorf("%d channels, %d bits, %d samples a second, format %d", d.NumChans, d.BitDepth, d.SampleRate, d.WavAudioFormat)
	}
	if got := float64(len(read.Data)) / sound.Rate; math.Abs(got-made.Seconds) > 1e-6 {
		t.Errorf("%v seconds, told %v", got, made.Seconds)
	}
	samples := make([]float64, len(read.Data))
	for i, y := range read.Data {
		samples[i] = float64(y) / math.MaxInt16
	}
	return samples, made
}

// one is a recording of one stroke.
func one(tower *instrument.Tower, key int, metres float64) *sound.Recording {
	return &sound.Recording{
		Tower: tower, Strokes: []sound.Stroke{{Key: key}}, Place: sound.Place{Metres: metres, Air: sound.CoolAir},
	}
}

// spectrum is the amplitudes of a stretch of samples under a Hann window.
func spectrum(samples []float64) []float64 {
	windowed := make([]float64, len(samples))
	for i, y := range samples {
		windowed[i] = y * (1 - math.Cos(2*math.Pi*float64(i)/float64(len(samples))))
	}
	var amplitudes []float64
	for _, c := range fourier.NewFFT(len(samples)).Coefficients(nil, windowed) {
		amplitudes = append(amplitudes, cmplx.Abs(c)*2/float64(len(samples)))
	}
	return amplitudes
}

// toneNear is the frequency and the amplitude of the peak of a spectrum within
// 2 % of a frequency; the peak is the middle of a parabola through logarithms.
func toneNear(s []float64, hz float64) (at, amplitude float64) {
	bin := float64(sound.Rate) / float64(2*(len(s)-1))
	best := int(math.Round(hz * 0.98 / bin))
	for i := best; float64(i) <= hz*1.02/bin; i++ {
		if s[i] > s[best] {
			best = i
		}
	}
	a, b, c := math.Log(s[best-1]), math.Log(s[best]), math.Log(s[best+1])
	off := (a - c) / (2 * (a - 2*b + c))
	return (float64(best) + off) * bin, math.Exp(b - (a-c)*off/4)
}

// stretch is the samples that a spectrum is taken of.
type stretch struct{ from, size int }

func (s stretch) of(samples []float64) []float64 { return spectrum(samples[s.from : s.from+s.size]) }

// TestPartials: the partials of single strokes, measured in the file, have the
// frequencies, the amplitudes to each other and the decay of the tower's bell.
func TestPartials(t *testing.T) {
	tower := named(t, "47")
	for _, tt := range []struct {
		key         int
		early, late stretch
	}{
		{48, stretch{8192, 32768}, stretch{30000, 32768}},
		{60, stretch{8192, 16384}, stretch{20000, 16384}},
		{72, stretch{6000, 8192}, stretch{12000, 8192}},
		{84, stretch{5000, 4096}, stretch{8000, 4096}},
	} {
		bell := tower.Bell(tt.key)
		samples, made := recorded(t, one(tower, tt.key, 1))
		early, late := tt.early.of(samples), tt.late.of(samples)
		first, measured := 0.0, 0
		for i, p := range bell.Partials {
			hz := bell.Hz * p.Ratio
			at, a := toneNear(early, hz)
			_, b := toneNear(late, hz)
			decay := 60 * p.Ratio / bell.Ring.Middle() // dB a second
			if hz > 12000 || 20*math.Log10(a)-made.Peak < -50 {
				continue // gone by then
			}
			measured++
			if math.Abs(at/hz-1) > 0.002 {
				t.Errorf("key %d: partial %.3f at %.2f Hz, want %.2f", tt.key, p.Ratio, at, hz)
			}
			seconds := float64(tt.late.from-tt.early.from) / sound.Rate
			if got := 20 * math.Log10(a/b) / seconds; math.Abs(got/decay-1) > 0.05 {
				t.Errorf("key %d: partial %.3f loses %.2f dB a second, want %.2f", tt.key, p.Ratio, got, decay)
			}
			struck := 20*math.Log10(a/p.Amplitude) + middle(tt.early, decay)
			if i == 0 {
				first = struck
			} else if math.Abs(struck-first) > 1 {
				t.Errorf("key %d: partial %.3f is %.2f dB off", tt.key, p.Ratio, struck-first)
			}
		}
		if measured < 7 {
			t.Errorf("key %d: only %d partials were measured", tt.key, measured)
		}
	}
}

// middle is what a decaying tone has lost when a stretch measures it: its mean
// over the window, in dB.
func middle(s stretch, decay float64) float64 {
	sum := 0.0
	for i := range s.size {
		window := 1 - math.Cos(2*math.Pi*float64(i)/float64(s.size))
		sum += window * math.Pow(10, -decay*float64(s.from+i)/sound.Rate/20)
	}
	return -20 * math.Log10(sum/float64(s.size))
}

// TestPublishedRatios: hum, prime, tierce, quint and nominal of a bell, as
// measured in the file, are those of Simpson tuning (Keltek Trust, "Note of a
// bell": 0.5, 1, 1.2, 1.5, 2) and those measured of a carillon (Harrison &
// MacConnachie, JASA 156(2) 2024: .497, 1, 1.194, 1.500, 1.992 for its lower
// half) within half a per cent, and of the bell of Perrin, Charnley & DePont
// (1983, read second hand: 293, 586, 693, 883, 1172 Hz) within one.
func TestPublishedRatios(t *testing.T) {
	samples, _ := recorded(t, one(named(t, "47"), 54, 1))
	s := stretch{8192, 65536}.of(samples)
	prime, _ := toneNear(s, 369.99) // F#4
	for i, simpson := range []float64{0.5, 1, 1.2, 1.5, 2} {
		at, _ := toneNear(s, simpson*prime)
		measured := []float64{0.497, 1, 1.194, 1.500, 1.992}[i]
		perrin := []float64{293, 586, 693, 883, 1172}[i] / 586
		for _, want := range []struct{ ratio, within float64 }{{simpson, 0.0065}, {measured, 0.002}, {perrin, 0.012}} {
			if got := at / prime; math.Abs(got/want.ratio-1) > want.within {
				t.Errorf("partial %d is %.4f of the prime, want %.4f", i, got, want.ratio)
			}
		}
	}
}

// TestDistance: with each doubling of the distance a partial loses 6 dB and
// what the air takes (ISO 9613-1), the file's own scale taken into account.
func TestDistance(t *testing.T) {
	tower := named(t, "47")
	const key = 84
	bell := tower.Bell(key)
	for _, metres := range []float64{5, 50, 200} {
		near, nearMade := recorded(t, one(tower, key, metres))
		far, farMade := recorded(t, one(tower, key, 2*metres))
		a, b := stretch{4500, 4096}.of(near), stretch{4500, 4096}.of(far)
		for _, p := range bell.Partials[:5] {
			hz := bell.Hz * p.Ratio
			_, x := toneNear(a, hz)
			_, y := toneNear(b, hz)
			got := 20*math.Log10(x/y) + nearMade.Full - farMade.Full
			want := 6.02 + metres*sound.CoolAir.Absorption(hz)
			if math.Abs(got-want) > 0.1 {
				t.Errorf("%.0f Hz from %v m to twice that: %.2f dB, want %.2f", hz, metres, got, want)
			}
		}
	}
}

// TestWeight: at one touch a bell of ten times the mass is 10 dB louder, by the
// tower's model of loudness, and a dynamic mark is as much as the tower says.
func TestWeight(t *testing.T) {
	tower := named(t, "47")
	rms := func(r *sound.Recording) float64 {
		samples, made := recorded(t, r)
		sum := 0.0
		for _, y := range samples[4000:6000] {
			sum += y * y
		}
		return 10*math.Log10(sum/2000) + made.Full
	}
	low, high := rms(one(tower, 52, 1)), rms(one(tower, 76, 1))
	if got, want := low-high, 10*math.Log10(tower.Bell(52).Mass/tower.Bell(76).Mass); math.Abs(got-want) > 1.5 {
		t.Errorf("two octaves lower is %.1f dB louder, want %.1f", got, want)
	}
	soft := one(tower, 52, 1)
	soft.Strokes[0].Marks = -2
	if got := low - rms(soft); math.Abs(got-2*tower.Dynamics) > 0.05 {
		t.Errorf("two marks are %.2f dB, want %v", got, 2*tower.Dynamics)
	}
}

// TestNoClipping: whatever is struck at once, the largest sample is 1 dB under
// full scale.
func TestNoClipping(t *testing.T) {
	tower := named(t, "47")
	all := &sound.Recording{Tower: tower, Place: sound.Place{Metres: 1, Air: sound.CoolAir}}
	for repeat := range 8 {
		for b := range tower.Bells() {
			all.Strokes = append(all.Strokes, sound.Stroke{Seconds: float64(repeat) / 10, Key: b.Key, Marks: 3})
		}
	}
	for _, r := range []*sound.Recording{all, one(tower, 96, 10_000), one(tower, 48, 1)} {
		samples, _ := recorded(t, r)
		largest := 0.0
		for _, y := range samples {
			largest = max(largest, math.Abs(y))
		}
		if got := 20 * math.Log10(largest); math.Abs(got+1) > 0.01 {
			t.Errorf("the peak is at %.3f dB, want -1", got)
		}
		if last := samples[len(samples)-1]; math.Abs(last) > 2./math.MaxInt16 {
			t.Errorf("the last sample is %v", last)
		}
	}
}

// TestNoDampers: a bell rings on under the next, and a second stroke is added
// to what still rings: its hum, where it comes in step, or against it.
func TestNoDampers(t *testing.T) {
	tower := named(t, "47")
	const key = 60
	bell := tower.Bell(key)
	hum := bell.Hz * bell.Partials[0].Ratio
	level := func(more ...sound.Stroke) float64 {
		r := one(tower, key, 5)
		r.Strokes = append(r.Strokes, more...)
		samples, made := recorded(t, r)
		_, size := toneNear(stretch{2 * sound.Rate, 16384}.of(samples), hum)
		return 20*math.Log10(size) + made.Full
	}
	alone := level()
	if got := level(sound.Stroke{Seconds: 1, Key: key + 1}) - alone; math.Abs(got) > 0.1 {
		t.Errorf("after the next bell's stroke its hum is %.2f dB off", got)
	}
	// What rings of the first stroke after a second, as part of a new one's.
	rings := math.Pow(10, -3/(bell.Ring.Middle()/bell.Partials[0].Ratio))
	fresh := alone - 20*math.Log10(rings) // two seconds after a stroke it is so much weaker than after one
	for name, c := range map[string]struct{ cycles, sum float64 }{"in step": {math.Round(hum), 1 + rings}, "against it": {math.Round(hum) + 0.5, 1 - rings}} {
		if got, want := level(sound.Stroke{Seconds: c.cycles / hum, Key: key}), fresh+20*math.Log10(c.sum); math.Abs(got-want) > 0.3 {
			t.Errorf("struck again %s, its hum has %.1f dB, not %.1f", name, got, want)
		}
	}
}

// TestSameOnAnyProcessors: the file does not depend on their number.
func TestSameOnAnyProcessors(t *testing.T) {
	r := busy(t, 1)
	r.Strokes = r.Strokes[:40]
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	sums := map[uint64]bool{}
	for _, n := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(n)
		h := fnv.New64()
		if _, err := r.WriteWAV(t.Context(), h, nil); err != nil {
			t.Fatal(err)
		}
		sums[h.Sum64()] = true
	}
	if len(sums) != 1 {
		t.Errorf("%d different files", len(sums))
	}
}

// TestMemory: four times the length takes no more memory.
func TestMemory(t *testing.T) {
	most := func(minutes int) uint64 {
		r := busy(t, minutes)
		r.Strokes = sparse(r.Strokes)
		runtime.GC()
		var m runtime.MemStats
		var largest uint64
		calls := 0
		_, err := r.WriteWAV(t.Context(), io.Discard, func(float64) {
			if calls++; calls%64 == 0 {
				runtime.ReadMemStats(&m)
				largest = max(largest, m.HeapInuse)
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		return largest
	}
	one, four := most(1), most(4)
	t.Logf("%d kB for one minute, %d kB for four", one>>10, four>>10)
	if four > one+4<<20 {
		t.Errorf("%d kB for one minute, %d kB for four", one>>10, four>>10)
	}
}

// sparse keeps every eighth stroke.
func sparse(all []sound.Stroke) []sound.Stroke {
	var kept []sound.Stroke
	for i := 0; i < len(all); i += 8 {
		kept = append(kept, all[i])
	}
	return kept
}

// TestStops: a recording can be given up, and a writer's error comes back.
func TestStops(t *testing.T) {
	r := busy(t, 1)
	ctx, cancel := context.WithCancel(t.Context())
	_, err := r.WriteWAV(ctx, io.Discard, func(done float64) {
		if done > 0.1 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("given up: %v", err)
	}
	full := errors.New("no space")
	r.Strokes = r.Strokes[:1]
	if _, err := r.WriteWAV(t.Context(), failing{full}, nil); !errors.Is(err, full) {
		t.Errorf("a full disk: %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
