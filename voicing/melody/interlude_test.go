package melody

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/scoretest"
)

// accompanied is a song of measures of four quarter notes: a voice, with words, and the
// parts that accompany it. A measure has chords of one length, "." is a rest.
func accompanied(t *testing.T, parts ...[]string) *score.Score {
	t.Helper()
	s := &score.Score{}
	for i, staff := range parts {
		p := &score.Part{ID: fmt.Sprint("P", i+1), Name: []string{"Voice", "Right hand", "Left hand"}[i], Staves: 1}
		for k, text := range staff {
			m := &score.Measure{Number: fmt.Sprint(k + 1), Length: score.Quarters(4)}
			signs := strings.Fields(text)
			for j, sign := range signs {
				for name := range strings.SplitSeq(strings.Trim(sign, "."), "+") {
					if name == "" {
						continue
					}
					length := score.Frac(4, int64(len(signs)))
					n := score.Note{Staff: 1, Voice: 1, Onset: length.Mul(int64(j), 1), Length: length, Pitch: scoretest.Pitch(t, name)}
					if i == 0 {
						n.Lyrics = []score.Lyric{{Text: "la"}}
					}
					m.Notes = append(m.Notes, n)
				}
			}
			p.Measures = append(p.Measures, m)
		}
		s.Parts = append(s.Parts, p)
	}
	return s
}

// found are the interludes of a score, such as "2: E5 D5".
func found(s *score.Score, o Options) []string {
	tones := s.Tones()
	all := []string{}
	for _, l := range Find(s, tones, o).Interludes {
		text := s.MeasureNumber(tones[l.Tones[0]].Pieces[0].Measure) + ":"
		for _, i := range l.Tones {
			text += " " + tones[i].Pitch.String()
		}
		all = append(all, text)
	}
	return all
}

// TestInterludes: the tune of the other parts leads where the voice rests for a measure,
// not where it breathes or holds, and only where there is a tune.
func TestInterludes(t *testing.T) {
	song := []string{"G4 A4 B4 C5", "D5 C5 B4 A4", "G4 . B4 .", "A4"}
	const tune, chords, bass = "E5 D5 C5 B4", "C4+E4+G4 C4+E4+G4 C4+E4+G4 C4+E4+G4", "C3+E3 G2+F3"
	// with is the song and, while its voice rests, measures of the right hand over the left.
	with := func(right ...string) *score.Score {
		left := []string{bass, bass, bass, bass}
		for _, measure := range right {
			if measure == "" {
				left = append(left, "C2")
			} else {
				left = append(left, bass)
			}
		}
		voice := append(song[:len(song):len(song)], make([]string, len(right))...)
		right = append([]string{"C4+E4", "C4+E4", tune, tune}, right...)
		return accompanied(t, voice, right, left)
	}
	for _, c := range []struct {
		what  string
		score *score.Score
		o     Options
		want  []string
	}{
		{"voice that only breathes and holds", with(), Options{}, []string{}},
		{"postlude", with(tune, tune), Options{}, []string{"5: E5 D5 C5 B4 E5 D5 C5 B4"}},
		{"lone bass after it", with(tune, ""), Options{}, []string{"5: E5 D5 C5 B4"}},
		{"repeated chords", with(chords, chords), Options{}, []string{}},
		{"two notes in turns", with("E5 D5 E5 D5"), Options{}, []string{}},
		{"melody that the user says is there", with(tune), Options{Overrules: []Overrule{{Part: "Right hand", First: "5"}}}, []string{}},
		{"measures in which the user says that there is none", with(tune, tune), Options{Overrules: []Overrule{{None: true, First: "5", Last: "5"}}}, []string{"6: E5 D5 C5 B4"}},
		{"song without words", withoutWords(with(tune, tune)), Options{}, []string{}},
	} {
		if diff := cmp.Diff(c.want, found(c.score, c.o)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.what, diff)
		}
	}
}

// withoutWords is s whose melody is not known to be sung.
func withoutWords(s *score.Score) *score.Score {
	for _, m := range s.Parts[0].Measures {
		for i := range m.Notes {
			m.Notes[i].Lyrics = nil
		}
	}
	return s
}

// TestMarkedInterludes: in a score that marks its melody those interludes lead that it
// marks, whatever they are like.
func TestMarkedInterludes(t *testing.T) {
	s := accompanied(t, []string{"G4 A4", ""}, []string{"C4", "C4+E4+G4 D4+E4+G4 B3+E4+G4 C4+E4+G4"})
	for i := range s.Parts[0].Measures[0].Notes {
		s.Parts[0].Measures[0].Notes[i].Melody = true
	}
	if got := found(s, Options{}); len(got) != 0 {
		t.Errorf("without marks: %v", got)
	}
	last := s.Parts[1].Measures[1].Notes
	for i := range last {
		last[i].Interlude = i%3 == 0
	}
	if diff := cmp.Diff([]string{"2: C4 D4 B3 C4"}, found(s, Options{})); diff != "" {
		t.Errorf("marked (-want +got):\n%s", diff)
	}
}
