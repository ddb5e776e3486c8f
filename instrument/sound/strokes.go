package sound

import (
	"math"

	"undersong/instrument"
	"undersong/score"
)

// Stroke is one stroke of a bell.
type Stroke struct {
	Seconds float64 // from the beginning
	Key     int     // MIDI number as written
	Marks   float64 // how hard, in dynamic marks above mf
	Strike  int     // index in the strikes of the performance
}

// Strokes are the strokes of bells that a performance is on a tower, in time
// order, and the strikes whose bell the tower does not have. Those that wanted
// does not want are neither; nil wants all.
//
// In a part that transposes up by as much as this tower, or by a fourth or
// more, as carillon scores do, the written note is the key; in any other it is
// the note at concert pitch. Notes for one bell at one moment are one stroke,
// as loud as the loudest.
//
// Dynamic marks hold for their whole part, unless its staves, or the voices of
// a staff, are somewhere marked at the same moment; then each obeys its own. A
// hairpin leads evenly to the mark at its end, else one mark up or down. An
// accent is one mark louder, and without any mark everything is mf. All this
// is our choice, no source.
func Strokes(p *score.Performed, t *instrument.Tower, wanted func(*score.Strike) bool) (strokes []Stroke, missing []int) {
	d := newDynamics(p)
	at := map[int]int{} // the stroke of each key at this moment
	for i := range p.Strikes {
		s := &p.Strikes[i]
		if i > 0 && s.Onset != p.Strikes[i-1].Onset {
			clear(at)
		}
		if wanted != nil && !wanted(s) {
			continue
		}
		key := Key(s, t)
		if !t.Manual.Has(key) {
			missing = append(missing, i)
			continue
		}
		stroke := Stroke{p.Seconds(s.Onset), key, d.level(s), i}
		if same, ok := at[key]; !ok {
			at[key] = len(strokes)
			strokes = append(strokes, stroke)
		} else if strokes[same].Marks < stroke.Marks {
			strokes[same] = stroke
		}
	}
	return strokes, missing
}

// carillonTransposes is a fourth: no instrument of a piano score or a lead
// sheet, but for rare ones, sounds so much higher than written.
const carillonTransposes = 5

// Key is the key that a strike asks for, whether the tower has it or not.
func Key(s *score.Strike, t *instrument.Tower) int {
	if saysKeys(s.Transposed, t.SoundingOffset()) {
		return s.Pitch.MIDI() - s.Transposed
	}
	return s.Pitch.MIDI()
}

// levelAtOneMetre is that of a bell of 1000 kg struck mf, a metre away, in dB
// above 20 µPa. No measured one of a single carillon bell was found; it is
// ours, such that many bells a few metres away come to the 120 dB that a bell
// chamber can reach (Garcia et al., Int. J. Environ. Res. Public Health, May
// 2019).
const levelAtOneMetre = 110

// Audible is the level in dB above which a partial is counted as heard. The
// noise of a street, about 50 dB by the measurement of the ringers of All
// Saints, Wokingham, is spread over the two dozen bands in which one hears, so
// that a tone has about 36 dB against it; that this is the threshold is our
// choice.
const Audible = 36

// level is the level of a stroke in dB a metre away from the bell, all
// partials together, by the tower's model of loudness.
func level(t *instrument.Tower, key int, marks float64) float64 {
	lowest := t.Bell(t.Manual.Low()).Mass
	return levelAtOneMetre + 10*math.Log10(lowest/1000) + t.Level(key, 0) + t.Dynamics*marks
}

// Velocities are MIDI velocities for strokes, so that their differences are
// those of their loudness a metre away; the loudest has 127. A synthesizer
// takes the amplitude to go with the square of the velocity (Downloadable
// Sounds Level 1, MIDI Manufacturers Association; R. Dannenberg, "The
// interpretation of MIDI velocity", ICMC 2006).
func Velocities(t *instrument.Tower, strokes []Stroke) []uint8 {
	loudest := math.Inf(-1)
	levels := make([]float64, len(strokes))
	for i, s := range strokes {
		levels[i] = level(t, s.Key, s.Marks)
		loudest = max(loudest, levels[i])
	}
	velocities := make([]uint8, len(strokes))
	for i, l := range levels {
		velocities[i] = uint8(max(1, math.Round(127*math.Pow(10, (l-loudest)/40))))
	}
	return velocities
}
