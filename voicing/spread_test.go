package voicing

import (
	"slices"
	"testing"

	"undersong/score"
)

// TestSpread: the seventh of a chord is struck later in its beat where one hand is
// free and cannot strike it with the third ("Arranging for Carillon", lesson
// "Harmony": tones that are too many are spread).
func TestSpread(t *testing.T) {
	for _, c := range []struct {
		name    string
		voicing Voicing
		bass    int
		chord   []int
		length  score.Time // of chord and beat, of three eighths in 6/8
		want    string     // how much later
	}{
		{"a tritone for one hand", Plain, 43, []int{59, 65}, score.Quarter, "1/2"},
		{"in a beat of three", Plain, 43, []int{59, 65}, score.Frac(3, 2), "1"},
		{"for both hands", Inverted, 43, []int{59, 65}, score.Quarter, ""},
		{"a fourth, in slow music", Plain, 50, []int{60, 65}, score.Quarters(4), ""},
		{"too short a beat", Plain, 43, []int{59, 65}, score.Frac(1, 2), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := &score.Measure{Number: "1", Length: c.length.Mul(2, 1)}
			beats := score.BeatGroup{Beats: []int{2}, Unit: int(4 * c.length.Den() / c.length.Num())}
			if c.length.Num()%3 == 0 {
				beats = score.BeatGroup{Beats: []int{6}, Unit: 8}
			}
			m.Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{beats}}}}
			for k := range int64(2) {
				at := c.length.Mul(k, 1)
				m.Notes = append(m.Notes,
					score.Note{Staff: 1, Voice: 1, Onset: at, Length: c.length, Pitch: score.Spell(74), Lyrics: []score.Lyric{{Verse: "1", Text: "la"}}},
					score.Note{Staff: 2, Voice: 5, Onset: at, Length: c.length, Pitch: score.Spell(c.bass)})
				for _, key := range c.chord {
					m.Notes = append(m.Notes, score.Note{Staff: 2, Voice: 2, Onset: at, Length: c.length, Pitch: score.Spell(key)})
				}
			}
			a := arrange(t, &score.Score{Parts: []*score.Part{{Staves: 2, Measures: []*score.Measure{m}}}}, Options{Voicing: c.voicing}, "spread")
			if got := spreadBy(a); got != c.want {
				t.Errorf("struck %q later, want %q", got, c.want)
			}
		})
	}
}

// TestSpreadJoins: in a beat too quick for a stroke of its own, the seventh is struck with
// the next chord of the beat, if that has none.
func TestSpreadJoins(t *testing.T) {
	for _, c := range []struct {
		name string
		next []int // after the melody's note
		want string
	}{
		{"a chord without seventh", []int{55}, "1/2"},
		{"a chord with it", []int{59, 65}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			first, next := []int{74, 43, 59, 65}, append([]int{74}, c.next...)
			a := arrange(t, sung(score.Frac(1, 2), first, next, first, next), Options{Voicing: Plain}, "spread")
			if got := spreadBy(a); got != c.want {
				t.Errorf("struck %q later, want %q", got, c.want)
			}
		})
	}
}

// spreadBy is by how much the last note that is struck later is, "" of none.
func spreadBy(a *arrangement) string {
	by := ""
	for _, change := range a.report.Changes {
		if change.Later != "" {
			by = change.Later
		}
	}
	return by
}

// TestSpreadAfterGraces: what is struck later comes after the grace notes there, which are
// struck before it.
func TestSpreadAfterGraces(t *testing.T) {
	half := score.Frac(1, 2)
	m := &score.Measure{Number: "1", Length: score.Quarters(2)}
	for _, key := range []int{43, 59, 65} {
		m.Notes = append(m.Notes, score.Note{Staff: 2, Voice: 2, Length: score.Quarter, Pitch: score.Spell(key)})
	}
	m.Notes = append(m.Notes,
		score.Note{Staff: 1, Voice: 1, Length: half, Pitch: score.Spell(74), Lyrics: []score.Lyric{{Verse: "1", Text: "la"}}},
		score.Note{Staff: 1, Voice: 1, Onset: half, Grace: true, Pitch: score.Spell(76)},
		score.Note{Staff: 1, Voice: 1, Onset: half, Length: score.Frac(3, 2), Pitch: score.Spell(74), Lyrics: []score.Lyric{{Verse: "1", Text: "la"}}})
	a := arrange(t, &score.Score{Parts: []*score.Part{{Staves: 2, Measures: []*score.Measure{m}}}}, Options{Voicing: Plain}, "spread")
	at := a.notesFrom(half)
	if len(at) != 3 || !at[0].grace() || !slices.ContainsFunc(at, func(n *note) bool { return n.late }) {
		t.Errorf("%d notes half-way, the first a grace note: %v", len(at), at[0].grace())
	}
}
