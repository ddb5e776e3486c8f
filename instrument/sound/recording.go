package sound

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"undersong/instrument"
)

// Recording is a piece on a tower as it is heard at a place.
type Recording struct {
	Tower   *instrument.Tower
	Strokes []Stroke // in time order, on keys that the tower has
	Place   Place
}

// Rate is the samples a second of a recording.
const Rate = 44100

const (
	// A tone is ended when it is 80 dB weaker than the loudest stroke of the
	// piece, the recording when all together are 60 dB weaker; the last half
	// second is faded out.
	toneEnds  = -80.0
	pieceEnds = -60.0
	fade      = Rate / 2
)

// Heard is what is heard of a recording. Levels are in dB above 20 µPa, by the
// model; a real tower may differ by 10 dB and more.
type Heard struct {
	Seconds  float64
	Loudest  float64 // of a stroke, at the place
	Faintest float64
	// Unheard counts the strokes of which every partial is fainter than
	// Audible, by key.
	Unheard map[int]int

	blocks int
}

// Heard tells what is heard, without rendering it. Errors are those of
// [Recording.Check] and of ctx.
func (r *Recording) Heard(ctx context.Context) (Heard, error) {
	if err := r.Check(); err != nil {
		return Heard{}, err
	}
	h := Heard{Loudest: math.Inf(-1), Faintest: math.Inf(1), Unheard: map[int]int{}}
	tones := map[int][]tone{}
	for _, s := range r.Strokes {
		if tones[s.Key] == nil {
			tones[s.Key] = tonesOf(r.Tower, s.Key, r.Place, Rate)
		}
		all, partial := heard(tones[s.Key], r.Tower.Dynamics*s.Marks)
		h.Loudest, h.Faintest = max(h.Loudest, all), min(h.Faintest, all)
		if partial < Audible {
			h.Unheard[s.Key]++
		}
	}
	var err error
	h.blocks, err = r.blocks(ctx, h.Loudest)
	h.Seconds = float64(h.blocks) * blockSize / Rate
	return h, err
}

// Check tells why there can be no recording, nil if there can.
func (r *Recording) Check() error {
	if len(r.Strokes) == 0 {
		return errors.New("there is nothing to hear: no note has a bell on this tower")
	}
	// ISO 9613-2 gives its methods for at most a kilometre; ten are far beyond
	// any bell's reach.
	if !(r.Place.Metres >= 1 && r.Place.Metres <= 10_000) {
		return fmt.Errorf("a distance of %v m: listen from 1 to 10000 m away", r.Place.Metres)
	}
	if a := r.Place.Air; !(a.Celsius >= -20 && a.Celsius <= 50 && a.Humidity >= 10 && a.Humidity <= 100 && a.Pressure > 0) {
		return fmt.Errorf("air of %v °C, %v %% and %v kPa: the formula is for -20 to 50 °C and 10 to 100 %%", a.Celsius, a.Humidity, a.Pressure)
	}
	for i, s := range r.Strokes {
		if i > 0 && s.Seconds < r.Strokes[i-1].Seconds || s.Seconds < 0 {
			return fmt.Errorf("stroke %d is at %v s: strokes must be in time order", i, s.Seconds)
		}
		if !r.Tower.Manual.Has(s.Key) {
			return fmt.Errorf("stroke %d is on key %d, which the tower does not have", i, s.Key)
		}
	}
	if last := r.Strokes[len(r.Strokes)-1].Seconds; last > longest {
		return fmt.Errorf("the piece lasts %.0f minutes, a recording at most %d: play a part of it", last/60, longest/60)
	}
	return nil
}

// longest is the latest stroke, in seconds: 13 hours. What a WAV file can hold
// of one channel is half an hour more.
const longest = 13 * 3600

// walker goes through a piece block by block.
type walker struct {
	r     *Recording
	quiet float64
	bells [128]*ringing
	on    [128]bool
	next  int // stroke
	start int // sample
}

func (r *Recording) walk(loudest float64) *walker {
	return &walker{r: r, quiet: math.Pow(10, (loudest+toneEnds)/20)}
}

func sampleOf(s Stroke) int { return int(math.Round(s.Seconds * Rate)) }

// block is what sounds in the next block.
func (w *walker) block() []piece {
	first := w.next
	for w.next < len(w.r.Strokes) && sampleOf(w.r.Strokes[w.next]) < w.start+blockSize {
		w.next++
	}
	strokes := w.r.Strokes[first:w.next]
	for _, s := range strokes {
		if w.bells[s.Key] == nil {
			w.bells[s.Key] = newRinging(tonesOf(w.r.Tower, s.Key, w.r.Place, Rate))
		}
		w.on[s.Key] = true
	}
	var pieces []piece
	for key, b := range w.bells {
		if !w.on[key] {
			continue
		}
		at := 0
		ring := func(to int) {
			if to > at {
				pieces = append(pieces, piece{at, to, b.tones, slices.Clone(b.state)})
				w.on[key] = b.advance(to-at, w.quiet)
				at = to
			}
		}
		for _, s := range strokes {
			if s.Key == key {
				ring(sampleOf(s) - w.start)
				b.strike(math.Pow(10, w.r.Tower.Dynamics*s.Marks/20))
			}
		}
		ring(blockSize)
	}
	w.start += blockSize
	return pieces
}

// blocks is how many blocks the piece has.
func (r *Recording) blocks(ctx context.Context, loudest float64) (int, error) {
	w := r.walk(loudest)
	quiet := math.Pow(10, (loudest+pieceEnds)/10)
	for n := 1; ; n++ {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		w.block()
		power := 0.0
		for key, b := range w.bells {
			if w.on[key] {
				power += b.power()
			}
		}
		if w.next == len(r.Strokes) && power < quiet {
			return n, nil
		}
	}
}

// batch is how many blocks are rendered at once, shared by all processors.
const batch = 32

// rendering is the whole piece.
type rendering struct {
	r       *Recording
	loudest float64
	blocks  int
}

// each renders the blocks and hands them on in order.
func (x *rendering) each(ctx context.Context, do func(block int, samples []float64) error) error {
	w := x.r.walk(x.loudest)
	buffers := make([][]float64, batch)
	for i := range buffers {
		buffers[i] = make([]float64, blockSize)
	}
	for first := 0; first < x.blocks; first += batch {
		if err := ctx.Err(); err != nil {
			return err
		}
		count := min(batch, x.blocks-first)
		pieces := make([][]piece, count)
		for i := range pieces {
			pieces[i] = w.block()
		}
		inParallel(count, func(i int) { render(pieces[i], buffers[i]) })
		for i := range count {
			if err := do(first+i, buffers[i]); err != nil {
				return err
			}
		}
	}
	return nil
}
