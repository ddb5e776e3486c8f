// Package study reads a score as an arranger would before changing a note:
// its melody, phrases, sections, harmony and texture, and, section by section,
// whether it would go inverted on a tower, with the melody in the pedals.
//
// It puts together what packages melody, form and harmony find. It changes
// nothing and writes no score.
package study

import (
	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/form"
	"undersong/voicing/harmony"
	"undersong/voicing/melody"
)

// Options steer [Of].
type Options struct {
	Tower  *instrument.Tower // default: the profile instrument.Default
	Melody []melody.Overrule // where the melody is, against what would be found
}

// Study is what there is to know about a score. As JSON its fields are stable:
// see README.md.
type Study struct {
	Version int    `json:"version"` // of this form: 1
	File    string `json:"file,omitempty"`
	Title   string `json:"title,omitempty"`
	Tower   string `json:"tower"`
	Key     Key    `json:"key"`
	Tempo   Tempo  `json:"tempo"`
	// Melody is its notes, tied notes once; MelodyFrom where they stand.
	Melody     []Note    `json:"melody"`
	MelodyFrom string    `json:"melodyFrom"`
	Phrases    []Phrase  `json:"phrases"`
	Sections   []Section `json:"sections"`
	Harmony    []Chord   `json:"harmony"`
}

// Note is one note of the melody.
type Note struct {
	Onset   string `json:"onset"` // quarter notes from the start as written, "n/d"
	Pitch   int    `json:"pitch"` // MIDI number, as written
	Measure string `json:"measure"`
	Part    string `json:"part"`
}

// Key is the key of the piece.
type Key struct {
	Name        string  `json:"name"`        // "G major"
	Correlation float64 `json:"correlation"` // with its profile, -1 to 1
	Next        string  `json:"next"`        // the next likely one
}

// Tempo is the tempo at the beginning.
type Tempo struct {
	PerMinute float64 `json:"quartersPerMinute"`
	From      string  `json:"from"` // "the score", a word in quotes, or "assumed"
}

// Span is a stretch of measures by their printed numbers, with its bounds in
// quarter notes from the start as written, "n/d".
type Span struct {
	FirstMeasure string `json:"firstMeasure"`
	LastMeasure  string `json:"lastMeasure"`
	From         string `json:"from"`
	To           string `json:"to"`
}

// Phrase is a stretch of the melody between breaths.
type Phrase struct {
	Span
	Notes int `json:"notes"`
	Sure  int `json:"sure"` // per cent
	// Rival is where the line stands that it might be instead, where that is
	// near.
	Rival string `json:"rival,omitempty"`
}

// Section is a stretch of the piece that belongs together.
type Section struct {
	Name   string `json:"name"`
	Kind   string `json:"kind,omitempty"`   // intro, verse, pre-chorus, chorus, bridge, interlude, ending
	Letter string `json:"letter,omitempty"` // alike for sections with one melody
	Times  int    `json:"times"`            // played, with all repeats
	Span
	Texture Texture `json:"texture"`
	Verdict Verdict `json:"verdict"`
}

// Chord is the harmony from one moment to another.
type Chord struct {
	From    string `json:"from"`
	To      string `json:"to"`
	Measure string `json:"measure"`
	Beat    string `json:"beat"`
	Name    string `json:"name"` // "Am7/G"; "–" for none
	Root    string `json:"root,omitempty"`
	Kind    string `json:"kind"` // as MusicXML names it
	Bass    string `json:"bass,omitempty"`
	Given   bool   `json:"given"` // by a chord symbol of the score
}

// Analysis is what a study is made of, for whoever goes on to arrange the
// score.
type Analysis struct {
	Score    *score.Score
	Tones    []score.Tone
	Melody   melody.Line
	Sections []form.Section
	Harmony  []harmony.Span
	Key      harmony.KeyFit
	NextKey  harmony.KeyFit
	Clock    *score.Clock
}

// Analyse finds melody, sections, harmony and key of a score.
func Analyse(s *score.Score, overrules []melody.Overrule) *Analysis {
	a := &Analysis{Score: s, Tones: s.Tones(), Clock: s.Clock()}
	a.Melody = melody.Find(s, a.Tones, melody.Options{Overrules: overrules})
	a.Sections = form.Sections(s, a.Tones, a.Melody)
	a.Harmony = harmony.Find(s, a.Tones, a.Melody.Tones)
	a.Key, a.NextKey = harmony.FindKey(s, a.Tones)
	return a
}

// Of studies a score.
func Of(s *score.Score, o Options) (*Study, error) {
	if o.Tower == nil {
		var err error
		if o.Tower, err = instrument.Named(instrument.Default); err != nil {
			return nil, err
		}
	}
	a := Analyse(s, o.Melody)
	st := &Study{
		Version: 1, Title: s.Title, Tower: o.Tower.Name, MelodyFrom: a.Melody.From,
		Key:    Key{a.Key.String(), a.Key.Correlation, a.NextKey.String()},
		Melody: []Note{}, Phrases: []Phrase{}, Sections: []Section{}, Harmony: []Chord{},
	}
	if s.Movement != "" {
		st.Title = s.Movement
	}
	st.Tempo.PerMinute, st.Tempo.From = a.Clock.Tempo()
	p := newPlaces(s)
	for _, i := range a.Melody.Tones {
		t := &a.Tones[i]
		st.Melody = append(st.Melody, Note{
			Onset: fraction(t.Onset), Pitch: t.First().Pitch.MIDI(),
			Measure: s.Parts[t.Part].Measures[t.Pieces[0].Measure].Number, Part: s.Parts[t.Part].ID,
		})
	}
	for _, ph := range a.Melody.Phrases {
		first, last := &a.Tones[a.Melody.Tones[ph.First]], &a.Tones[a.Melody.Tones[ph.Last-1]]
		st.Phrases = append(st.Phrases, Phrase{
			Span: p.span(first.Onset, last.End()), Notes: ph.Last - ph.First, Sure: ph.Sure, Rival: ph.RivalFrom,
		})
	}
	m := newMeter(a, o.Tower)
	for _, sec := range a.Sections {
		texture := m.texture(sec)
		span := Span{p.number(sec.First), p.number(sec.Last), fraction(sec.From), fraction(sec.To)}
		st.Sections = append(st.Sections, Section{
			Name: sec.Name, Kind: string(sec.Kind), Letter: sec.Letter, Times: sec.Times, Span: span,
			Texture: texture, Verdict: m.verdict(sec, texture),
		})
	}
	for _, h := range a.Harmony {
		st.Harmony = append(st.Harmony, p.chord(h))
	}
	return st, nil
}

// fraction is a time as "n/d", with the denominator even where it is 1.
func fraction(t score.Time) string { return itoa(t.Num()) + "/" + itoa(t.Den()) }
