// Package study reads a score as an arranger would before changing a note:
// its melody, phrases, sections, harmony and texture, and, section by section,
// whether it would go inverted on a tower, with the melody in the pedals.
//
// It puts together what packages melody, form and harmony find. It changes
// nothing and writes no score.
package study

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/harmony"
	"undersong/voicing/melody"
)

// Study is what there is to know about a score. As JSON its fields are stable:
// see README.md.
type Study struct {
	Version int    `json:"version"` // of this form: 1
	File    string `json:"file,omitempty"`
	Title   string `json:"title,omitempty"`
	Tower   string `json:"tower"`
	// Notices are what is likely wrong in the file, as score.Score has them, and with the
	// order in which it is played, as voicing.TellRepeats has it.
	Notices []string `json:"notices,omitempty"`
	Key     Key      `json:"key"`
	// Keys are the keys that it goes through, every measure once.
	Keys  []LocalKey `json:"keys"`
	Tempo Tempo      `json:"tempo"`
	// Melody is its notes, tied notes once; MelodyFrom where they stand.
	Melody     []Note `json:"melody"`
	MelodyFrom string `json:"melodyFrom"`
	// Sure is how sure the melody is on the mean of its notes, in per cent.
	Sure    int      `json:"sure"`
	Phrases []Phrase `json:"phrases"`
	// Interludes are the lines that lead while a sung melody rests; they are no part of it.
	Interludes []Interlude `json:"interludes,omitempty"`
	// Missing are measures in which no melody was found where one may be.
	Missing  []Span    `json:"missing,omitempty"`
	Sections []Section `json:"sections"`
	// Order is the sections as they are played, with all repeats.
	Order []Pass `json:"order"`
	// LastChorus is the last time through the chorus, or through what returns
	// most; absent where nothing returns.
	LastChorus *LastChorus `json:"lastChorus,omitempty"`
	// Transpose is there where the melody would sit better in another key.
	Transpose *Transpose `json:"transpose,omitempty"`
	Harmony   []Chord    `json:"harmony"`
}

// Pass is one time through a section, or a part of it.
type Pass struct {
	Section int    `json:"section"` // index in Study.Sections
	Name    string `json:"name"`
	Nth     int    `json:"nth"` // 1 the first time that the section is played
	Measures
	// Runs are its measures where it leaves out some between: another ending.
	Runs []Measures `json:"runs,omitempty"`
}

// LastChorus is a pass, and why it is the last chorus.
type LastChorus struct {
	Section int    `json:"section"`
	Name    string `json:"name"`
	Nth     int    `json:"nth"`
	How     string `json:"how"`
	Span
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

// LocalKey is the key of a stretch of the piece.
type LocalKey struct {
	Name string `json:"name"`
	Span
}

// Tempo is the tempo at the beginning.
type Tempo struct {
	PerMinute float64 `json:"quartersPerMinute"`
	From      string  `json:"from"` // "the score", a word in quotes, or "assumed"
	// Usual is what would be assumed if the melody could be struck in time at it, as voicing
	// does; 0 where it is.
	Usual float64 `json:"usual,omitempty"`
}

// Measures are a stretch of them by their printed numbers.
type Measures struct {
	FirstMeasure string `json:"firstMeasure"`
	LastMeasure  string `json:"lastMeasure"`
}

// Span is a stretch of measures with its bounds in quarter notes from the start as
// written, "n/d".
type Span struct {
	Measures
	From string `json:"from"`
	To   string `json:"to"`
}

// Phrase is a stretch of the melody between breaths.
type Phrase struct {
	Span
	Beat  string `json:"beat"` // of its first note
	Notes int    `json:"notes"`
	Sure  int    `json:"sure"` // per cent
	// Rival is where the line stands that it might be instead, where that is
	// near.
	Rival string `json:"rival,omitempty"`
	// PedalOctaves are the moves by octaves from the pitch as it sounds, the
	// highest first, that put it into the pedals whole.
	PedalOctaves []int `json:"pedalOctaves"`
}

// Interlude is a line that leads while the melody rests for measures.
type Interlude struct {
	Span
	Notes int `json:"notes"`
	Sure  int `json:"sure"` // per cent
}

// Section is a stretch of the piece that belongs together.
type Section struct {
	Name   string `json:"name"`
	Kind   string `json:"kind,omitempty"`   // intro, verse, pre-chorus, chorus, bridge, interlude, ending
	Letter string `json:"letter,omitempty"` // alike for sections with one melody
	Times  int    `json:"times"`            // played, with all repeats
	// Because is why it has its name and kind.
	Because string `json:"because"`
	Span
	Led     bool    `json:"led,omitempty"` // an interlude leads in it, or in a part of it
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
	Line     melody.Line // the melody as package melody finds it
	Melody   melody.Line // the same, its phrases parted where sections begin
	Sections []form.Section
	Order    []form.Pass // the sections as they are played
	Harmony  []harmony.Span
	Key      harmony.KeyFit
	NextKey  harmony.KeyFit
	Keys     []harmony.KeySpan // measure by measure
	Clock    *score.Clock
}

// Analyse finds melody, sections, harmony and key of a score, as far as the user does not
// say where the melody is and, by the indexes of measures, where sections begin.
func Analyse(s *score.Score, overrules []melody.Overrule, begins ...int) *Analysis {
	a := newAnalysis(s, overrules)
	a.analyse(func() []form.Section { return form.Sections(s, a.Tones, a.Line, begins...) })
	return a
}

// WrittenOut is the analysis of the score with its repeats written out, whose
// sections are those of a as they are played: the second time of A is "time 2 of A", as in a
// plan.
func (a *Analysis) WrittenOut(s *score.Score, overrules []melody.Overrule) *Analysis {
	w := newAnalysis(s, overrules)
	w.analyse(func() (sections []form.Section) {
		for _, p := range form.WrittenOut(a.Sections, a.Score, s) {
			if a.Sections[p.Of].Times > 1 {
				p.Name = fmt.Sprintf("time %d of %s", p.Nth, p.Name)
			}
			sections = append(sections, p.Section)
		}
		return sections
	})
	return w
}

func newAnalysis(s *score.Score, overrules []melody.Overrule) *Analysis {
	a := &Analysis{Score: s, Tones: s.Tones(), Clock: s.Clock()}
	a.Line = melody.Find(s, a.Tones, melody.Options{Overrules: overrules})
	a.Melody = a.Line
	return a
}

// analyse finds what follows from the melody: the form, of these sections, and
// the harmony.
func (a *Analysis) analyse(sections func() []form.Section) {
	s := a.Score
	beside(func() {
		a.Sections = sections()
		a.Melody.Phrases = form.Phrases(a.Tones, a.Line, a.Sections)
		a.Order = form.Passes(s, a.Sections)
	}, func() {
		a.Key, a.NextKey = harmony.FindKey(s, a.Tones)
		a.Harmony = harmony.FindIn(s, a.Tones, a.Line.Tones, a.Key.Key)
		a.Keys = harmony.LocalKeys(s, a.Tones, a.Harmony, a.Key.Key)
	})
}

// notices are those of the score and of the order in which it is played.
func (a *Analysis) notices() []string {
	all := slices.Clone(a.Score.Notices)
	for _, f := range voicing.TellRepeats(a.Score) {
		all = append(all, f.Place.String()+": "+f.Text)
	}
	return all
}

// Study puts an analysis into words and figures, for a tower.
func (a *Analysis) Study(tower *instrument.Tower) *Study {
	m := newMeter(a, tower)
	st := &Study{
		Version: 1, Title: cmp.Or(a.Score.Movement, a.Score.Title), Tower: tower.Name, Notices: a.notices(), MelodyFrom: a.Melody.From,
		Key:  Key{a.Key.String(), rounded(a.Key.Correlation), a.NextKey.String()},
		Keys: []LocalKey{}, Sections: []Section{}, Order: []Pass{}, Harmony: []Chord{},
	}
	var verdicts []Verdict
	beside(func() {
		for _, sec := range a.Sections {
			verdicts = append(verdicts, m.verdict(sec))
		}
	}, func() {
		for _, sec := range a.Sections {
			st.Sections = append(st.Sections, m.section(sec))
		}
		st.Melody, st.Phrases, st.Interludes, st.Missing, st.Transpose = a.notes(), m.phrases(), m.interludes(), m.missing(), m.transpose()
		for _, k := range a.Keys {
			st.Keys = append(st.Keys, LocalKey{k.Key.String(), m.places.span(k.From, k.To)})
		}
		for _, h := range a.Harmony {
			st.Harmony = append(st.Harmony, m.places.chord(h))
		}
	})
	for i, v := range verdicts {
		st.Sections[i].Verdict = v
	}
	st.Tempo.PerMinute, st.Tempo.From = a.Clock.Tempo()
	if slower := m.placed.Tempo; slower > 0 {
		st.Tempo.PerMinute, st.Tempo.Usual = slower, st.Tempo.PerMinute
	}
	st.Sure = a.Melody.SureOfAll()
	for _, p := range a.Order {
		pass := Pass{Section: p.Section, Name: a.Sections[p.Section].Name, Nth: p.Nth, Measures: m.places.measures(p.First, p.Last)}
		if len(p.Runs) > 1 {
			for _, run := range p.Runs {
				pass.Runs = append(pass.Runs, m.places.measures(run[0], run[1]))
			}
		}
		st.Order = append(st.Order, pass)
	}
	if found, ok := form.Last(a.Sections, a.Order, string(form.Chorus)); ok {
		sec := &st.Sections[found.Section]
		st.LastChorus = &LastChorus{found.Section, sec.Name, found.Nth, found.How, sec.Span}
	}
	return st
}

// notes are the notes of the melody.
func (a *Analysis) notes() []Note {
	notes := make([]Note, 0, len(a.Melody.Tones))
	for _, i := range a.Melody.Tones {
		t := &a.Tones[i]
		p := a.Score.Parts[t.Part]
		notes = append(notes, Note{fraction(t.Onset), t.First().Pitch.MIDI(), p.Measures[t.Pieces[0].Measure].Number, p.ID})
	}
	return notes
}

func (m *meter) phrases() []Phrase {
	phrases := make([]Phrase, 0, len(m.Melody.Phrases))
	for _, ph := range m.Melody.Phrases {
		var tune []*score.Tone
		for _, i := range m.Melody.Tones[ph.First:ph.Last] {
			tune = append(tune, &m.Tones[i])
		}
		first, last := tune[0], tune[len(tune)-1]
		_, beat := m.places.name(first.Onset)
		phrases = append(phrases, Phrase{
			Span: m.places.span(first.Onset, last.End()), Beat: beat, Notes: len(tune),
			Sure: ph.Sure, Rival: ph.RivalFrom, PedalOctaves: pedalOctaves(tune, m.tower.Pedals),
		})
	}
	return phrases
}

func (m *meter) interludes() []Interlude {
	var all []Interlude
	for _, l := range m.Line.Interludes {
		all = append(all, Interlude{m.places.span(m.bounds(l)), len(l.Tones), l.SureOfAll()})
	}
	return all
}

// bounds are where a line begins and ends.
func (a *Analysis) bounds(l melody.Line) (from, to score.Time) {
	return a.Tones[l.Tones[0]].Onset, a.Tones[l.Tones[len(l.Tones)-1]].End()
}

func (m *meter) missing() (all []Span) {
	for _, in := range m.Line.Missing(m.Score, m.Tones) {
		all = append(all, m.places.span(m.places.starts[in.First], m.places.starts[in.Last+1]))
	}
	return all
}

// section is a section but for its verdict.
func (m *meter) section(sec form.Section) Section {
	return Section{
		Name: sec.Name, Kind: string(sec.Kind), Letter: sec.Letter, Times: sec.Times, Because: sec.Because,
		Span:    Span{m.places.measures(sec.First, sec.Last), fraction(sec.From), fraction(sec.To)},
		Texture: m.texture(sec).rounded(),
		Led: slices.ContainsFunc(m.Line.Interludes, func(l melody.Line) bool {
			from, to := m.bounds(l)
			return from.Less(sec.To) && sec.From.Less(to)
		}),
	}
}

// rounded is a figure to three places: more are none of the music's.
func rounded(x float64) float64 { return math.Round(1000*x) / 1000 }

// fraction is a time as "n/d", with the denominator even where it is 1.
func fraction(t score.Time) string {
	var text [2*20 + 1]byte
	return string(strconv.AppendInt(append(strconv.AppendInt(text[:0], t.Num(), 10), '/'), t.Den(), 10))
}
