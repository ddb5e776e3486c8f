package voicing

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/scoretest"
)

// songWithRests is a song of 4/4 that the piano begins and ends alone, with a tune in
// quarter notes over chords in half notes. Every note of the voice has a word.
func songWithRests(t *testing.T) *score.Score {
	t.Helper()
	voice := []string{"", "G4 A4 B4 C5", "D5 C5 B4 A4", "G4 B4 A4 G4", "", "", ""}
	tune := []string{"D5 C5 B4 A4", "", "", "", "G5 F#5 E5 D5", "E5 D5 C5 B4", "A4 B4 A4 G4"}
	s := &score.Score{Parts: []*score.Part{{ID: "P1", Name: "Voice", Staves: 1}, {ID: "P2", Name: "Piano", Staves: 2}}}
	for i := range voice {
		m := &score.Measure{Number: fmt.Sprint(i + 1), Length: score.Quarters(4), Notes: notesOf(t, 1, score.Quarter, voice[i])}
		for k := range m.Notes {
			m.Notes[k].Lyrics = []score.Lyric{{Text: "la", Syllabic: "single"}}
		}
		s.Parts[0].Measures = append(s.Parts[0].Measures, m)
		s.Parts[1].Measures = append(s.Parts[1].Measures, &score.Measure{Number: m.Number, Length: m.Length,
			Notes: append(notesOf(t, 1, score.Quarter, tune[i]), notesOf(t, 2, score.Quarters(2), "G3+B3+D4 D3+F#3+C4")...)})
	}
	return s
}

// notesOf are chords of one length on a staff, one after the other.
func notesOf(t *testing.T, staff int, length score.Time, text string) (notes []score.Note) {
	t.Helper()
	for i, chord := range strings.Fields(text) {
		for name := range strings.SplitSeq(chord, "+") {
			notes = append(notes, score.Note{Staff: staff, Voice: 4*staff - 3, Onset: length.Mul(int64(i), 1), Length: length, Pitch: scoretest.Pitch(t, name)})
		}
	}
	return notes
}

// leading is a line of a source that is to lead: its measures from a printed number on,
// parted by bars.
type leading struct{ from, notes string }

// TestInterludes: where a sung melody rests for a measure or more, the tune of the other
// parts is kept whole and moves by octaves as one, whatever the voicing and the tower. A
// player at the piano would point at these lines; Beethoven's has two notes more, G4 in
// measure 18, before each D4, for which there is no time.
func TestInterludes(t *testing.T) {
	songs := []struct {
		file  string // "" for the song of this test
		lines []leading
	}{
		{"", []leading{{"1", "D5 C5 B4 A4"}, {"5", "G5 F#5 E5 D5 | E5 D5 C5 B4 | A4 B4 A4 G4"}}},
		{"Kinkel_Klage.mxl", []leading{{"24", "Eb4 G4 C5 Eb5 | Eb5 D5 | F5 B4 | C5 D5 | Eb5 D5 C5 | G4 G4 | G4 A4 B4 | C5"}}},
		{"Beethoven_Das_Blumchen_Wunderhold.musicxml", []leading{{"17", "C5 C5 C5 C5 | B4 D5 B4 D4 D5 B4 | D4 F#4 F#4 F#4 | A4 G4"}}},
	}
	shared := scoretest.Shared(t)
	for _, song := range songs {
		s := songWithRests(t)
		if song.file != "" {
			i := slices.IndexFunc(shared, func(path string) bool { return strings.HasSuffix(path, song.file) })
			if i < 0 {
				continue // Shared has said so
			}
			s = scoretest.Score(t, shared[i])
		}
		for _, name := range []string{"23", "35", "47", "61"} {
			tower, err := instrument.Named(name)
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range Voicings() {
				t.Run(fmt.Sprint(song.file, " ", name, " ", v), func(t *testing.T) {
					result, report := voiced(t, s, Options{Tower: tower, Voicing: v})
					for _, line := range song.lines {
						checkLeading(t, tower, result, report, line)
					}
				})
			}
		}
	}
}

// checkLeading holds a result to a line that leads in it.
func checkLeading(t *testing.T, tower *instrument.Tower, result *score.Score, report *Report, line leading) {
	t.Helper()
	first := slices.IndexFunc(result.Parts[0].Measures, func(m *score.Measure) bool { return m.Number == line.from })
	var want, got []score.Pitch
	measures := strings.Split(line.notes, "|")
	for _, name := range strings.Fields(strings.Join(measures, " ")) {
		want = append(want, scoretest.Pitch(t, name))
	}
	for _, tone := range result.Tones() {
		if m := tone.Pieces[0].Measure; first <= m && m < first+len(measures) && report.Tune(&tone) {
			got = append(got, tone.First().Pitch)
		}
	}
	if len(got) != len(want) {
		t.Fatalf("from measure %s on %v lead, not %v", line.from, got, want)
	}
	anywhere := false // some octave holds the line
	for octaves := -farthest; octaves <= farthest; octaves++ {
		without := func(p score.Pitch) bool { return !tower.Manual.Has(p.MIDI() + 12*octaves) }
		anywhere = anywhere || !slices.ContainsFunc(want, without)
	}
	move := got[0].MIDI() - want[0].MIDI()
	for i, p := range want {
		if got[i].Class() != p.Class() || anywhere && got[i].MIDI() != p.MIDI()+move {
			t.Errorf("from measure %s on %v lead: not %v moved by octaves as one", line.from, got, want)
			return
		}
	}
}

// TestInterludesMarked: what the report counts of melody and interludes is marked in the
// file, each as what it is.
func TestInterludesMarked(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		melody, interludes := 0, 0
		for _, tone := range o.back.Tones() {
			switch n := tone.First(); {
			case n.Grace:
			case n.Melody:
				melody++
			case n.Interlude:
				interludes++
			}
		}
		want := 0
		for _, i := range o.report.Interludes {
			want += i.Notes
		}
		if melody != o.report.Melody.Notes || interludes != want {
			t.Errorf("%d notes of the melody and %d of interludes are marked; the report has %d and %d", melody, interludes, o.report.Melody.Notes, want)
		}
	})
}
