package page

import (
	"cmp"
	"errors"
	"math"

	"undersong/instrument/sound"
	"undersong/score"
)

// audition is what the page plays: every stroke, and the bells that they need.
// Times are in ms from the beginning.
type audition struct {
	Times []int `json:"times"` // of the strokes
	Keys  []int `json:"keys"`
	// Levels are how much louder than mf the strokes are, in tenths of a dB.
	Levels []int `json:"levels"`
	// Melody has 1 where a stroke is of the melody.
	Melody []int `json:"melody"`
	// Bells are, by key, what a stroke at mf begins: for each partial its
	// frequency in Hz, the seconds until it is 60 dB weaker, and its level in dB
	// under the loudest stroke of the piece.
	Bells map[int][][3]float64 `json:"bells"`
	// Begins are the times of the measures as played, Measures which they are, as
	// written; one more time is the end.
	Begins   []int    `json:"begins"`
	Measures []int    `json:"measures"`
	Numbers  []string `json:"numbers"` // of Measures, as printed
}

// audition is the result as this tower sounds it, at the player's place.
func (v *Voice) audition() (*audition, error) {
	played, err := v.Result.Performed()
	if err != nil {
		return nil, err
	}
	strokes, _ := sound.Strokes(played, v.Tower, nil)
	if len(strokes) == 0 {
		return nil, errors.New("no note has a bell on this tower")
	}
	tune := v.tuneStrikes(played)
	a := &audition{Bells: map[int][][3]float64{}}
	place := sound.Place{Metres: sound.PlayersPlace, Air: sound.CoolAir}
	loudest := math.Inf(-1)
	partials := map[int][]sound.Partial{}
	for _, s := range strokes {
		if partials[s.Key] == nil {
			partials[s.Key] = sound.Partials(v.Tower, s.Key, place)
		}
		gain := v.Tower.Dynamics * s.Marks
		loudest = max(loudest, together(partials[s.Key])+gain)
		a.Times = append(a.Times, ms(s.Seconds))
		a.Keys = append(a.Keys, s.Key)
		a.Levels = append(a.Levels, int(math.Round(10*gain)))
		melody := 0
		if tune[strike{played.Strikes[s.Strike].Onset, s.Key}] {
			melody = 1
		}
		a.Melody = append(a.Melody, melody)
	}
	for key, all := range partials {
		for _, p := range all {
			a.Bells[key] = append(a.Bells[key], [3]float64{rounded(p.Hz, 2), rounded(p.Seconds, 3), rounded(p.Level-loudest, 2)})
		}
	}
	for i, start := range played.Starts {
		a.Begins = append(a.Begins, ms(played.Seconds(start)))
		if i < len(played.Order) {
			at := played.Order[i].Measure
			a.Measures = append(a.Measures, at)
			a.Numbers = append(a.Numbers, cmp.Or(v.Result.MeasureNumber(at), "?"))
		}
	}
	return a, nil
}

// strike is a moment of the performance and a key that is struck then.
type strike struct {
	onset score.Time
	key   int
}

// tuneStrikes are those of the melody.
func (v *Voice) tuneStrikes(played *score.Performed) map[strike]bool {
	notes := map[*score.Note]bool{}
	tones := v.Result.Tones()
	for i := range tones {
		if v.Report.Tune(&tones[i]) {
			notes[tones[i].First()] = true
		}
	}
	tune := map[strike]bool{}
	for i := range played.Strikes {
		if s := &played.Strikes[i]; notes[s.Note] {
			tune[strike{s.Onset, sound.Key(s, v.Tower)}] = true
		}
	}
	return tune
}

// together is the level of all partials, in dB.
func together(all []sound.Partial) float64 {
	power := 0.0
	for _, p := range all {
		power += math.Pow(10, p.Level/10)
	}
	return 10 * math.Log10(power)
}

func ms(seconds float64) int { return int(math.Round(1000 * seconds)) }

func rounded(x float64, places int) float64 {
	by := math.Pow(10, float64(places))
	return math.Round(by*x) / by
}
