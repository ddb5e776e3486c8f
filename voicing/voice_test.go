package voicing

import (
	"testing"

	"undersong/instrument"
	"undersong/score"
	"undersong/score/musicxml"
	"undersong/voicing/melody"
)

// TestMelodyComplete holds every result, as read back from its file, to what a
// listener would: each note
// of the melody is there at its moment, of its pitch class and length, and,
// inverted, nothing lies under it in the same stroke.
func TestMelodyComplete(t *testing.T) {
	for _, v := range Voicings() {
		t.Run(string(v), func(t *testing.T) {
			eachDocument(t, func(t *testing.T, doc *musicxml.Document) {
				s := doc.Score()
				tones, source := readBack(t, doc, Options{Voicing: v}).Tones(), s.Tones()
				line := melody.Find(s, source, melody.Options{}).Tones
				for k, i := range line {
					if k+1 < len(line) { // the line is one, so a note ends where the next begins
						source[i].Length = score.Min(source[i].Length, source[line[k+1]].Onset.Sub(source[i].Onset))
					}
					checkMelodyNote(t, v, &source[i], tones)
				}
			})
		})
	}
}

func checkMelodyNote(t *testing.T, v Voicing, want *score.Tone, tones []score.Tone) {
	t.Helper()
	lowest, found := want.Pitch.MIDI()+100, false
	key := 0
	for _, o := range tones {
		if o.Onset != want.Onset || o.First().Grace {
			continue
		}
		lowest = min(lowest, o.Pitch.MIDI())
		if o.Pitch.Class() == want.Pitch.Class() && o.Length == want.Length {
			if found = true; key == 0 || o.Pitch.MIDI() < key {
				key = o.Pitch.MIDI()
			}
		}
	}
	if !found {
		t.Errorf("melody note %s at %s, length %s, is not in the result", want.Pitch, want.Onset, want.Length)
	}
	if found && v == Inverted && lowest < key {
		t.Errorf("at %s a note %d lies under the melody's %d", want.Onset, lowest, key)
	}
}

// TestEveryNoteHasAKey: the keys of the 47-bell carillon are those of the
// GCNA's composition rule (Johan Franco Committee, 2016/17).
func TestEveryNoteHasAKey(t *testing.T) {
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range Voicings() {
		t.Run(string(v), func(t *testing.T) {
			eachDocument(t, func(t *testing.T, doc *musicxml.Document) {
				for _, m := range readBack(t, doc, Options{Voicing: v}).Parts[0].Measures {
					for _, n := range m.Notes {
						if n.Kind != score.Pitched {
							continue
						}
						keys := tower.Manual
						if n.Staff == 2 {
							keys = tower.Pedals
						}
						if !keys.Has(n.Pitch.MIDI()) {
							t.Errorf("measure %s: %s has no key on staff %d", m.Number, n.Pitch, n.Staff)
						}
					}
				}
			})
		})
	}
}

// TestCounts: every note of the source is written or left out with a reason.
func TestCounts(t *testing.T) {
	for _, v := range Voicings() {
		eachScore(t, func(t *testing.T, s *score.Score) {
			out, r, err := Voice(s, Options{Voicing: v})
			if err != nil {
				t.Fatal(err)
			}
			if got := len(out.Tones()); got != r.Notes.Written {
				t.Errorf("%d notes in the score, %d in the report", got, r.Notes.Written)
			}
			left := 0
			for _, c := range r.Changes {
				if c.Note != "" && c.LeftOut != "" {
					left++
				}
			}
			if left != r.Notes.LeftOut || r.Notes.Written+left != r.Notes.Source {
				t.Errorf("%d source, %d written, %d left out, %d with a reason", r.Notes.Source, r.Notes.Written, r.Notes.LeftOut, left)
			}
			if n := r.Notes; n.Kept+n.Moved+n.Merged+n.Dropped != n.Source {
				t.Errorf("the counts do not add up: %+v", n)
			}
		})
	}
}
