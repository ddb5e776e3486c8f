package melody

import (
	"undersong/score"
	"undersong/voicing/melody/internal/model"
)

// sureInterlude is the sureness, in per cent, from which the tune of an interlude leads.
// In the 250 songs with piano that the trees are fitted to the voice rests 733 times; 494
// of the lines found there are as sure as this. Of those that are not, most are repeated
// or broken chords, of the others most are tunes (looked at in a fifth of the songs). The
// figure is the project's own.
const sureInterlude = 70

// farOff is from how many semitones on the first or the last note of an interlude is a
// lone bass before or after the tune: more than an octave. The project's own figure.
const farOff = 13

// fewestPitches are the different notes that a tune has at least: a repeated note or two
// in turns are an accompaniment. The project's own figure.
const fewestPitches = 3

// leader finds what leads among the tones of the measures in which a line rests, as
// indexes of them, and how sure a stretch of that is, in per cent.
type leader func(s *score.Score, resting []score.Tone) (found []int, sure func(from, to int) int)

// markedLeader takes the notes that the score marks.
func markedLeader(_ *score.Score, resting []score.Tone) ([]int, func(from, to int) int) {
	marked := func(t *score.Tone) bool { return plays(t) && t.First().Interlude }
	return topLine(resting, marked), func(int, int) int { return 100 }
}

// tuneLeader takes the most tuneful line, by rules: the trees are fitted to songs whose
// melody is the sung line alone, so that they know no tune where the voice rests.
func tuneLeader(s *score.Score, resting []score.Tone) ([]int, func(from, to int) int) {
	m := model.New(s, resting)
	if len(m.Notes) == 0 {
		return nil, nil
	}
	v := model.NewView(m)
	scores := v.ByRules()
	chain := v.Chain(scores)
	return tonesOf(m, resting, chain), func(from, to int) int { return model.Sure(scores, chain[from:to]) }
}

// interludes are the lines that lead while line rests, one at most for each row of
// measures in which it does, unless none is to be there.
func interludes(s *score.Score, tones []score.Tone, line []int, none []bool, lead leader) []Line {
	row := restingRows(s, tones, line)
	var resting []score.Tone
	var index []int // of these among tones
	for i := range tones {
		if m := tones[i].Pieces[0].Measure; row[m] > 0 && !none[m] {
			resting, index = append(resting, tones[i]), append(index, i)
		}
	}
	found, sure := lead(s, resting)
	var all []Line
	var together []int // the notes of all
	for from, to := 0, 0; from < len(found); from = to {
		rowOf := func(k int) int { return row[resting[found[k]].Pieces[0].Measure] }
		for to = from; to < len(found) && rowOf(to) == rowOf(from); to++ {
		}
		first, last := withoutLoneBass(resting, found, from, to)
		l := Line{From: "the line that leads while the melody rests"}
		pitches := map[int]bool{}
		for _, i := range found[first:last] {
			l.Tones = append(l.Tones, index[i])
			pitches[resting[i].Pitch.MIDI()] = true
		}
		if len(pitches) < fewestPitches || sure(first, last) < sureInterlude {
			continue
		}
		l.Phrases = []Phrase{{Last: len(l.Tones), Sure: sure(first, last)}}
		all, together = append(all, l), append(together, l.Tones...)
	}
	partInterludes(all, phrases(s, tones, together))
	return all
}

// restingRows says of every measure which row of measures it is of, counted from 1, in
// which no note of line sounds; 0 where one does.
func restingRows(s *score.Score, tones []score.Tone, line []int) []int {
	sounds := make([]bool, s.MeasureCount())
	for _, i := range line {
		for _, p := range tones[i].Pieces {
			sounds[p.Measure] = true
		}
	}
	row := make([]int, len(sounds))
	rows := 0
	for m := range row {
		if sounds[m] {
			continue
		}
		if m == 0 || sounds[m-1] {
			rows++
		}
		row[m] = rows
	}
	return row
}

// withoutLoneBass is line[from:to] without ends that are far off.
func withoutLoneBass(tones []score.Tone, line []int, from, to int) (first, last int) {
	leaps := func(k int) bool {
		leap := tones[line[k]].Pitch.MIDI() - tones[line[k+1]].Pitch.MIDI()
		return max(leap, -leap) >= farOff
	}
	for from+1 < to && leaps(from) {
		from++
	}
	for from+1 < to && leaps(to-2) {
		to--
	}
	return from, to
}

// partInterludes parts each of some lines, one phrase so far, where the phrases of all
// of them in a row end.
func partInterludes(all []Line, ends []Phrase) {
	offset := 0
	for i := range all {
		l := &all[i]
		whole := l.Phrases[0]
		l.Phrases = nil
		for _, p := range ends {
			if first, last := max(p.First-offset, 0), min(p.Last-offset, len(l.Tones)); first < last {
				l.Phrases = append(l.Phrases, Phrase{First: first, Last: last, Sure: whole.Sure})
			}
		}
		offset += len(l.Tones)
	}
}
