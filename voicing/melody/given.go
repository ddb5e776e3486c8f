package melody

import (
	"cmp"
	"slices"
	"strings"

	"undersong/score"
	"undersong/voicing/melody/internal/model"
)

// givenLine is a line that the score itself sets apart as the tune.
type givenLine struct {
	name  string
	holds func(*score.Tone) bool
	// meanwhile finds what leads while the line rests; nil if nothing does.
	meanwhile leader
}

// stave is one staff of one part.
type stave struct{ part, staff int }

func staveOf(t *score.Tone) stave { return stave{t.Part, t.First().Staff} }

// tally is what a staff has of notes and words.
type tally struct {
	stave
	onsets, chords, words int // times at which it strikes, two or more notes, notes with words
	last                  score.Time
	worded                map[int]bool // voices with words
}

// given is the line that needs no search: the one that the score marks, the sung
// one, the only one, the upper one of a choir.
func given(s *score.Score, tones []score.Tone) (givenLine, bool) {
	marked := func(t *score.Tone) bool { return plays(t) && t.First().Melody }
	if slices.ContainsFunc(tones, func(t score.Tone) bool { return marked(&t) }) {
		return givenLine{"the notes that the score marks as its melody", marked, markedLeader}, true
	}
	staves := tallies(tones)
	if t := sung(staves); t != nil {
		return sungLine(s, tones, t), true
	}
	if len(staves) == 1 && (hasChordSymbols(s) || staves[0].single()) {
		return givenLine{name: "the only line of the score", holds: plays}, true
	}
	if choir(s, staves) {
		top := staves[0].stave
		name := "the upper part of a choir, " + partName(s.Parts[top.part])
		return givenLine{name: name, holds: func(t *score.Tone) bool { return plays(t) && staveOf(t) == top }}, true
	}
	return givenLine{}, false
}

// plays tells whether t can be melody.
func plays(t *score.Tone) bool { return model.CanBeMelody(t) }

// tallies are the tallies of all staves that play, from the top of the score.
func tallies(tones []score.Tone) []*tally {
	at := map[stave]*tally{}
	var all []*tally
	for i := range tones {
		t := &tones[i]
		if !plays(t) {
			continue
		}
		y := at[staveOf(t)]
		if y == nil {
			y = &tally{stave: staveOf(t), worded: map[int]bool{}, last: score.Quarters(-1)}
			at[y.stave], all = y, append(all, y)
		}
		y.count(t)
	}
	slices.SortFunc(all, func(a, b *tally) int {
		return cmp.Or(cmp.Compare(a.part, b.part), cmp.Compare(a.staff, b.staff))
	})
	return all
}

func (y *tally) count(t *score.Tone) {
	if t.Onset == y.last {
		y.chords++
	} else {
		y.onsets++
		y.last = t.Onset
	}
	if len(t.First().Lyrics) > 0 {
		y.words++
		y.worded[t.First().Voice] = true
	}
}

// single tells whether the staff hardly ever strikes two notes at once.
func (y *tally) single() bool { return 20*y.chords <= y.onsets }

// sung is the uppermost staff that has words under a fair share of its notes:
// a count or a title under a few notes does not make a song. A staff that
// sings half as much as another, such as a solo's descant, gives way to it.
func sung(staves []*tally) *tally {
	var best *tally
	for _, y := range staves {
		if y.words < 4 || 4*y.words < y.onsets {
			continue
		}
		if best == nil || best.words < y.words/2 {
			best = y
		}
	}
	return best
}

// sungLine is a sung staff; where the player of more staves sings it as well,
// only its voices with words. Where these have the words in turn, as with a tune that
// goes down into the pedals, the line goes with them.
func sungLine(s *score.Score, tones []score.Tone, y *tally) givenLine {
	p := s.Parts[y.part]
	line := givenLine{name: "the sung line of part " + partName(p), meanwhile: tuneLeader}
	turns := wordTurns(tones, y.part)
	switch {
	case p.Staves == 1:
		line.holds = func(t *score.Tone) bool { return plays(t) && staveOf(t) == y.stave }
	case turns == nil:
		line.holds = func(t *score.Tone) bool { return plays(t) && staveOf(t) == y.stave && y.worded[t.First().Voice] }
	default:
		line.holds = func(t *score.Tone) bool {
			i, found := slices.BinarySearchFunc(turns, t.Onset, func(w wordTurn, onset score.Time) int { return w.from.Cmp(onset) })
			if !found {
				i--
			}
			return plays(t) && turns[max(i, 0)].has(t)
		}
	}
	return line
}

// wordTurn is a voice that has the words from a moment on.
type wordTurn struct {
	from score.Time
	stave
	voice int
}

func (w *wordTurn) has(t *score.Tone) bool {
	return staveOf(t) == w.stave && t.First().Voice == w.voice
}

// turnWords is how many notes with words a voice has in turn at least, on average:
// the project's own figure.
const turnWords = 8

// wordTurns are the voices of a part that have its words in turn, nil where two have
// them at once or they change too often.
func wordTurns(tones []score.Tone, part int) []wordTurn {
	var sung []*score.Tone
	for i := range tones {
		if t := &tones[i]; t.Part == part && plays(t) && len(t.First().Lyrics) > 0 {
			sung = append(sung, t)
		}
	}
	slices.SortStableFunc(sung, func(a, b *score.Tone) int { return a.Onset.Cmp(b.Onset) })
	var turns []wordTurn
	for i, t := range sung {
		if i > 0 && turns[len(turns)-1].has(t) {
			continue
		}
		if i > 0 && t.Onset == sung[i-1].Onset {
			return nil
		}
		turns = append(turns, wordTurn{t.Onset, staveOf(t), t.First().Voice})
	}
	if len(sung) < turnWords*len(turns) {
		return nil
	}
	return turns
}

// choir tells whether the score is for three parts or more of one line each
// that mostly move together.
func choir(s *score.Score, staves []*tally) bool {
	if len(staves) < 3 || len(staves) != len(s.Parts) {
		return false
	}
	for _, y := range staves {
		if !y.single() || 2*y.onsets < staves[0].onsets || y.onsets > 2*staves[0].onsets {
			return false
		}
	}
	return true
}

// partName is what a part is called, in one line.
func partName(p *score.Part) string { return cmp.Or(strings.Join(strings.Fields(p.Name), " "), p.ID) }

func hasChordSymbols(s *score.Score) bool {
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			if len(m.Chords) > 0 {
				return true
			}
		}
	}
	return false
}

// topLine is the highest note struck at each onset among those that holds
// accepts, unless a higher one of the line still sounds.
func topLine(tones []score.Tone, holds func(*score.Tone) bool) []int {
	var line []int
	for i := range tones {
		t := &tones[i]
		if !holds(t) {
			continue
		}
		if last := len(line) - 1; last >= 0 && tones[line[last]].Onset == t.Onset {
			line = line[:last] // tones are sorted from low to high
		}
		// A line overlaps itself by little: a few notes back is enough.
		if !slices.ContainsFunc(line[max(0, len(line)-4):], func(j int) bool { return covers(&tones[j], t) }) {
			line = append(line, i)
		}
	}
	return line
}

// covers tells whether a sounds above t when t is struck.
func covers(a, t *score.Tone) bool {
	return t.Onset.Less(a.End()) && t.Pitch.MIDI() < a.Pitch.MIDI()
}
