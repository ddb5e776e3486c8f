package check

import (
	"testing"

	"undersong/score"
	"undersong/voicing/playing"
)

// TestKeyboards: treble clef is the manual and bass clef the pedals (Gouwens,
// "Playing the Carillon", App. B); what is beyond two staves is the project's
// own rule.
func TestKeyboards(t *testing.T) {
	type part struct {
		name  string
		clefs string // one letter a staff: g, f
	}
	tests := []struct {
		name  string
		parts []part
		want  string // m, p for each staff
	}{
		{"two staves", []part{{"Carillon", "gf"}}, "mp"},
		{"two staves for the hands", []part{{"Carillon", "gg"}}, "mm"},
		{"three staves", []part{{"Carillon", "gff"}}, "mmp"},
		{"one staff", []part{{"Carillon", "g"}}, "m"},
		{"one staff in the bass clef", []part{{"Carillon", "f"}}, "m"},
		{"one part for each keyboard", []part{{"Manual", "g"}, {"Pedals", "f"}}, "mp"},
		{"named, in any clef and order", []part{{"Pedaal", "g"}, {"Klavier", "f"}}, "pm"},
		{"two parts without such names", []part{{"One", "g"}, {"Two", "f"}}, "mp"},
	}
	for _, tt := range tests {
		s := &score.Score{}
		for _, p := range tt.parts {
			m := &score.Measure{}
			for i, c := range p.clefs {
				clef := score.Treble
				if c == 'f' {
					clef = score.Bass
				}
				m.Clefs = append(m.Clefs, score.ClefChange{Staff: i + 1, Clef: clef})
			}
			s.Parts = append(s.Parts, &score.Part{ID: p.name, Name: p.name, Staves: len(p.clefs), Measures: []*score.Measure{m}})
		}
		got := ""
		for _, k := range Keyboards(s) {
			if k.Pedals {
				got += "p"
			} else {
				got += "m"
			}
		}
		if got != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got, tt.want)
		}
	}
}

// TestWrittenFor: which hand a note is written for, by the stems of its voice, or
// by the other voice's where it has whole notes only; a line alone in its measure
// is for both.
func TestWrittenFor(t *testing.T) {
	note := func(voice int, stem score.Stem) score.Note {
		return score.Note{Staff: 1, Voice: voice, Stem: stem}
	}
	both := []score.Note{note(1, score.StemUp), note(2, score.StemDown)}
	bare := []score.Note{note(1, score.StemUp), note(2, score.StemAuto)}
	for _, tt := range []struct {
		name     string
		measures [][]score.Note
		want     string // of the notes of the last measure: r, l or - of neither
	}{
		{"a voice for each hand", [][]score.Note{both}, "rl"},
		{"no stem in one of them", [][]score.Note{both, {note(1, score.StemAuto), note(2, score.StemAuto)}}, "rl"},
		{"whole notes", [][]score.Note{bare}, "rl"},
		{"whole notes over stems down", [][]score.Note{{note(1, score.StemAuto), note(2, score.StemDown)}}, "rl"},
		{"two voices of whole notes", [][]score.Note{append(bare[:2:2], note(3, score.StemAuto))}, "---"},
		{"alone in its measure", [][]score.Note{both, {note(1, score.StemUp), note(1, score.StemUp)}}, "--"},
		{"beside a rest", [][]score.Note{both, {note(1, score.StemUp), {Kind: score.Rest, Staff: 1, Voice: 2}}}, "-"},
		{"both ways in a voice", [][]score.Note{both, {note(1, score.StemDown), note(2, score.StemDown)}}, "--"},
	} {
		p := &score.Part{Staves: 1}
		for _, notes := range tt.measures {
			p.Measures = append(p.Measures, &score.Measure{Notes: notes})
		}
		written := stemHands(&score.Score{Parts: []*score.Part{p}})
		got := ""
		last := len(p.Measures) - 1
		for i := range p.Measures[last].Notes {
			n := &p.Measures[last].Notes[i]
			if n.Kind != score.Pitched {
				continue
			}
			tone := score.Tone{Pieces: []score.Piece{{Measure: last, Note: n}}}
			got += map[playing.Limb]string{playing.RightHand: "r", playing.LeftHand: "l", playing.Nobody: "-"}[written.wants(&struck{tone: &tone, measure: last})]
		}
		if got != tt.want {
			t.Errorf("%s: %s, not %s", tt.name, got, tt.want)
		}
	}
}

// TestStems: stems tell the hands apart only where each voice keeps to one
// direction and both occur.
func TestStems(t *testing.T) {
	note := func(voice int, stem score.Stem) score.Note {
		return score.Note{Staff: 1, Voice: voice, Stem: stem}
	}
	tests := []struct {
		name  string
		notes []score.Note
		want  bool
	}{
		{"a voice for each hand", []score.Note{note(1, score.StemUp), note(2, score.StemDown), note(1, score.StemUp)}, true},
		{"one voice", []score.Note{note(1, score.StemUp), note(1, score.StemUp)}, false},
		{"stems by line", []score.Note{note(1, score.StemUp), note(1, score.StemDown), note(2, score.StemDown)}, false},
		{"no stems", []score.Note{note(1, score.StemAuto), note(2, score.StemAuto)}, false},
	}
	for _, tt := range tests {
		s := &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{{Notes: tt.notes}}}}}
		if got := len(stemHands(s).voices) > 0; got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}
