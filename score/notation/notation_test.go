package notation

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// measure builds a measure from words such as "C5:1/2" (pitch and length in
// quarters, one after the other), "r:1" for a rest and "2|" for what follows
// in another voice.
func measure(t testing.TB, text string) *score.Measure {
	t.Helper()
	m := &score.Measure{Number: "1"}
	voice, at := 1, score.Time{}
	for word := range strings.FieldsSeq(text) {
		if number, ok := strings.CutSuffix(word, "|"); ok {
			fmt.Sscan(number, &voice)
			at = score.Time{}
			continue
		}
		name, length, _ := strings.Cut(word, ":")
		n := score.Note{Staff: 1, Voice: voice, Onset: at, Kind: score.Rest}
		if err := n.Length.UnmarshalText([]byte(length)); err != nil {
			t.Fatal(err)
		}
		if name != "r" {
			n.Kind, n.Pitch = score.Pitched, pitch(t, name)
		}
		at = at.Add(n.Length)
		if name != "r" {
			m.Notes = append(m.Notes, n)
		}
		m.Length = score.Max(m.Length, at)
	}
	return m
}

func pitch(t testing.TB, name string) score.Pitch {
	t.Helper()
	step, ok := score.ParseStep(name[:1])
	if !ok {
		t.Fatalf("no pitch %q", name)
	}
	p := score.Pitch{Step: step, Octave: int8(name[len(name)-1] - '0')}
	for _, sign := range name[1 : len(name)-1] {
		p.Alter += map[rune]score.Alter{'#': 100, 'b': -100}[sign]
	}
	return p
}

func meterOf(beats, unit int) []score.TimeChange {
	return []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{beats}, Unit: unit}}}}}
}

// engrave engraves one measure of a one-staff part.
func engrave(m *score.Measure) []Voice {
	part := &score.Part{Staves: 1, Measures: []*score.Measure{m}}
	return Measure(m, NewContext(part))
}

// show writes a voice down: type, dots, ratio, rest, ties, beams.
func show(v *Voice) string {
	var words []string
	for i := range v.Events {
		e := &v.Events[i]
		w := e.Type + strings.Repeat(".", e.Dots)
		if e.MeasureRest {
			w = "measure"
		}
		if e.Ratio.Actual > 0 {
			w = fmt.Sprintf("%s/%d:%d", w, e.Ratio.Actual, e.Ratio.Normal)
		}
		if e.TupletStart {
			w = "[" + w
		}
		if e.TupletStop {
			w += "]"
		}
		if len(e.Notes) == 0 {
			w = "r-" + w
		} else if e.Notes[0].TieStart {
			w += "~"
		}
		for _, b := range e.Beams {
			w += map[string]string{"begin": "(", "continue": "-", "end": ")", "forward hook": ">", "backward hook": "<"}[b]
		}
		words = append(words, w)
	}
	return strings.Join(words, " ")
}

func TestValues(t *testing.T) {
	for _, c := range []struct {
		name        string
		beats, unit int
		notes, want string
	}{
		{"plain", 4, 4, "C4:1 D4:2 E4:1", "quarter half quarter"},
		{"dots", 4, 4, "C4:3/2 D4:1/2 E4:7/4 F4:1/4", "quarter. eighth quarter.. 16th"},
		{"a length without a value of its own is tied", 4, 4, "C4:5/2 D4:3/2", "quarter~ quarter. quarter."},
		{"rests show the beats", 4, 4, "C4:1/2 r:3 D4:1/2", "eighth r-eighth r-quarter r-quarter r-eighth eighth"},
		{"half rests in the halves of 4/4", 4, 4, "r:2 C4:2", "r-half half"},
		{"no half rest in 3/4", 3, 4, "C4:1 r:2", "quarter r-quarter r-quarter"},
		{"compound rests", 6, 8, "C4:1/2 r:5/2", "eighth r-eighth r-eighth r-quarter."},
		{"eighths of 4/4 by half measures", 4, 4, "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1 C4:1/2 C4:1/2", "eighth( eighth- eighth- eighth) quarter eighth( eighth)"},
		{"beams by beats of 3/4", 3, 4, "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", "eighth( eighth) eighth( eighth) eighth( eighth)"},
		{"beams by threes of 6/8", 6, 8, "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", "eighth( eighth- eighth) eighth( eighth- eighth)"},
		{"five is three and two", 5, 8, "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", "eighth( eighth- eighth) eighth( eighth)"},
		{"hooks", 2, 4, "C4:3/4 C4:1/4 C4:1/4 C4:3/4", "eighth.( 16th)< 16th(> eighth.)"},
		{"a beam ends at a rest", 1, 4, "C4:1/4 r:1/4 C4:1/4 C4:1/4", "16th r-16th 16th(( 16th))"},
		{"triplet", 2, 4, "C4:1/3 C4:1/3 C4:1/3 C4:1", "[eighth/3:2( eighth/3:2- eighth/3:2]) quarter"},
		{"triplet over two beats", 2, 4, "C4:2/3 C4:2/3 C4:2/3", "[quarter/3:2 quarter/3:2 quarter/3:2]"},
		{"triplet with a rest", 2, 4, "C4:1/3 r:1/3 C4:1/3 C4:1", "[eighth/3:2 r-eighth/3:2 eighth/3:2] quarter"},
		{"quintuplet in a beat of three", 3, 8, "C4:3/10 C4:3/10 C4:3/10 C4:3/10 C4:3/10", "[eighth/5:3( eighth/5:3- eighth/5:3- eighth/5:3- eighth/5:3])"},
		{"septuplet", 1, 4, "C4:1/7 C4:1/7 C4:1/7 C4:1/7 C4:1/7 C4:1/7 C4:1/7", "[16th/7:4(( 16th/7:4-- 16th/7:4-- 16th/7:4-- 16th/7:4-- 16th/7:4-- 16th/7:4]))"},
		{"empty measure", 4, 4, "r:4", "r-measure"},
		{"breve", 8, 4, "C4:8", "breve"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := measure(t, c.notes)
			m.Times = meterOf(c.beats, c.unit)
			voices := engrave(m)
			if got := show(&voices[0]); got != c.want {
				t.Errorf("%s in %d/%d:\n got %s\nwant %s", c.notes, c.beats, c.unit, got, c.want)
			}
		})
	}
}

// TestHint: where a written tuplet of the score fits, it is kept.
func TestHint(t *testing.T) {
	m := measure(t, "C4:1/6 C4:1/6 C4:1/6 C4:1/6 C4:1/6 C4:1/6")
	m.Times = meterOf(1, 4)
	for i := range m.Notes {
		m.Notes[i].Ratio = score.Ratio{Actual: 6, Normal: 4}
	}
	voices := engrave(m)
	if got, want := show(&voices[0]), "[16th/6:4(( 16th/6:4-- 16th/6:4-- 16th/6:4-- 16th/6:4-- 16th/6:4]))"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestUpbeat(t *testing.T) {
	m := measure(t, "C4:1/2 C4:1/2 C4:1/2")
	m.Times = meterOf(4, 4)
	voices := engrave(m)
	if got, want := show(&voices[0]), "eighth eighth( eighth)"; got != want {
		t.Errorf("an upbeat lies at the end of its measure: got %s, want %s", got, want)
	}
}

// TestOverlap: what overlaps in a voice is parted, and nothing is lost.
func TestOverlap(t *testing.T) {
	m := measure(t, "C5:2 D5:2")
	m.Times = meterOf(4, 4)
	long := m.Notes[0]
	long.Pitch, long.Length = pitch(t, "E4"), score.Quarters(3)
	m.Notes = append(m.Notes, long)
	voices := engrave(m)
	var got []string
	for i := range voices {
		got = append(got, fmt.Sprint(voices[i].Number, " ", show(&voices[i])))
	}
	want := []string{"1 half half", "2 half. r-quarter"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

func TestStems(t *testing.T) {
	for _, c := range []struct{ notes, want string }{
		{"B4:1 A4:1 C5:1 D4:1", "down up down up"},
		{"A4:1/2 E5:1/2 A4:1/2 B4:1/2", "down down up up"},
		{"A4:1 A4:1 2| E4:1 F5:1", "up up down down"},
		{"C4:4", "auto"},
	} {
		t.Run(c.notes, func(t *testing.T) {
			m := measure(t, c.notes)
			m.Times = meterOf(2, 4)
			var got []string
			for _, v := range engrave(m) {
				for i := range v.Events {
					if e := &v.Events[i]; len(e.Notes) > 0 {
						got = append(got, map[score.Stem]string{score.StemAuto: "auto", score.StemUp: "up", score.StemDown: "down"}[e.Stem])
					}
				}
			}
			if strings.Join(got, " ") != c.want {
				t.Errorf("got %v, want %s", got, c.want)
			}
		})
	}
}

func TestAccidentals(t *testing.T) {
	for _, c := range []struct {
		name   string
		fifths int
		notes  string
		want   string
	}{
		{"by the key", 1, "F#4:1 F4:1 F4:1 F#4:1", "- natural - sharp"},
		{"each octave for itself", 0, "F#4:1 F#5:1 F#4:1", "sharp sharp -"},
		{"flats", -1, "B4:1 Bb4:1 Bbb4:1 Eb4:1", "natural flat flat-flat flat"},
		{"double sharp", 0, "F##4:1 F#4:1", "double-sharp sharp"},
		{"two at once", 0, "F4:1 F#4:1 2| F#4:1", "natural sharp sharp"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := measure(t, c.notes)
			m.Keys = []score.KeyChange{{Key: score.KeySignature{Fifths: c.fifths}}}
			var got []string
			for _, v := range engrave(m) {
				for _, e := range v.Events {
					for _, n := range e.Notes {
						got = append(got, strings.ReplaceAll(n.Accidental+".", ".", ""))
						if n.Accidental == "" {
							got[len(got)-1] = "-"
						}
					}
				}
			}
			if strings.Join(got, " ") != c.want {
				t.Errorf("got %v, want %s", got, c.want)
			}
		})
	}
}

// TestTiedAccidental: a tied note needs no accidental and says nothing to the
// next.
func TestTiedAccidental(t *testing.T) {
	m := measure(t, "F#4:1 F#4:1")
	m.Notes[0].TieStop = true
	v := engrave(m)[0]
	if a, b := v.Events[0].Notes[0].Accidental, v.Events[1].Notes[0].Accidental; a != "" || b != "sharp" {
		t.Errorf("got %q and %q, want none and sharp", a, b)
	}
}

// TestComplete holds random measures to what every measure must be: each
// voice fills it without gap or overlap, every value is as long as its note,
// beams open and close.
func TestComplete(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	meters := [][2]int{{4, 4}, {3, 4}, {2, 2}, {6, 8}, {9, 8}, {5, 8}, {7, 8}, {12, 16}}
	grids := []int64{1, 2, 4, 8, 3, 6, 12, 5, 7, 10}
	for range 3000 {
		meter := meters[random.IntN(len(meters))]
		times := meterOf(meter[0], meter[1])
		length, _ := times[0].Time.Length()
		m := &score.Measure{Length: length, Times: times}
		for voice := 1; voice <= 1+random.IntN(2); voice++ {
			grid := grids[random.IntN(len(grids))]
			units := length.Mul(grid, 1).Num() / length.Mul(grid, 1).Den()
			for at := int64(0); at < units; {
				n := 1 + random.Int64N(min(4, units-at))
				if random.IntN(4) > 0 {
					m.Notes = append(m.Notes, score.Note{
						Staff: 1, Voice: voice, Onset: score.Frac(at, grid), Length: score.Frac(n, grid),
						Pitch: score.Spell(60 + random.IntN(24)),
					})
				}
				at += n
			}
		}
		for _, v := range engrave(m) {
			checkVoice(t, m, &v)
		}
		if t.Failed() {
			return
		}
	}
}

func checkVoice(t *testing.T, m *score.Measure, v *Voice) {
	t.Helper()
	at := score.Time{}
	open := map[int]bool{}
	for i := range v.Events {
		e := &v.Events[i]
		if e.Onset != at {
			t.Errorf("%v: an event at %s, want %s: %s", m.Notes, e.Onset, at, show(v))
		}
		at = at.Add(e.Length)
		if name, dots, ok := written(e.Length, e.Ratio); e.Type != "" && (!ok || name != e.Type || dots != e.Dots) {
			t.Errorf("%s%d lasts %s under %v", e.Type, e.Dots, e.Length, e.Ratio)
		}
		for level, sign := range e.Beams {
			switch sign {
			case "begin":
				open[level] = true
			case "continue", "end":
				if !open[level] {
					t.Errorf("%s of nothing: %s", sign, show(v))
				}
				open[level] = sign != "end"
			}
		}
	}
	for _, is := range open {
		if is {
			t.Errorf("a beam stays open: %s", show(v))
		}
	}
	if at != m.Length {
		t.Errorf("a voice of %s in a measure of %s: %s", at, m.Length, show(v))
	}
}
