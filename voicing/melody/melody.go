package melody

import (
	"slices"

	"undersong/score"
	"undersong/voicing/melody/internal/model"
)

// Line is the melody of a score.
type Line struct {
	Tones   []int    // indexes of the score's tones, in time order
	Phrases []Phrase // stretches of it, in time order
	From    string   // where it was taken from, such as "the sung line of part Voice"
	// Told is for every measure of the score whether the score itself or the user tells
	// the melody there, and it had not to be found.
	Told []bool
	// Interludes are the lines that lead while a sung melody rests: see [Find].
	Interludes []Line
}

// Options steer Find. The zero value finds the melody without help.
type Options struct {
	Overrules []Overrule // later ones win where they overlap
	Untrained bool       // score by rules instead of the fitted trees
}

// Find tells which of tones, which are s.Tones(), are the melody. Hidden, cue
// and grace notes never are; [Graces] finds the grace notes that lead to it.
//
// Where a sung melody rests for whole measures, as in a prelude, the tune of the other
// parts leads, if there is one that is sure enough. It is an interlude of the line and no
// part of it.
func Find(s *score.Score, tones []score.Tone, o Options) Line {
	voice, known := given(s, tones)
	line := find(s, tones, voice, known, o.Untrained)
	if len(o.Overrules) > 0 {
		line = overrule(s, tones, line, o.Overrules)
	}
	if voice.meanwhile != nil {
		line.Interludes = interludes(s, tones, line.Tones, toldNone(s, o.Overrules), voice.meanwhile)
	}
	return line
}

func find(s *score.Score, tones []score.Tone, voice givenLine, known, untrained bool) Line {
	if known {
		line := topLine(tones, voice.holds)
		return Line{Tones: line, Phrases: phrases(s, tones, line), From: voice.name, Told: slices.Repeat([]bool{true}, s.MeasureCount())}
	}
	return likeliest(s, tones, untrained)
}

// likeliest is the line that the scores of all notes make the likeliest.
func likeliest(s *score.Score, tones []score.Tone, untrained bool) Line {
	m := model.New(s, tones)
	if len(m.Notes) == 0 {
		return Line{From: "a score without notes", Told: make([]bool, s.MeasureCount())}
	}
	v := model.NewView(m)
	var scores, chain []int
	var from string
	if untrained {
		scores, from = v.ByRules(), "the most tuneful line, by rules"
		chain = v.Melody(scores, 0)
	} else {
		scores, from = v.Fitted(), "the likeliest line of all notes"
		var onTop bool
		if chain, onTop = v.Likeliest(scores); onTop {
			from = "the top line, as no other is much likelier"
		}
	}
	line := Line{Tones: tonesOf(m, tones, chain), From: from, Told: make([]bool, s.MeasureCount())}
	line.Phrases = phrases(s, tones, line.Tones)
	for k := range line.Phrases {
		p := &line.Phrases[k]
		notes := chain[p.First:p.Last]
		if p.Sure = model.Sure(scores, notes); p.Sure < SureEnough {
			p.name(s, tones, tonesOf(m, tones, m.Rival(scores, notes)))
		}
	}
	return line
}

// name names the line that the phrase might be instead.
func (p *Phrase) name(s *score.Score, tones []score.Tone, rival []int) {
	if len(rival) > 0 {
		p.Rival, p.RivalFrom = rival, staffName(s, tones, rival)
	}
}

// tonesOf is the tones of notes of m. Of several that strike one key it is the one that
// stands in the voice of the notes before and after it, of equals the longest.
func tonesOf(m *model.Music, tones []score.Tone, notes []int) []int {
	line := make([]int, len(notes))
	for k, i := range notes {
		line[k] = m.Notes[i].Tone
	}
	for k, first := range line {
		beside := func(tone int) (neighbours int) {
			for _, j := range line[max(0, k-1):min(k+2, len(line))] {
				if j != first && sameVoice(&tones[j], &tones[tone]) {
					neighbours++
				}
			}
			return neighbours
		}
		best := first
		for other := first + 1; other < len(tones) && tones[other].Onset == tones[first].Onset; other++ {
			if tones[other].Pitch.MIDI() != tones[first].Pitch.MIDI() || !plays(&tones[other]) {
				continue
			}
			if d := beside(other) - beside(best); d > 0 || d == 0 && tones[best].Length.Less(tones[other].Length) {
				best = other
			}
		}
		line[k] = best
	}
	return line
}

func sameVoice(a, b *score.Tone) bool {
	return staveOf(a) == staveOf(b) && a.First().Voice == b.First().Voice
}

// Leading are the notes of a line and of its interludes, as indexes of tones, with the
// grace notes that lead to them: all that a listener takes for the tune.
func Leading(tones []score.Tone, line Line) []int {
	leading := slices.Concat(line.Tones, Graces(tones, line))
	for _, l := range line.Interludes {
		leading = append(leading, Leading(tones, l)...)
	}
	return leading
}

// Graces are the grace notes, as indexes of tones in time order, that lead to
// a note of the line: same part, staff and voice, same onset.
func Graces(tones []score.Tone, line Line) []int {
	var graces []int
	for _, i := range line.Tones {
		main := tones[i].First()
		first := i
		for first > 0 && tones[first-1].Onset == tones[i].Onset {
			first--
		}
		for j := first; j < len(tones) && tones[j].Onset == tones[i].Onset; j++ {
			n := tones[j].First()
			if n.Grace && n.Plays() && tones[j].Part == tones[i].Part && n.Staff == main.Staff && n.Voice == main.Voice {
				graces = append(graces, j)
			}
		}
	}
	return graces
}
