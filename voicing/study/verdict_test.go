package study

import (
	"fmt"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
)

// music is a tune of notes of one length, by key, in 4/4 at a tempo, and a
// chord of the left hand every so many quarters, by turns C major and G major.
type music struct {
	keys   []int
	times  int // that they are played
	length score.Time
	tempo  float64
	chords int64
}

var (
	scale     = []int{62, 64, 65, 67, 69, 71, 72, 71, 69, 67, 65, 64}
	chromatic = []int{64, 65, 66, 67, 68, 69, 70, 71, 70, 69, 68, 67, 66, 65}
	triad     = []int{60, 64, 67, 72, 76, 79, 76, 72, 67, 64}
	sharp     = []int{61, 64, 66, 68, 69, 68, 66, 64}
	calling   = []int{64, 67, 72, 67}
)

func (m music) score() *score.Score {
	p := &score.Part{ID: "P1", Name: "Piano", Staves: 2}
	at := score.Time{}
	for range m.times {
		for _, key := range m.keys {
			i := int(at.Floor(score.Whole).Quarters() / 4)
			for len(p.Measures) <= i {
				p.Measures = append(p.Measures, &score.Measure{Number: fmt.Sprint(len(p.Measures) + 1), Length: score.Whole})
			}
			p.Measures[i].Notes = append(p.Measures[i].Notes, score.Note{
				Staff: 1, Voice: 1, Onset: at.Sub(at.Floor(score.Whole)), Length: m.length, Pitch: score.Spell(key),
				Lyrics: []score.Lyric{{Text: "la", Syllabic: "single"}},
			})
			at = at.Add(m.length)
		}
	}
	p.Measures[0].Times = []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}}}
	p.Measures[0].Directions = []score.Direction{{Sound: score.Sound{Tempo: m.tempo}}}
	m.accompany(p)
	return &score.Score{Parts: []*score.Part{p}}
}

func (m music) accompany(p *score.Part) {
	if m.chords == 0 {
		return
	}
	for k := int64(0); k*m.chords < int64(4*len(p.Measures)); k++ {
		chord := [][]int{{48, 52, 55}, {43, 47, 50}}[k%2]
		measure := p.Measures[k*m.chords/4]
		for _, key := range chord {
			measure.Notes = append(measure.Notes, score.Note{
				Staff: 2, Voice: 5, Onset: score.Quarters(k * m.chords % 4), Length: score.Quarters(min(m.chords, 4)), Pitch: score.Spell(key),
			})
		}
	}
}

// verdict is that of the first section.
func (m music) verdict(t *testing.T, tower *instrument.Tower) Verdict {
	t.Helper()
	return of(m.score(), tower).Sections[0].Verdict
}

func (v Verdict) reason(t *testing.T, what string) Reason {
	t.Helper()
	for _, r := range v.Reasons {
		if r.What == what {
			return r
		}
	}
	t.Fatalf("no reason %q in %v", what, v.Reasons)
	return Reason{}
}

// TestVerdicts: one melody differs from the next in one thing, which the reason
// names.
func TestVerdicts(t *testing.T) {
	quarter, eighth, sixteenth := score.Quarter, score.Frac(1, 2), score.Frac(1, 4)
	for _, c := range []struct {
		name   string
		music  music
		tower  string
		want   string
		reason string // that decides
		text   string // in it
	}{
		{"slow steps", music{scale, 3, quarter, 72, 4}, "47", Yes, "ring", "bells of it are heard at once"},
		// Low bells ring longer and must be played slower (Rensselaer); fast,
		// intricate melodies turn muddy low down (common practice, no source).
		{"lively", music{scale, 6, eighth, 84, 4}, "47", WithCare, "ring", "(limit 5, utmost 8)"},
		{"fast", music{scale, 12, sixteenth, 120, 4}, "47", LeavePlain, "feet", "come sooner than feet and bells can"},
		// The clapper of a heavy bell is slow to return (Gouwens, App. B).
		{"one note fast", music{[]int{64, 64, 64, 64, 65, 65, 65, 65}, 6, sixteenth, 90, 4}, "47", LeavePlain, "feet", "where bell"},
		// Chromatic steps that ring into each other clash more than a broken chord
		// (Harrison & MacConnachie 2024: a semitone least, octave and thirds most
		// pleasant).
		{"chromatic", music{chromatic, 4, eighth, 72, 8}, "47", WithCare, "clash", "semitones struck with each note"},
		{"a broken chord", music{triad, 8, eighth, 84, 8}, "47", Yes, "ring", "but they agree"},
		// Low C# and D# are often absent (GCNA; competition rule 2016/17).
		{"a key that is missing", music{sharp, 4, quarter, 72, 4}, "47", WithCare, "pedals", "an octave down the pedals have no C#3"},
		{"the same where it is there", music{sharp, 4, quarter, 72, 4}, "61", Yes, "pedals", "every phrase whole"},
		// Two octaves have no room for hands above a melody in the pedals.
		{"few bells", music{scale, 3, quarter, 72, 4}, "23", WithCare, "room", "all that the manual has there"},
		{"fewer above it", music{[]int{71, 72, 74, 76, 77, 76, 74, 76}, 3, quarter, 72, 4}, "23", WithCare, "room", "8 semitones for the hands"},
		// Rapid changes of harmony blur, since nothing damps (Rensselaer).
		{"chords that change", music{calling, 9, quarter, 100, 1}, "47", LeavePlain, "harmony", "changes of harmony while a bell of it is heard"},
		{"chords that stay", music{calling, 9, quarter, 100, 8}, "47", Yes, "harmony", ""},
		{"low as it is", music{[]int{50, 52, 53, 55, 57, 55, 53, 52}, 4, quarter, 60, 0}, "47", Yes, "strength", "lies low as it is"},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := c.music.verdict(t, tower(t, c.tower))
			r := v.reason(t, c.reason)
			speaks := map[string]string{Yes: For, WithCare: Care, LeavePlain: Against}[c.want]
			if v.Inverted != c.want || r.Speaks != speaks || !strings.Contains(r.Text, c.text) {
				t.Errorf("%s: %s, %s: %q", c.name, v.Inverted, r.Speaks, r.Text)
				for _, r := range v.Reasons {
					t.Logf("%+v", r)
				}
			}
		})
	}
}

// TestHands: running notes above a melody that rings ask for care (common practice, no
// source), and no more.
func TestHands(t *testing.T) {
	s := music{scale, 3, score.Quarter, 72, 0}.score()
	for i, m := range s.Parts[0].Measures {
		for k := range int64(16) {
			if i == 0 && k%2 == 1 {
				continue // the other measures are busier
			}
			m.Notes = append(m.Notes, score.Note{
				Staff: 2, Voice: 5, Onset: score.Frac(k, 4), Length: score.Frac(1, 4), Pitch: score.Spell([]int{48, 52, 55, 52}[k%4]),
			})
		}
	}
	st := of(s, tower(t, "47"))
	v := st.Sections[0].Verdict
	r := v.reason(t, "hands")
	if v.Inverted != WithCare || r.Speaks != Care || r.Value != 4.533 || r.Measure != "2" || r.Beat != "1" {
		t.Errorf("%s, %+v", v.Inverted, r)
	}
}

// TestSpelledAlike: keys are named as the score spells its notes, as in the report of voice.
func TestSpelledAlike(t *testing.T) {
	s := music{sharp, 4, score.Quarter, 72, 4}.score()
	for _, m := range s.Parts[0].Measures {
		for i, n := range m.Notes {
			if p := n.Pitch; p.Alter > 0 {
				m.Notes[i].Pitch = score.Pitch{Step: (p.Step + 1) % 7, Alter: -p.Alter, Octave: p.Octave}
			}
		}
	}
	v := of(s, tower(t, "47")).Sections[0].Verdict
	if r := v.reason(t, "pedals"); !strings.Contains(r.Text, "have no Db3") || v.Pedals != "Db4–A4" {
		t.Errorf("on %s: %s", v.Pedals, r.Text)
	}
}

// TestTranspose: where the low C# is missing, another key helps.
func TestTranspose(t *testing.T) {
	m := music{sharp, 4, score.Quarter, 72, 4}
	st := of(m.score(), tower(t, "47"))
	if x := st.Transpose; x == nil || x.Semitones != 1 || x.Now != 0 || x.Phrases != len(st.Phrases) {
		t.Errorf("%+v of %d phrases", x, len(st.Phrases))
	}
	if x := of(m.score(), tower(t, "61")).Transpose; x != nil {
		t.Errorf("%+v where every key is there", x)
	}
}

// TestFewStrokes: one stroke too soon asks for care, however short the piece.
func TestFewStrokes(t *testing.T) {
	m := music{[]int{62, 64, 65, 65}, 1, score.Quarter, 60, 0}
	s := m.score()
	notes := s.Parts[0].Measures[0].Notes
	notes[2].Length, notes[3].Onset = score.Frac(1, 8), score.Frac(17, 8)
	r := of(s, tower(t, "47")).Sections[0].Verdict.reason(t, "feet")
	if r.Speaks != Care || r.Measure != "1" || !strings.HasPrefix(r.Text, "1 of 4 notes comes sooner") {
		t.Errorf("%+v", r)
	}
}

// TestSmallBells: a tower with weak small bells gains most from inversion
// (common practice, no source); one number of the tower makes the difference.
func TestSmallBells(t *testing.T) {
	high := music{[]int{74, 76, 77, 79, 81, 79, 77, 76}, 4, score.Quarter, 72, 4}
	gains := map[float64]Reason{}
	for _, small := range []float64{0, 1, 2} {
		tower := tower(t, "47")
		tower.Casting.SmallBells = small
		gains[small] = high.verdict(t, tower).reason(t, "strength")
	}
	if !(gains[0].Value > gains[1].Value && gains[1].Value > gains[2].Value) {
		t.Errorf("gains %v", gains)
	}
	if !strings.Contains(gains[0].Text, "weak") || strings.Contains(gains[2].Text, "weak") {
		t.Errorf("%q, %q", gains[0].Text, gains[2].Text)
	}
}

// TestBellsAtOnce: a bell that is struck again is one bell; the fastest scale over an
// octave and a half has more than eight.
func TestBellsAtOnce(t *testing.T) {
	for _, c := range []struct {
		keys   []int
		length score.Time
		worst  string
		speaks string
	}{
		{[]int{62}, score.Frac(1, 2), "1 at worst", For},
		{[]int{62, 62, 62, 62, 62, 65}, score.Frac(1, 2), "2 at worst", For},
		{[]int{62, 64, 65, 67, 69, 71, 72, 74, 76, 77, 79, 77, 76, 74, 72, 71, 69, 67, 65, 64}, score.Frac(1, 4), "11 at worst", Against},
	} {
		r := music{c.keys, 6, c.length, 80, 0}.verdict(t, tower(t, "47")).reason(t, "ring")
		if !strings.HasSuffix(r.Text, c.worst) || r.Speaks != c.speaks {
			t.Errorf("%v: %+v", c.keys, r)
		}
	}
}

// TestRing: in a tower that rings longer more bells are heard at once, and
// more of them an octave lower ("lower bells ring longer", Rensselaer).
func TestRing(t *testing.T) {
	m := music{scale, 3, score.Quarter, 72, 4}
	usual, long := tower(t, "47"), tower(t, "47")
	long.Casting.Ring = 2
	a, b := m.verdict(t, usual).reason(t, "ring"), m.verdict(t, long).reason(t, "ring")
	if !(a.Value < b.Value) {
		t.Errorf("%v bells at once, %v where bells ring twice as long", a.Value, b.Value)
	}
	for i := range m.keys {
		m.keys = append(m.keys[:i:i], append([]int{m.keys[i] + 12}, m.keys[i+1:]...)...)
	}
	if high := m.verdict(t, usual).reason(t, "ring"); !(high.Value < a.Value) {
		t.Errorf("%v bells at once an octave higher, %v lower", high.Value, a.Value)
	}
}

// TestTenor: what the feet cannot play the left hand sometimes can, or cannot
// either.
func TestTenor(t *testing.T) {
	leaps := music{[]int{62, 74, 62, 74, 64, 76, 64, 76}, 6, score.Frac(1, 2), 60, 4}
	fast := music{scale, 12, score.Frac(1, 4), 144, 4}
	low := music{[]int{40, 45, 52, 57}, 6, score.Quarter, 60, 0}
	for _, c := range []struct {
		name  string
		music music
		want  bool
		text  string
	}{
		{"leaps", leaps, true, "the left hand can play it"},
		{"fast", fast, false, "come sooner than one hand can"},
		{"few bells", music{[]int{74, 76, 77, 79}, 6, score.Quarter, 60, 0}, false, "left above it for the right hand"},
		{"low", low, true, "the left hand can play it"},
	} {
		bells := "47"
		if c.name == "few bells" {
			bells = "23"
		}
		if v := c.music.verdict(t, tower(t, bells)); v.Tenor != c.want || !strings.Contains(v.TenorText, c.text) {
			t.Errorf("%s: %v, %q", c.name, v.Tenor, v.TenorText)
		}
	}
}

// TestTexture: figures that can be counted by hand.
func TestTexture(t *testing.T) {
	m := music{[]int{62, 64, 65, 74, 62, 64, 65, 74}, 2, score.Quarter, 60, 4}
	x := of(m.score(), tower(t, "47")).Sections[0].Texture
	if x.Seconds != 16 || x.Melody.Notes != 16 || x.Melody.PerSecond != 1 || x.Melody.Fastest != 1 {
		t.Errorf("%+v", x)
	}
	if x.Melody.Leaps != 7 || x.Melody.Keys != 4 || x.Melody.Range != "D4–D5" {
		t.Errorf("melody %+v", x.Melody)
	}
	if x.Accompaniment != (Accompaniment{0.25, 3}) {
		t.Errorf("accompaniment %+v", x.Accompaniment)
	}
	if x.Bass.Steps != 0 || x.Bass.Leaps != 0 || x.Bass.PerBeat != 1 { // by a fourth
		t.Errorf("bass %+v", x.Bass)
	}
}

// TestFastest: a rest between strokes makes them no faster; a beat may begin anywhere; and
// the most is never less than the mean, in any section of any score.
func TestFastest(t *testing.T) {
	quarter, sixteenth := score.Quarter, score.Frac(1, 4)
	for _, c := range []struct {
		name       string
		length     []score.Time // of each stroke, until the next
		rests      bool         // half of it
		mean, most float64
	}{
		{"one whole note", []score.Time{score.Whole}, false, .25, .25},
		{"eighths with rests", []score.Time{quarter, quarter, quarter, quarter}, true, 8. / 7, 4. / 3}, // the last rest is after the phrase
		{"four across two beats", []score.Time{score.Frac(5, 8), sixteenth, sixteenth, sixteenth, sixteenth, score.Frac(19, 8)}, false, 1.5, 4},
		{"half notes", []score.Time{score.Quarters(2), score.Quarters(2)}, false, .5, .5},
		{"three, then a long one", []score.Time{sixteenth, sixteenth, sixteenth, score.Frac(13, 4)}, false, 1, 4},
	} {
		s := music{[]int{64}, 1, quarter, 60, 0}.score()
		notes := &s.Parts[0].Measures[0].Notes
		at := score.Time{}
		for i, length := range c.length {
			n := (*notes)[0]
			if n.Onset, n.Length, n.Pitch = at, length, score.Spell(64+i%3); c.rests {
				n.Length = length.Mul(1, 2)
			}
			if i == 0 {
				(*notes)[0] = n
			} else {
				*notes = append(*notes, n)
			}
			at = at.Add(length)
		}
		if x := of(s, tower(t, "47")).Sections[0].Texture.Melody; x.PerSecond != rounded(c.mean) || x.Fastest != rounded(c.most) {
			t.Errorf("%s: %+v", c.name, x)
		}
	}
	for _, file := range scoretest.Shared(t) {
		for _, sec := range of(scoretest.Score(t, file), tower(t, "47")).Sections {
			if x := sec.Texture.Melody; x.Fastest < x.PerSecond {
				t.Errorf("%s, %s: %+v", file, sec.title(), x)
			}
		}
	}
}
