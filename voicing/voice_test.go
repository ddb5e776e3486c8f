package voicing

import (
	"bytes"
	"encoding/json"
	"runtime"
	"testing"

	"undersong/score"
	"undersong/voicing/melody"
)

// TestMelodyComplete holds every result, as read back from its file, to what a
// listener would: each note
// of the melody is there at its moment, of its pitch class and length, and,
// inverted, nothing lies under it in the same stroke.
func TestMelodyComplete(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		s := o.doc.Score()
		tones, source := o.back.Tones(), s.Tones()
		line := melody.Find(s, source, melody.Options{}).Tones
		for k, i := range line {
			if k+1 < len(line) { // the line is one, so a note ends where the next begins
				source[i].Length = score.Min(source[i].Length, source[line[k+1]].Onset.Sub(source[i].Onset))
			}
			checkMelodyNote(t, o.voicing, &source[i], tones)
		}
	})
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

// TestCounts: every note of the source is written or left out with a reason, and
// what is written is in the result.
func TestCounts(t *testing.T) {
	eachOutcome(t, func(t *testing.T, o *outcome) {
		r := o.report
		if got := len(o.back.Tones()); got != r.Notes.Written {
			t.Errorf("%d notes in the score, %d in the report", got, r.Notes.Written)
		}
		if want := len(o.doc.Score().Tones()) + r.Notes.Added; r.Notes.Source != want {
			t.Errorf("%d notes in the source and made of its chord symbols, %d in the report", want, r.Notes.Source)
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

// TestSameOnAnyCores: the same score gives the same file and the same report,
// however many processors work on it.
func TestSameOnAnyCores(t *testing.T) {
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	eachOutcome(t, func(t *testing.T, o *outcome) {
		report := jsonOf(t, o.report)
		for _, n := range []int{1, 7} {
			runtime.GOMAXPROCS(n)
			again := outcomeOf(t, o.doc, o.tower.Name, o.voicing)
			if !bytes.Equal(again.file, o.file) || jsonOf(t, again.report) != report {
				t.Errorf("on %d processors the result is another one", n)
			}
		}
	})
}

func jsonOf(t *testing.T, r *Report) string {
	t.Helper()
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
