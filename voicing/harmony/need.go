package harmony

import (
	"slices"

	"undersong/score"
)

// NeedOrder are the tones of a chord, those first that it needs most, so that
// its first three or four make the chord that too few hands can play: third
// and seventh (in their place the second or fourth of a suspended chord, the
// sixth of a sixth chord), root, a fifth that is not perfect, tones added or
// altered by degrees, the other tones from the top down, the perfect fifth
// last. After that comes, of a major third and the eleventh a semitone above
// it, the one that does not name the chord: the third of an eleventh chord, the
// eleventh of a thirteenth.
//
// So thinning from the end drops the fifth of a triad and of a seventh chord
// first and brings large chords down to three or four tones: "Arranging for
// Carillon", lesson "Harmony". What it keeps of large chords is common
// practice, no source.
func NeedOrder(c score.ChordSymbol) []Tone {
	tones := slices.Clone(Tones(c))
	n := need{of: tones, added: c.Degrees}
	slices.SortStableFunc(tones, func(a, b Tone) int {
		if d := n.rank(a) - n.rank(b); d != 0 {
			return d
		}
		return b.Semitones - a.Semitones
	})
	return tones
}

// need ranks the tones of one chord.
type need struct {
	of    []Tone
	added []score.Degree
}

func (n *need) rank(t Tone) int {
	switch {
	case t == Tone{3, 4} && n.has(11, 17) && n.degree(13) < 0, t == Tone{11, 17} && n.has(3, 4) && n.degree(13) >= 0:
		return 7
	case t.Degree == 3, (t.Degree == 2 || t.Degree == 4) && n.degree(3) < 0:
		return 0
	case t.Degree == 7, t.Degree == 6 && n.degree(7) < 0:
		return 1
	case t.Degree == 1:
		return 2
	case t.Degree == 5 && t.Semitones != 7:
		return 3
	case t.Degree == 5:
		return 6
	case slices.ContainsFunc(n.added, func(d score.Degree) bool { return d.Value == t.Degree }):
		return 4
	}
	return 5
}

func (n *need) has(degree, semitones int) bool { return slices.Contains(n.of, Tone{degree, semitones}) }

func (n *need) degree(d int) int {
	return slices.IndexFunc(n.of, func(t Tone) bool { return t.Degree == d })
}
