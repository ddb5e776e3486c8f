package melody

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// write is a part of one measure with the given notes, a quarter each.
func write(name string, notes ...score.Note) *score.Part {
	p := &score.Part{ID: name, Name: name, Staves: 1}
	m := &score.Measure{Number: "1", Length: score.Quarters(int64(len(notes)))}
	for i, n := range notes {
		n.Onset = score.Quarters(int64(i))
		if !n.Grace {
			n.Length = score.Quarter
		}
		n.Staff, n.Voice = max(n.Staff, 1), max(n.Voice, 1)
		m.Notes = append(m.Notes, n)
	}
	p.Measures = []*score.Measure{m}
	return p
}

func plain(midi ...int) []score.Note {
	var notes []score.Note
	for _, p := range midi {
		notes = append(notes, score.Note{Pitch: score.Spell(p)})
	}
	return notes
}

// twoStaves is a part of two staves.
func twoStaves(upper, lower []score.Note) *score.Part {
	p, low := write("Piano", upper...), write("Piano", lower...)
	p.Staves = 2
	for _, n := range low.Measures[0].Notes {
		n.Staff, n.Voice = 2, 5
		p.Measures[0].Notes = append(p.Measures[0].Notes, n)
	}
	return p
}

func worded(midi ...int) []score.Note {
	notes := plain(midi...)
	for i := range notes {
		notes[i].Lyrics = []score.Lyric{{Verse: "1", Text: "la"}}
	}
	return notes
}

func TestGivenLines(t *testing.T) {
	hidden := plain(60, 62, 64, 65)
	hidden[1].Hidden, hidden[2].Cue = true, true
	grace := plain(60, 62, 64)
	grace[1].Grace = true
	marks := plain(72, 74, 76, 77)
	marks[1].Melody, marks[2].Melody = true, true
	tests := []struct {
		name  string
		parts []*score.Part
		want  []int // pitches
		from  string
	}{
		{
			"a voice under its accompaniment",
			[]*score.Part{write("Piano", plain(72, 74, 76, 77)...), write("Voice", worded(60, 62, 64, 65)...)},
			[]int{60, 62, 64, 65}, "the sung line of part Voice",
		},
		{
			"words that go down to another staff",
			[]*score.Part{twoStaves(append(worded(72, 74, 76, 77, 79, 77, 76, 74), plain(84, 84, 84, 84, 84, 84, 84, 84)...),
				append(plain(48, 48, 48, 48, 48, 48, 48, 48), worded(60, 62, 64, 65, 67, 65, 64, 62)...))},
			[]int{72, 74, 76, 77, 79, 77, 76, 74, 60, 62, 64, 65, 67, 65, 64, 62}, "the sung line of part Piano",
		},
		{
			"words on both staves at once",
			[]*score.Part{twoStaves(worded(72, 74, 76, 77, 79, 77, 76, 74), worded(60, 62, 64, 65, 67, 65, 64, 62))},
			[]int{72, 74, 76, 77, 79, 77, 76, 74}, "the sung line of part Piano",
		},
		{
			"a choir with words sings its tune on top",
			[]*score.Part{write("S", worded(72, 74, 76, 77)...), write("A", worded(60, 62, 64, 65)...)},
			[]int{72, 74, 76, 77}, "the sung line of part S",
		},
		{
			"a choir without words",
			[]*score.Part{write("S", plain(72, 60, 76)...), write("A", plain(60, 62, 64)...), write("B", plain(48, 50, 52)...)},
			[]int{72, 60, 76}, "the upper part of a choir, S",
		},
		{
			"notes that are marked, against words",
			[]*score.Part{write("Voice", worded(60, 62, 64, 65)...), write("Piano", marks...)},
			[]int{74, 76}, "the notes that the score marks as its melody",
		},
		{"one line", []*score.Part{write("Flute", plain(60, 48, 72, 61)...)}, []int{60, 48, 72, 61}, "the only line of the score"},
		{"hidden and cue notes", []*score.Part{write("Flute", hidden...)}, []int{60, 65}, "the only line of the score"},
		{"grace notes", []*score.Part{write("Flute", grace...)}, []int{60, 64}, "the only line of the score"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := &score.Score{Parts: test.parts}
			tones := s.Tones()
			line := Find(s, tones, Options{})
			if diff := cmp.Diff(test.want, pitches(tones, line)); diff != "" || line.From != test.from {
				t.Errorf("from %q, want %q; pitches (-want +got):\n%s", line.From, test.from, diff)
			}
		})
	}
}

func pitches(tones []score.Tone, line Line) []int {
	var all []int
	for _, i := range line.Tones {
		all = append(all, tones[i].Pitch.MIDI())
	}
	return all
}

func TestGraces(t *testing.T) {
	p := write("Flute", plain(60, 62, 64)...)
	grace := score.Note{Pitch: score.Spell(61), Onset: score.Quarters(1), Staff: 1, Voice: 1, Grace: true}
	p.Measures[0].Notes = append(p.Measures[0].Notes, grace)
	s := &score.Score{Parts: []*score.Part{p}}
	tones := s.Tones()
	var got []int
	for _, i := range Graces(tones, Find(s, tones, Options{})) {
		got = append(got, tones[i].Pitch.MIDI())
	}
	if diff := cmp.Diff([]int{61}, got); diff != "" {
		t.Errorf("graces (-want +got):\n%s", diff)
	}
}

func TestNoNotes(t *testing.T) {
	s := &score.Score{Parts: []*score.Part{write("Flute")}}
	if line := Find(s, s.Tones(), Options{}); len(line.Tones) != 0 || line.From == "" {
		t.Errorf("found %v from %q in a score without notes", line.Tones, line.From)
	}
}
