package score_test

import (
	"fmt"

	"undersong/score"
)

// tune is a score of four measures, of which the second and third are
// repeated.
func tune() *score.Score {
	p := &score.Part{ID: "P1", Staves: 1}
	for i := range 4 {
		p.Measures = append(p.Measures, &score.Measure{
			Number: fmt.Sprint(i + 1),
			Length: score.Whole,
			Notes:  []score.Note{{Staff: 1, Voice: 1, Length: score.Whole, Pitch: score.Spell(60 + i)}},
		})
	}
	p.Measures[1].Barlines = []score.Barline{{Location: "left", Repeat: "forward"}}
	p.Measures[2].Barlines = []score.Barline{{Location: "right", Repeat: "backward"}}
	return &score.Score{Parts: []*score.Part{p}}
}

// Where a score has more times through than verses, or more verses than times,
// WrittenOut has to choose; VersesUnsung tells what that costs.
func ExampleScore_VersesUnsung() {
	sung := score.Note{Staff: 1, Voice: 1, Length: score.Whole, Pitch: score.Spell(60)}
	for _, verse := range []string{"1", "2", "3"} {
		sung.Lyrics = append(sung.Lyrics, score.Lyric{Verse: verse, Text: "la"})
	}
	m := &score.Measure{Number: "1", Length: score.Whole, Notes: []score.Note{sung}}
	m.Barlines = []score.Barline{{Location: "right", Repeat: "backward"}}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Staves: 1, Measures: []*score.Measure{m}}}}
	for _, err := range s.VersesUnsung() {
		fmt.Println(err)
	}
	// Output:
	// part P1, measure 1: verse 3 is not sung: there is no time 3 through; if there should be, say so at the repeat (times)
}

func ExampleScore_Performance() {
	s := tune()
	order, err := s.Performance()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, played := range order {
		fmt.Printf("measure %s, time %d\n", s.Parts[0].Measures[played.Measure].Number, played.Nth)
	}
	// Output:
	// measure 1, time 1
	// measure 2, time 1
	// measure 3, time 1
	// measure 2, time 2
	// measure 3, time 2
	// measure 4, time 1
}

func ExampleScore_WrittenOut() {
	s, err := tune().WrittenOut()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range s.Parts[0].Measures {
		fmt.Print(m.Number, " ", m.Notes[0].Pitch, "; ")
	}
	// Output: 1 C4; 2 C#4; 3 D4; 2b C#4; 3b D4; 4 D#4;
}

func ExampleCheck() {
	s := tune()
	s.Parts[0].Measures[3].Notes[0].Length = score.Quarters(5)
	for _, err := range score.Check(s) {
		fmt.Println(err)
	}
	// Output: part P1, measure 4, beat 1: a note ends at 5, after its measure, which ends at 4: shorten or split it
}

func ExampleScore_Tones() {
	s := tune()
	first, second := &s.Parts[0].Measures[0].Notes[0], &s.Parts[0].Measures[1].Notes[0]
	second.Pitch = first.Pitch
	first.TieStart, second.TieStop = true, true
	for _, tone := range s.Tones() {
		fmt.Println(tone.Pitch, "from", tone.Onset, "for", tone.Length)
	}
	// Output:
	// C4 from 0 for 8
	// D4 from 8 for 4
	// D#4 from 12 for 4
}

func ExampleScore_Starts() {
	fmt.Println(tune().Starts())
	// Output: [0 4 8 12 16]
}

func ExampleTime() {
	triplet := score.Frac(1, 3)
	sum := triplet.Add(triplet).Add(triplet)
	fmt.Println(triplet, sum, sum == score.Quarter)
	fmt.Println(score.Frac(7, 2).Floor(score.Quarter), score.Frac(7, 2).Sub(score.Quarters(4)))
	// Output:
	// 1/3 1 true
	// 3 -1/2
}

func ExamplePitch_Transpose() {
	written := score.Pitch{Step: score.D, Octave: 5}
	// A clarinet in B flat sounds a major second lower.
	fmt.Println(written.Transpose(-1, -2))
	// Output: C5
}

func ExampleSpell() {
	fmt.Println(score.Spell(61), score.Spell(61).MIDI(), score.KeyName(48))
	// Output: C#4 61 C3
}

func ExampleParseStep() {
	step, ok := score.ParseStep("G")
	fmt.Println(step, ok, step.Semitones())
	// Output: G true 7
}

func ExampleKeySignature_Alter() {
	eFlat := score.KeySignature{Fifths: -3, Mode: "major"}
	for step := score.C; step <= score.B; step++ {
		fmt.Printf("%s%s ", step, eFlat.Alter(step))
	}
	// Output: C D Eb F G Ab Bb
}

func ExampleTimeSignature_Beats() {
	jig := score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{6}, Unit: 8}}}
	length, _ := jig.Length()
	fmt.Println(length, jig.Beats())
	// Output: 3 [3/2 3/2]
}

func ExampleClef_MiddleLine() {
	line, _ := score.Bass.MiddleLine()
	fmt.Println(line == score.Pitch{Step: score.D, Octave: 3}.Diatonic())
	// Output: true
}

func ExampleBeatName() {
	jig := score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{6}, Unit: 8}}}
	fmt.Println(score.BeatName(score.Quarters(2), jig.Beats()))
	// Output: 2 1/3
}

func ExampleError() {
	fmt.Println(&score.Error{
		Place:   score.Place{File: "song.musicxml", Part: "P1", Measure: "12", Beat: "3"},
		Problem: "no such pitch",
	})
	// Output: song.musicxml, part P1, measure 12, beat 3: no such pitch
}

// Without a tempo of its own a score is played at 90 quarter notes a minute.
func ExampleScore_Clock() {
	s := tune()
	s.Parts[0].Measures[2].Directions = []score.Direction{{Sound: score.Sound{Tempo: 60}}}
	clock := s.Clock()
	perMinute, from := clock.Tempo()
	fmt.Printf("%.0f, %s\n", perMinute, from)
	for _, onset := range s.Starts() {
		fmt.Printf("%.1f ", clock.Seconds(onset))
	}
	// Output:
	// 90, assumed
	// 0.0 2.7 5.3 9.3 13.3
}

func ExampleScore_Beats() {
	s := tune()
	s.Parts[0].Measures[1].Times = []score.TimeChange{{
		Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{8}, Unit: 8}}},
	}}
	for _, beats := range s.Beats()[:3] {
		fmt.Println(beats)
	}
	// Output:
	// []
	// [1 1 1 1]
	// [1 1 1 1]
}

func ExampleScore_BeatStarts() {
	s := tune()
	s.Parts[0].Measures = s.Parts[0].Measures[:1]
	s.Parts[0].Measures[0].Times = []score.TimeChange{{
		Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{2}, Unit: 2}}},
	}}
	fmt.Println(s.BeatStarts())
	// Output: [0 2]
}

func ExampleKeyName() {
	for midi := 46; midi < 50; midi++ {
		fmt.Print(score.KeyName(midi), " ")
	}
	// Output: A#2 B2 C3 C#3
}

// Interval gives what Transpose takes: a minor third down.
func ExampleInterval() {
	third := score.Interval(-3)
	fmt.Println(third, score.Spell(60).Transpose(third.Letters, third.Semitones))
	// Output: {-2 -3} A3
}
