package musicxml

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"undersong/score"
)

// blank is a document that scores of our own making can be written with.
func blank(t testing.TB) *Document {
	t.Helper()
	const text = `<score-partwise><part id="P1"><measure number="1"><note><rest/><duration>1</duration></note></measure></part></score-partwise>`
	doc, err := Read(strings.NewReader(text), "blank", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

// TestRandomScores: reading back what was written gives the same score.
func TestRandomScores(t *testing.T) {
	doc := blank(t)
	rapid.Check(t, func(t *rapid.T) {
		s := randomScore(t)
		var out bytes.Buffer
		if err := doc.Write(&out, s); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		again, err := Read(&out, "written", Limits{})
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(sounds(s), sounds(again.Score())); diff != "" {
			t.Fatalf("the notes differ (-made +read):\n%s\n%s", diff, text)
		}
		if diff := cmp.Diff(frames(s), frames(again.Score())); diff != "" {
			t.Fatalf("the measures differ (-made +read):\n%s", diff)
		}
	})
}

// frames is what a score has besides notes, in words.
func frames(s *score.Score) []string {
	var all []string
	for _, p := range s.Parts {
		for _, m := range p.Measures {
			f := fmt.Sprint(p.ID, " ", p.Staves, " ", m.Number, " ", m.Implicit, " ", m.Length)
			for _, k := range m.Keys {
				f += fmt.Sprint(" key ", k.Staff, k.Key)
			}
			for _, x := range m.Times {
				f += fmt.Sprint(" time ", x.Staff, x.Time)
			}
			for _, c := range m.Clefs {
				f += fmt.Sprint(" clef ", c.Staff, c.Clef)
			}
			for _, x := range m.Transposes {
				f += fmt.Sprint(" transpose ", x.Staff, x.Transposition)
			}
			for _, d := range m.Directions {
				f += fmt.Sprint(" direction ", d.Onset, max(d.Staff, 1), d.Placement, d.Sound, len(d.Signs))
				for _, x := range d.Signs {
					f += fmt.Sprint(" ", x.Name, x.Text, x.Type, x.Number)
				}
			}
			all = append(all, f)
			all = append(all, signs(m)...)
		}
	}
	return all
}

// signs are the barlines and chord symbols of m, the syllables of its notes and
// where its rests are hidden, in words, in the order of the words.
func signs(m *score.Measure) []string {
	var all, sung []string
	for _, b := range m.Barlines {
		if b.Location != "middle" {
			b.Onset = score.Time{}
		}
		b.Source = 0
		all = append(all, fmt.Sprintf("%+v", b))
	}
	for _, c := range m.Chords {
		c.Staff, c.Source = max(c.Staff, 1), 0
		all = append(all, fmt.Sprintf("%+v", c))
	}
	for _, n := range m.Notes {
		for _, l := range n.Lyrics {
			l.Source = 0
			sung = append(sung, fmt.Sprintf("%s %s %v %d %+v", n.Onset, n.Pitch, n.Grace, n.Staff, l))
		}
	}
	slices.Sort(all) // the document has them staff by staff
	slices.Sort(sung)
	return append(append(all, sung...), hidden(m)...)
}

// hidden are the stretches of hidden rests in voices that have notes as well:
// one of hidden rests alone is not written.
func hidden(m *score.Measure) []string {
	type stretch struct {
		voice    int
		from, to score.Time
	}
	sounding := map[int]bool{}
	var all []stretch
	for _, n := range m.Notes {
		last := len(all) - 1
		switch {
		case n.Kind != score.Rest:
			sounding[n.Voice] = true
		case n.Hidden && last >= 0 && all[last].voice == n.Voice && all[last].to == n.Onset:
			all[last].to = n.End()
		case n.Hidden:
			all = append(all, stretch{n.Voice, n.Onset, n.End()})
		}
	}
	var words []string
	for _, h := range all {
		if sounding[h.voice] {
			words = append(words, fmt.Sprint("hidden from ", h.from, " to ", h.to))
		}
	}
	slices.Sort(words)
	return words
}

func randomScore(t *rapid.T) *score.Score {
	meters := [][2]int{{4, 4}, {3, 4}, {2, 2}, {6, 8}, {5, 8}, {7, 8}, {12, 16}}
	s := &score.Score{}
	measures := rapid.IntRange(1, 4).Draw(t, "measures")
	var times []score.TimeSignature
	for range measures {
		m := rapid.SampledFrom(meters).Draw(t, "meter")
		times = append(times, score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{m[0]}, Unit: m[1]}}})
	}
	for i := range rapid.IntRange(1, 3).Draw(t, "parts") {
		p := &score.Part{ID: fmt.Sprintf("P%d", i+1), Name: "Bells", Staves: rapid.IntRange(1, 2).Draw(t, "staves")}
		for j, time := range times {
			p.Measures = append(p.Measures, randomMeasure(t, j, p.Staves, time))
		}
		s.Parts = append(s.Parts, p)
	}
	return s
}

func randomMeasure(t *rapid.T, index, staves int, time score.TimeSignature) *score.Measure {
	length, _ := time.Length()
	m := &score.Measure{
		Number: rapid.SampledFrom([]string{"1", "12a", "X1"}).Draw(t, "number"),
		Length: length,
		Times:  []score.TimeChange{{Time: time}},
	}
	if rapid.Bool().Draw(t, "key") {
		m.Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: rapid.IntRange(-7, 7).Draw(t, "fifths")}}}
	}
	if index == 0 {
		for staff := 1; staff <= staves; staff++ {
			clef := rapid.SampledFrom([]score.Clef{score.Treble, score.Bass, {Sign: "C", Line: 3}, {Sign: "G", Line: 2, OctaveChange: -1}})
			m.Clefs = append(m.Clefs, score.ClefChange{Staff: staff, Clef: clef.Draw(t, "clef")})
		}
		if rapid.Bool().Draw(t, "transposing") {
			m.Transposes = []score.TransposeChange{{Transposition: score.Transposition{Letters: 7, Semitones: 12}}}
		}
	}
	if rapid.Bool().Draw(t, "loud") {
		m.Directions = []score.Direction{{
			Onset: length.Mul(1, 2), Staff: staves,
			Signs: []score.Sign{{Name: "dynamics", Text: "mf", Number: 1}},
		}}
	}
	randomBarlines(t, m)
	for i := range rapid.IntRange(0, 2).Draw(t, "chord symbols") {
		m.Chords = append(m.Chords, randomChord(t, length.Mul(int64(i), 3), staves))
	}
	for voice := range rapid.IntRange(1, 3).Draw(t, "voices") {
		randomVoice(t, m, voice+1, min(voice+1, staves), length)
	}
	return m
}

// randomVoice fills a voice with chords, rests and grace notes on a random
// grid.
func randomVoice(t *rapid.T, m *score.Measure, voice, staff int, length score.Time) {
	grid := rapid.SampledFrom([]int64{1, 2, 4, 8, 3, 6, 12, 5, 7}).Draw(t, "grid")
	units := length.Mul(grid, 1).Num() / length.Mul(grid, 1).Den()
	for at := int64(0); at < units; {
		n := rapid.Int64Range(1, min(6, units-at)).Draw(t, "length")
		note := score.Note{Staff: staff, Voice: voice, Onset: score.Frac(at, grid)}
		at += n
		kind := rapid.IntRange(0, 5).Draw(t, "kind")
		if kind == 0 {
			continue // a gap
		}
		if kind == 3 {
			note.Kind, note.Length, note.Hidden = score.Rest, score.Frac(n, grid), rapid.Bool().Draw(t, "hidden")
			m.Notes = append(m.Notes, note)
			continue
		}
		note.Pitch = randomPitch(t)
		if last := len(m.Notes) - 1; kind == 4 && last >= 0 && tieable(&m.Notes[last], &note) {
			note.Pitch, note.TieStop, m.Notes[last].TieStart = m.Notes[last].Pitch, true, true
		}
		note.Lyrics = randomLyrics(t)
		if kind == 1 {
			grace := note
			grace.Grace, grace.Lyrics = true, nil
			m.Notes = append(m.Notes, grace)
		}
		note.Length = score.Frac(n, grid)
		m.Notes = append(m.Notes, note)
		if kind == 2 {
			note.Pitch, note.Lyrics = note.Pitch.Octaves(1), nil
			m.Notes = append(m.Notes, note)
		}
	}
}

func randomPitch(t *rapid.T) score.Pitch {
	return score.Pitch{
		Step:   score.Step(rapid.IntRange(0, 6).Draw(t, "step")),
		Alter:  score.Alter(50 * rapid.IntRange(-4, 4).Draw(t, "alter")),
		Octave: int8(rapid.IntRange(1, 7).Draw(t, "octave")),
	}
}

// tieable tells whether b goes on where a ends.
func tieable(a, b *score.Note) bool {
	return a.Kind == score.Pitched && !a.Grace && a.Voice == b.Voice && a.End() == b.Onset
}

func randomLyrics(t *rapid.T) []score.Lyric {
	var all []score.Lyric
	for i := range rapid.IntRange(0, 2).Draw(t, "verses") {
		all = append(all, score.Lyric{
			Verse:    fmt.Sprint(i + 1),
			Text:     rapid.SampledFrom([]string{"la", "a < b & c", " zwölf", "\"quoted\""}).Draw(t, "text"),
			Syllabic: rapid.SampledFrom([]string{"", "single", "begin", "middle", "end"}).Draw(t, "syllabic"),
			Extend:   rapid.Bool().Draw(t, "extend"),
			TimeOnly: rapid.SampledFrom([]string{"", "", "1,2"}).Draw(t, "times"),
		})
	}
	return all
}

func randomBarlines(t *rapid.T, m *score.Measure) {
	style := rapid.SampledFrom([]string{"", "light-light", "dashed"})
	if rapid.Bool().Draw(t, "left") {
		b := score.Barline{Location: "left", Style: style.Draw(t, "style"), Segno: rapid.Bool().Draw(t, "segno")}
		if rapid.Bool().Draw(t, "forward") {
			b.Repeat, b.Times = "forward", 2
		}
		if rapid.Bool().Draw(t, "ending") {
			b.Ending = score.Ending{Numbers: "1, 2", Type: "start"}
		}
		m.Barlines = append(m.Barlines, b)
	}
	if rapid.Bool().Draw(t, "middle") {
		m.Barlines = append(m.Barlines, score.Barline{Onset: m.Length.Mul(1, 3), Location: "middle", Style: "dotted"})
	}
	if rapid.Bool().Draw(t, "right") {
		b := score.Barline{Location: "right", Style: style.Draw(t, "style"), Coda: rapid.Bool().Draw(t, "coda"), CodaLabel: "c1"}
		if rapid.Bool().Draw(t, "backward") {
			b.Repeat, b.Times, b.AfterJump = "backward", rapid.IntRange(2, 4).Draw(t, "times"), rapid.Bool().Draw(t, "after jump")
		}
		if rapid.Bool().Draw(t, "ending") {
			b.Ending = score.Ending{Numbers: "1, 2", Type: "stop"}
		}
		m.Barlines = append(m.Barlines, b)
	}
}

func randomChord(t *rapid.T, onset score.Time, staves int) score.ChordSymbol {
	tone := func(name string) score.Pitch {
		return score.Pitch{
			Step:  score.Step(rapid.IntRange(0, 6).Draw(t, name)),
			Alter: score.Alter(100 * rapid.IntRange(-1, 1).Draw(t, "alter")),
		}
	}
	c := score.ChordSymbol{
		Onset: onset, Staff: rapid.IntRange(1, staves).Draw(t, "staff"),
		Kind: rapid.SampledFrom([]string{"major", "minor", "half-diminished"}).Draw(t, "kind"),
		Text: rapid.SampledFrom([]string{"", "m7", "<7>"}).Draw(t, "text"),
	}
	if c.HasRoot = rapid.Bool().Draw(t, "root"); c.HasRoot {
		c.Root = tone("root")
	} else {
		c.Numeral = score.Numeral{Degree: rapid.IntRange(1, 7).Draw(t, "numeral"), Alter: tone("numeral").Alter}
	}
	if c.HasBass = rapid.Bool().Draw(t, "bass"); c.HasBass {
		c.Bass, c.Inversion = tone("bass"), rapid.IntRange(0, 3).Draw(t, "inversion")
	}
	for i := range rapid.IntRange(0, 2).Draw(t, "degrees") {
		c.Degrees = append(c.Degrees, score.Degree{Value: 5 + 4*i, Alter: tone("degree").Alter, Type: "add"})
	}
	return c
}
