package midifile_test

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
	"undersong/score/midifile"
	"undersong/score/scoretest"
)

// written writes a score an octave higher.
func written(t testing.TB, s *score.Score) (*score.Performed, []byte, midifile.Written) {
	t.Helper()
	p, err := s.Performed()
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	info, err := midifile.Write(&b, p, notesOf(p), midifile.Options{Title: s.Title, Tracks: tracksOf(s)})
	if err != nil {
		t.Fatal(err)
	}
	return p, b.Bytes(), info
}

func notesOf(p *score.Performed) []midifile.Note {
	var notes []midifile.Note
	for i := range p.Strikes {
		notes = append(notes, midifile.Note{Key: uint8(p.Strikes[i].Pitch.MIDI() + 12), Velocity: velocity(&p.Strikes[i])})
	}
	return notes
}

// velocity is another one for every pitch.
func velocity(s *score.Strike) uint8 { return uint8(max(1, min(20+s.Pitch.MIDI(), 127))) }

func tracksOf(s *score.Score) []midifile.Track {
	var tracks []midifile.Track
	for i, p := range s.Parts {
		for staff := 1; staff <= p.Staves; staff++ {
			tracks = append(tracks, midifile.Track{Part: i, Staff: staff, Name: fmt.Sprint(p.Name, " ", staff), Offset: 12})
		}
	}
	return tracks
}

// events reads a file by the text of the specification (Standard MIDI Files
// 1.1, International MIDI Association): the header's three numbers and, track
// by track, "tick: bytes".
func events(t testing.TB, file []byte) (format, ticks int, tracks [][]string) {
	t.Helper()
	if string(file[:8]) != "MThd\x00\x00\x00\x06" {
		t.Fatalf("header % x", file[:8])
	}
	format, count := int(binary.BigEndian.Uint16(file[8:])), int(binary.BigEndian.Uint16(file[10:]))
	ticks = int(binary.BigEndian.Uint16(file[12:]))
	file = file[14:]
	for range count {
		size := binary.BigEndian.Uint32(file[4:])
		if string(file[:4]) != "MTrk" {
			t.Fatalf("track % x", file[:4])
		}
		tracks = append(tracks, trackEvents(t, file[8:8+size]))
		file = file[8+size:]
	}
	if len(file) > 0 {
		t.Errorf("%d bytes after the last track", len(file))
	}
	return format, ticks, tracks
}

func trackEvents(t testing.TB, data []byte) []string {
	t.Helper()
	var all []string
	number := func() int {
		n := 0
		for {
			b := data[0]
			data = data[1:]
			n = n<<7 | int(b&0x7f)
			if b < 0x80 {
				return n
			}
		}
	}
	tick, status := 0, byte(0)
	for len(data) > 0 {
		tick += number()
		if data[0] >= 0x80 {
			status, data = data[0], data[1:]
		}
		switch {
		case status == 0xff:
			kind := data[0]
			data = data[1:]
			size := number()
			all = append(all, fmt.Sprintf("%d: ff%02x %x", tick, kind, data[:size]))
			data = data[size:]
		default:
			size := 2
			if status>>4 == 0xc {
				size = 1
			}
			all = append(all, fmt.Sprintf("%d: %02x %x", tick, status, data[:size]))
			data = data[size:]
		}
	}
	return all
}

// TestWriteBytes holds a small piece to the bytes that the specification asks
// for. The program is 15 of the sound set of General MIDI level 1, tubular
// bells, which is 14 in the file, where programs are counted from 0; controller
// 64 is the hold pedal.
func TestWriteBytes(t *testing.T) {
	note := func(onset, length int64, midi int) score.Note {
		return score.Note{Staff: 1, Voice: 1, Onset: score.Quarters(onset), Length: score.Quarters(length), Pitch: score.Spell(midi)}
	}
	m := &score.Measure{
		Number: "1", Length: score.Quarters(3),
		Notes: []score.Note{note(0, 2, 60), note(1, 2, 60), note(2, 1, 67)},
		Times: []score.TimeChange{{Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{3}, Unit: 4}}}}},
		Keys:  []score.KeyChange{{Key: score.KeySignature{Fifths: -1, Mode: "minor"}}},
		Directions: []score.Direction{{Sound: score.Sound{Tempo: 120}},
			{Onset: score.Quarter, Signs: []score.Sign{{Name: "rehearsal", Text: "A"}}}},
	}
	s := &score.Score{Title: "T", Parts: []*score.Part{{Name: "P", Staves: 1, Measures: []*score.Measure{m}}}}
	_, file, info := written(t, s)
	format, ticks, tracks := events(t, file)
	if format != 1 || ticks != 480 || info.Ticks != 480 || info.Rounded != 0 {
		t.Errorf("format %d, %d ticks, %+v", format, ticks, info)
	}
	want := [][]string{{
		"0: ff03 54", "0: ff51 07a120", "0: ff58 03021808", "480: ff06 41", "5280: ff2f ",
	}, {
		"0: ff03 502031", "0: c0 0e", "0: b0 407f", "0: ff59 ff01",
		"0: 90 4850", "480: 80 4800", "480: 90 4850", "960: 90 4f57", "1440: 80 4800", "1440: 80 4f00",
		"5280: b0 4000", "5280: ff2f ",
	}}
	if diff := cmp.Diff(want, tracks); diff != "" {
		t.Error(diff)
	}
}

// TestTwoStavesAndMore: what holds for all staves is in the first track once, what is
// a staff's in its own; the tenth channel stays free.
func TestTwoStavesAndMore(t *testing.T) {
	signature := score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{3}, Unit: 4}}}
	mark := []score.Direction{{Signs: []score.Sign{{Name: "rehearsal", Text: "A"}}}}
	s := &score.Score{}
	for i := range 17 {
		m := &score.Measure{Length: score.Quarters(3), Directions: mark}
		m.Times = []score.TimeChange{{Staff: 1, Time: signature}, {Staff: 2, Time: score.TimeSignature{Groups: []score.BeatGroup{{Beats: []int{4}, Unit: 4}}}}}
		m.Keys = []score.KeyChange{{Staff: 1, Key: score.KeySignature{Fifths: 1}}, {Staff: 2, Key: score.KeySignature{Fifths: 2}}}
		for staff := 1; staff <= 2; staff++ {
			m.Notes = append(m.Notes, score.Note{Staff: staff, Voice: staff, Length: score.Quarters(3), Pitch: score.Spell(48 + i)})
		}
		s.Parts = append(s.Parts, &score.Part{Name: "P", Staves: 2, Measures: []*score.Measure{m}})
	}
	_, file, _ := written(t, s)
	_, _, tracks := events(t, file)
	first := strings.Join(tracks[0], ",")
	if strings.Count(first, "ff58") != 1 || !strings.Contains(first, "ff58 03021808") || strings.Count(first, "ff06") != 1 {
		t.Errorf("%s", first)
	}
	for i, track := range tracks[1:] {
		channel := i % 15
		if channel >= 9 { // the tenth, counted from 0, is for drums: General MIDI level 1
			channel++
		}
		text := strings.Join(track, ",")
		if !strings.Contains(text, fmt.Sprintf("0: c%x 0e", channel)) {
			t.Errorf("track %d is not on channel %d: %s", i+1, channel, text)
		}
		if want := fmt.Sprintf("ff59 %02x00", 1+i%2); strings.Count(text, "ff59") != 1 || !strings.Contains(text, want) {
			t.Errorf("track %d: %s, want %s", i+1, text, want)
		}
	}
}

// TestRoundedTicks: a moment between two ticks goes to the nearest; two strokes of
// one key that come to one tick have two ends.
func TestRoundedTicks(t *testing.T) {
	m := &score.Measure{Length: score.Quarter}
	for _, onset := range []score.Time{{}, score.Frac(1, 131072), score.Frac(5, 8*20160)} {
		m.Notes = append(m.Notes, score.Note{Staff: 1, Voice: 1, Onset: onset, Length: score.Frac(1, 2), Pitch: score.Spell(60)})
	}
	for i := range m.Notes {
		m.Notes[i].Voice = i + 1
	}
	_, file, info := written(t, &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}})
	_, _, tracks := events(t, file)
	var got []string
	for _, e := range tracks[1] {
		if strings.Contains(e, ": 90 ") || strings.Contains(e, ": 80 ") {
			got = append(got, e)
		}
	}
	want := []string{"0: 90 4850", "0: 80 4800", "0: 90 4850", "1: 80 4800", "1: 90 4850", "10081: 80 4800"}
	if diff := cmp.Diff(want, got); diff != "" || info.Rounded != 2 {
		t.Errorf("%d rounded, %s", info.Rounded, diff)
	}
}

// TestWriteStrikes: every stroke of the scores of the round trip and of the
// orders of performance is in the file at its time, and nothing else is. With
// UNDERSONG_KEEP=DIR the files are left there for an independent reader, with
// what should be in them.
func TestWriteStrikes(t *testing.T) {
	files, err := filepath.Glob("../../testdata/*/*.musicxml")
	if err != nil || len(files) < 100 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			p, data, info := written(t, scoretest.Score(t, file))
			if info.Rounded > 0 {
				t.Logf("%d moments rounded", info.Rounded)
			}
			keep(t, file, p, data)
			_, ticks, tracks := events(t, data)
			want := map[string]int{}
			for _, s := range p.Strikes {
				want[fmt.Sprintf("%.0f %d %d", s.Onset.Quarters()*float64(ticks), s.Pitch.MIDI()+12, velocity(&s))]++
			}
			got := map[string]int{}
			for _, e := range strings.Split(strings.Join(flat(tracks), "\n"), "\n") {
				var tick, status, key, velocity int
				if n, _ := fmt.Sscanf(e, "%d: %02x %02x%02x", &tick, &status, &key, &velocity); n == 4 && status>>4 == 9 {
					got[fmt.Sprintf("%d %d %d", tick, key, velocity)]++
				}
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func flat(tracks [][]string) []string {
	var all []string
	for _, t := range tracks {
		all = append(all, t...)
	}
	return all
}

// keep leaves a file and its strikes, times in seconds, for .ci/readers.
func keep(t *testing.T, file string, p *score.Performed, data []byte) {
	folder := os.Getenv("UNDERSONG_KEEP")
	if folder == "" {
		return
	}
	type strike struct {
		Seconds  float64 `json:"seconds"`
		Key      int     `json:"key"`
		Velocity int     `json:"velocity"`
	}
	type tempo struct {
		Seconds   float64 `json:"seconds"`
		PerMinute float64 `json:"perMinute"`
	}
	expected := struct {
		Strikes []strike `json:"strikes"`
		Tempi   []tempo  `json:"tempi"`
	}{[]strike{}, []tempo{}}
	for _, s := range p.Strikes {
		expected.Strikes = append(expected.Strikes, strike{p.Seconds(s.Onset), s.Pitch.MIDI() + 12, int(velocity(&s))})
	}
	for _, x := range p.Tempi {
		expected.Tempi = append(expected.Tempi, tempo{x.Seconds, 60e6 / float64(x.Micros)})
	}
	text, err := json.Marshal(expected)
	if err != nil {
		t.Fatal(err)
	}
	base := filepath.Join(folder, filepath.Base(filepath.Dir(file))+"-"+strings.TrimSuffix(filepath.Base(file), ".musicxml"))
	for name, content := range map[string][]byte{base + ".mid": data, base + ".strikes.json": text} {
		if err := os.WriteFile(name, content, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// grid writes notes with these denominators and gives the resolution.
func gridOf(t *testing.T, denominators ...int64) midifile.Written {
	t.Helper()
	m := &score.Measure{Length: score.Whole}
	for i, d := range denominators {
		m.Notes = append(m.Notes, score.Note{
			Staff: 1, Voice: i + 1, Onset: score.Frac(1, d), Length: score.Quarter, Pitch: score.Spell(60 + i),
		})
	}
	_, _, info := written(t, &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}})
	return info
}

func TestTicks(t *testing.T) {
	for _, tt := range []struct {
		denominators []int64
		want         midifile.Written
	}{
		{nil, midifile.Written{Ticks: 480}},
		{[]int64{2, 3, 5}, midifile.Written{Ticks: 480}},
		{[]int64{7}, midifile.Written{Ticks: 483}},
		{[]int64{7, 11, 13}, midifile.Written{Ticks: 1001}},
		{[]int64{32749}, midifile.Written{Ticks: 32749}},
		{[]int64{32749, 2}, midifile.Written{Ticks: 20160, Rounded: 1}},
	} {
		if got := gridOf(t, tt.denominators...); got != tt.want {
			t.Errorf("%v: %+v, want %+v", tt.denominators, got, tt.want)
		}
	}
}

// TestKeySignatures: a key signature goes with the sound of the tower.
func TestKeySignatures(t *testing.T) {
	for _, tt := range []struct {
		fifths, offset int
		want           string
	}{
		{0, 12, "ff59 0000"}, {7, 12, "ff59 0700"}, {-7, 0, "ff59 f900"}, {0, 10, "ff59 fe00"},
		{0, 8, "ff59 fc00"}, {4, 14, "ff59 0600"}, {6, 14, "ff59 fc00"}, {9, 12, "ff59 fd00"},
	} {
		m := &score.Measure{Length: score.Whole, Keys: []score.KeyChange{{Key: score.KeySignature{Fifths: tt.fifths}}}}
		s := &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}}
		p, err := s.Performed()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		tracks := []midifile.Track{{Staff: 1, Offset: tt.offset}}
		if _, err := midifile.Write(&b, p, nil, midifile.Options{Tracks: tracks}); err != nil {
			t.Fatal(err)
		}
		_, _, all := events(t, b.Bytes())
		if got := strings.Join(all[1], ","); !strings.Contains(got, "0: "+tt.want) {
			t.Errorf("%d fifths, %d semitones: %s, want %s", tt.fifths, tt.offset, got, tt.want)
		}
	}
}

// TestTimeSignatures: compound meters click in dotted beats, of 36 MIDI clocks
// an eighth being 12.
func TestTimeSignatures(t *testing.T) {
	signature := func(unit int, beats ...int) score.TimeSignature {
		return score.TimeSignature{Groups: []score.BeatGroup{{Beats: beats, Unit: unit}}}
	}
	for _, tt := range []struct {
		s    score.TimeSignature
		want string
	}{
		{signature(8, 6), "ff58 06032408"}, {signature(8, 3, 2), "ff58 05032408"}, {signature(2, 2), "ff58 02013008"},
		{score.TimeSignature{}, ""},
	} {
		m := &score.Measure{Length: score.Whole, Times: []score.TimeChange{{Time: tt.s}}}
		_, data, _ := written(t, &score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}})
		_, _, all := events(t, data)
		got := strings.Join(all[0], ",")
		if tt.want == "" && strings.Contains(got, "ff58") || !strings.Contains(got, tt.want) {
			t.Errorf("%v: %s, want %s", tt.s, got, tt.want)
		}
	}
}

func TestWriteErrors(t *testing.T) {
	m := &score.Measure{Length: score.Whole, Notes: []score.Note{{Staff: 1, Voice: 1, Length: score.Whole, Pitch: score.Spell(60)}}}
	p, err := (&score.Score{Parts: []*score.Part{{Staves: 1, Measures: []*score.Measure{m}}}}).Performed()
	if err != nil {
		t.Fatal(err)
	}
	long := *p
	long.Starts = []score.Time{{}, score.Quarters(math.MaxInt32)}
	one := []midifile.Track{{Staff: 1}}
	for _, tt := range []struct {
		name  string
		p     *score.Performed
		notes []midifile.Note
		o     midifile.Options
		want  string
	}{
		{"program", p, notesOf(p), midifile.Options{Program: 129, Tracks: one}, "programs of General MIDI are 1 to 128"},
		{"notes", p, nil, midifile.Options{Tracks: one}, "0 notes for 1 strikes"},
		{"velocity", p, []midifile.Note{{Key: 60, Velocity: 128}}, midifile.Options{Tracks: one}, "at most 127"},
		{"track", p, notesOf(p), midifile.Options{}, "every staff has a track"},
		{"staves", p, notesOf(p), midifile.Options{Tracks: make([]midifile.Track, 1001)}, "at most 1000"},
		{"length", &long, notesOf(p), midifile.Options{Tracks: one}, "too long for a MIDI file"},
	} {
		var b bytes.Buffer
		_, err := midifile.Write(&b, tt.p, tt.notes, tt.o)
		if err == nil || !strings.Contains(err.Error(), tt.want) || b.Len() > 0 {
			t.Errorf("%s: %v, %d bytes, want %q", tt.name, err, b.Len(), tt.want)
		}
	}
}
