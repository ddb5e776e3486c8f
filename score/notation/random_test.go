package notation

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"undersong/score"
)

var (
	randomTimes  = []string{"4/4", "3/4", "2/2", "2/4", "6/8", "9/8", "5/8", "7/8", "12/16", "3+2/8", "6/4", "5/4", "1/4", "4/6", ""}
	randomGrids  = []int64{1, 2, 4, 8, 16, 3, 6, 12, 5, 7, 10, 15, 24, 480, 1024, 97}
	randomRatios = []score.Ratio{{}, {}, {}, {Actual: 3, Normal: 2}, {Actual: 6, Normal: 4}, {Actual: 2, Normal: 3}, {Actual: 5, Normal: 4}, {Actual: 2, Normal: 1}}
)

// randomMeasure is a measure of two staves with anything in it.
func randomMeasure(r *rand.Rand) *score.Measure {
	m := &score.Measure{Times: timeChange(randomTimes[r.IntN(len(randomTimes))]), Implicit: r.IntN(8) == 0}
	if length := score.Frac(1+r.Int64N(10), 2); len(m.Times) > 0 && r.IntN(4) > 0 {
		m.Length, _ = m.Times[0].Time.Length()
	} else {
		m.Length = length
	}
	for range r.IntN(4) {
		randomVoice(r, m, 1+r.IntN(3), 1+r.IntN(2))
	}
	if r.IntN(3) == 0 {
		m.Keys = []score.KeyChange{key(r.IntN(15)-7, r.Int64N(3), r.IntN(3))}
	}
	if r.IntN(8) == 0 {
		ottavaAt(0, 1)(m)
	}
	return m
}

func randomVoice(r *rand.Rand, m *score.Measure, voice, staff int) {
	grid, ratio := randomGrids[r.IntN(len(randomGrids))], randomRatios[r.IntN(len(randomRatios))]
	most := 1 + r.Int64N(max(grid/2, 4))
	for at := (score.Time{}); at.Less(m.Length); {
		n := score.Note{Staff: staff, Voice: voice, Onset: at, Ratio: ratio, Outer: randomRatios[r.IntN(len(randomRatios))]}
		n.Length = score.Min(score.Frac(1+r.Int64N(most), grid), m.Length.Sub(at))
		if at = n.End(); r.IntN(30) == 0 {
			n.Length = n.Length.Mul(3, 2) // overlaps
		}
		for what := r.IntN(10); what < 9; what++ { // chords of up to nine
			x := n
			x.Pitch = score.Spell(60 + r.IntN(24))
			x.Pitch.Alter = score.Alter(100*r.IntN(4) - 200)
			x.TieStop, x.Courtesy, x.Grace = r.IntN(9) == 0, r.IntN(9) == 0, r.IntN(20) == 0
			if x.Grace {
				x.Length = score.Time{}
			}
			if r.IntN(30) == 0 {
				x.Kind = score.Rest
			}
			m.Notes = append(m.Notes, x)
			if what < 4 {
				break
			}
		}
	}
}

// TestRandom holds random measures to what every measure must be.
func TestRandom(t *testing.T) {
	for seed := range uint64(2000) {
		r := rand.New(rand.NewPCG(seed, 1))
		m := randomMeasure(r)
		if seed%10 == 0 {
			m = &score.Measure{}
			nested(r, m, 1)
		}
		later := seed%3 > 0
		voices := engrave(m, 2, later)
		w := &witness{T: t, measure: m}
		w.voices(voices)
		w.notes(voices)
		w.accidentals(voices)
		if !reflect.DeepEqual(voices, engrave(m, 2, later)) {
			t.Error("twice is not the same")
		}
		if t.Failed() {
			t.Fatalf("seed %d, %v of %s:\n%+v\n%q", seed, m.Times, m.Length, m.Notes, voicesOf(voices))
		}
	}
}

// witness looks for what must not be.
type witness struct {
	*testing.T
	measure *score.Measure
}

func (w *witness) voices(voices []Voice) {
	staves, numbers := map[int]bool{}, map[int]bool{}
	for i := range voices {
		v := &voices[i]
		if numbers[v.Number] {
			w.Errorf("two voices %d", v.Number)
		}
		numbers[v.Number] = true
		for j := range v.Events {
			staves[v.Events[j].Staff] = true
			for _, n := range v.Events[j].Notes {
				staves[n.Note.Staff] = true
			}
		}
		w.filled(v)
		w.tuplets(v)
		for _, grace := range []bool{false, true} {
			w.beams(v, grace)
		}
	}
	if measureLength(w.measure).Sign() > 0 && len(staves) < 2 {
		w.Errorf("only staves %v show something", staves)
	}
}

// filled: the events of a voice fill the measure, each as long as written.
func (w *witness) filled(v *Voice) {
	at := score.Time{}
	for i := range v.Events {
		e := &v.Events[i]
		if e.Onset != at || e.Length.Sign() < 0 || !e.Grace && e.Length.Sign() == 0 {
			w.Errorf("voice %d: event %d of %s at %s, want %s", v.Number, i, e.Length, e.Onset, at)
		}
		at = at.Add(e.Length)
		if e.Type == "" || e.Grace {
			continue
		}
		length := e.Length
		if e.Ratio.Actual > 0 {
			length = scale(length, e.Ratio)
		}
		if x, ok := valueOf(length); !ok || x.name() != e.Type || x.dots != e.Dots {
			w.Errorf("voice %d: %s with %d dots lasts %s in %v", v.Number, e.Type, e.Dots, e.Length, e.Ratio)
		}
	}
	if want := measureLength(w.measure); at != want {
		w.Errorf("voice %d fills %s of %s", v.Number, at, want)
	}
}

// tuplets: brackets open and close, those inside in those outside, and hold
// what has their ratio.
func (w *witness) tuplets(v *Voice) {
	var open, inner score.Ratio
	for i := range v.Events {
		e := &v.Events[i]
		if e.Grace {
			continue
		}
		outer, own := e.Ratio, score.Ratio{}
		if e.Outer != (score.Ratio{}) {
			outer, own = e.Outer, e.Ratio
		}
		if e.TupletStart && open != (score.Ratio{}) || e.TupletStop && open != outer ||
			e.InnerStart && inner != (score.Ratio{}) || e.InnerStop && inner != own {
			w.Errorf("voice %d: tuplet ends are wrong at %s", v.Number, e.Onset)
		}
		if e.TupletStart {
			open = outer
		}
		if e.InnerStart {
			inner = own
		}
		if open != (score.Ratio{}) && outer != open || inner != (score.Ratio{}) && own != inner {
			w.Errorf("voice %d: %v in %v in a tuplet of %v in %v", v.Number, own, outer, inner, open)
		}
		if e.InnerStop {
			inner = score.Ratio{}
		}
		if e.TupletStop {
			open = score.Ratio{}
		}
	}
	if open != (score.Ratio{}) || inner != (score.Ratio{}) {
		w.Errorf("voice %d: tuplet stays open", v.Number)
	}
}

// nested fills a measure with triplets whose middle third is a triplet, some
// notes of which are missing.
func nested(r *rand.Rand, m *score.Measure, voice int) {
	m.Times, m.Length = timeChange("4/4"), score.Whole
	note := func(at, length score.Time, ratio, outer score.Ratio) score.Time {
		n := score.Note{Staff: 1, Voice: voice, Onset: at, Length: length, Pitch: score.Spell(60), Ratio: ratio, Outer: outer}
		if r.IntN(20) > 0 {
			m.Notes = append(m.Notes, n)
		}
		return n.End()
	}
	three, nine := score.Ratio{Actual: 3, Normal: 2}, score.Ratio{Actual: 9, Normal: 4}
	for at := (score.Time{}); at.Less(m.Length); {
		for range 3 {
			if r.IntN(2) == 0 {
				at = note(at, score.Frac(2, 3), three, score.Ratio{})
				continue
			}
			for range 3 {
				at = note(at, score.Frac(2, 9), nine, three)
			}
		}
	}
}

// beams: each level begins, goes on and ends; rests are under none.
func (w *witness) beams(v *Voice, grace bool) {
	open := 0 // levels
	for i := range v.Events {
		e := &v.Events[i]
		if e.Grace != grace {
			continue
		}
		if len(e.Beams) == 0 && open > 0 || len(e.Beams) > 0 && (len(e.Notes) == 0 || len(e.Beams) != flagsOf(e.Type)) {
			w.Errorf("voice %d: beams %v on %s at %s, %d open", v.Number, e.Beams, e.Type, e.Onset, open)
		}
		still := 0
		for level, sign := range e.Beams {
			if inside := sign == "continue" || sign == "end"; inside != (level < open) {
				w.Errorf("voice %d: beam %q at %s, %d open", v.Number, sign, e.Onset, open)
			}
			if sign == "begin" || sign == "continue" {
				still = level + 1
			}
		}
		open = still
	}
	if open > 0 {
		w.Errorf("voice %d: beams stay open", v.Number)
	}
}

func flagsOf(name string) int { return value{power: longest - slices.Index(types[:], name)}.flags() }

// notes: each note of the score is written once, all of it, tied together.
func (w *witness) notes(voices []Voice) {
	written := map[*score.Note][]Note{}
	length := map[*score.Note]score.Time{}
	for _, v := range voices {
		for _, e := range v.Events {
			for i, n := range e.Notes {
				if at := n.Note.Onset.Add(length[n.Note]); at != e.Onset {
					w.Errorf("%v is written at %s, want %s", *n.Note, e.Onset, at)
				}
				if i > 0 && e.Notes[i-1].Note.Pitch == n.Note.Pitch {
					w.Errorf("%v twice in a chord", n.Note.Pitch)
				}
				written[n.Note] = append(written[n.Note], n)
				length[n.Note] = length[n.Note].Add(e.Length)
			}
		}
	}
	for i := range w.measure.Notes {
		n := &w.measure.Notes[i]
		if n.Kind == score.Rest {
			continue
		}
		pieces := written[n]
		if len(pieces) == 0 || length[n] != n.Length {
			w.Errorf("%s of %s is written in %d pieces of %s", n.Pitch, n.Length, len(pieces), length[n])
		}
		for j, p := range pieces {
			first, last := j == 0, j == len(pieces)-1
			if p.First != first || p.Last != last || p.TieStop != (!first || n.TieStop) || p.TieStart != (!last || n.TieStart) {
				w.Errorf("piece %d of %d: %+v", j, len(pieces), p)
			}
		}
	}
}

// accidentals: a reader who knows the key and what was shown reads every note
// right. Measures with an ottava are left to the table.
func (w *witness) accidentals(voices []Voice) {
	if len(w.measure.Directions) > 0 {
		return
	}
	type seat struct{ staff, diatonic int }
	shown := map[seat]score.Alter{}
	keys := make([]score.KeySignature, 2)
	var last score.Time
	for _, moment := range moments(voices) {
		for _, k := range w.measure.Keys {
			if !moment.onset.Less(k.Onset) && (last.Less(k.Onset) || last == moment.onset && len(shown) == 0) {
				setStaff(keys, k.Staff, k.Key)
				for s := range shown {
					if k.Staff == 0 || k.Staff == s.staff {
						delete(shown, s)
					}
				}
			}
		}
		last = moment.onset
		now := map[seat]score.Alter{}
		for _, n := range moment.notes {
			if n.Accidental != "" {
				now[seat{n.Note.Staff, n.Note.Pitch.Diatonic()}] = n.Note.Pitch.Alter
			}
		}
		for s, a := range now {
			shown[s] = a
		}
		for _, n := range moment.notes {
			p, s := n.Note.Pitch, seat{n.Note.Staff, n.Note.Pitch.Diatonic()}
			reads, known := shown[s]
			if !known {
				reads = keys[s.staff-1].Alter(p.Step)
			}
			if !n.TieStop && n.Accidental == "" && reads != p.Alter {
				w.Errorf("%s at %s reads as altered by %d", p, moment.onset, reads)
			}
			if n.Accidental != "" && n.Accidental != nameOf(p.Alter) {
				w.Errorf("%s has a %s", p, n.Accidental)
			}
		}
	}
}

// moment is what is read at once.
type moment struct {
	onset score.Time
	grace bool
	notes []Note
}

func moments(voices []Voice) []moment {
	var all []moment
	for _, v := range voices {
		for _, e := range v.Events {
			same := slices.IndexFunc(all, func(m moment) bool { return !e.Grace && !m.grace && m.onset == e.Onset })
			if same < 0 {
				all, same = append(all, moment{e.Onset, e.Grace, nil}), len(all)
			}
			all[same].notes = append(all[same].notes, e.Notes...)
		}
	}
	slices.SortStableFunc(all, func(a, b moment) int {
		if order := a.onset.Cmp(b.onset); order != 0 || a.grace == b.grace {
			return order
		}
		if a.grace {
			return -1
		}
		return 1
	})
	return all
}

func BenchmarkMeasure(b *testing.B) {
	m := measure(b, "1/1| C5:1/2 D5:1/2 E5:1/4 F#5:1/4 G5:1/2 A5:1/3 B5:1/3 C6:1/3 B5:1 5/2| C3:1 1/2| -:1 G3:1/2 E3:1/2 5/2| -:2 C3:2")
	m.Times = timeChange("4/4")
	ctx := NewContext(&score.Part{Staves: 2, Measures: []*score.Measure{m}})
	Measure(m, ctx)
	m.Times = nil
	b.ReportAllocs()
	for b.Loop() {
		Measure(m, ctx)
	}
}
