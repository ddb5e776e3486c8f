package midifile

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"math/bits"
	"slices"

	"gitlab.com/gomidi/midi/v2"
	"gitlab.com/gomidi/midi/v2/smf"

	"undersong/score"
)

// TubularBells is the program that comes nearest to bells, counted from 1 as
// in the sound set of General MIDI level 1.
const TubularBells = 15

// MaxTracks is the most tracks of staves; a file counts all its tracks in
// sixteen bits.
const MaxTracks = 1000

// Note is how a stroke sounds: its MIDI number and its velocity, 1 to 127.
// Velocity 0 leaves the stroke out.
type Note struct{ Key, Velocity uint8 }

// Track is the track of a staff.
type Track struct {
	Part  int // index in the score
	Staff int // counted from 1
	Name  string
	// Offset is how many semitones the staff sounds above what is written,
	// for its key signatures.
	Offset int
}

// Options say what a file is like besides its notes.
type Options struct {
	Title   string
	Program int // counted from 1; 0 takes TubularBells
	Tracks  []Track
}

// Written says how exact a file is.
type Written struct {
	Ticks   int // of a quarter note
	Rounded int // strikes, tempi and barlines that lie between two ticks
}

// Write writes what is played, notes[i] for the i-th of p.Strikes. Strikes, tempi
// and barlines are where they are exactly if one resolution of at most 32767 ticks
// can be that; else they go to the nearest of 20160 ticks, as ends of notes and
// signs inside measures always may.
//
// Bells have no dampers: a note lasts as written or until its bell is struck
// again, under a sustain pedal (controller 64) that is held from the beginning
// until eight quarter notes after the end. The tracks are on
// the channels in turn, the sixteenth again on the first, and none on the tenth,
// which is for drums.
//
// Errors are a number of the program or of a note beyond MIDI's, a stroke
// without a track, and a piece too long for the format's times.
func Write(w io.Writer, p *score.Performed, notes []Note, o Options) (Written, error) {
	if o.Program == 0 {
		o.Program = TubularBells
	}
	g := newGrid(p)
	if err := check(p, notes, o, g); err != nil {
		return Written{}, err
	}
	f := smf.NewSMF1()
	f.TimeFormat = smf.MetricTicks(g.ticks)
	end := g.tick(p.Starts[len(p.Starts)-1].Add(tail))
	tracks := []track{conductor(p, o.Title, g)}
	for i, t := range o.Tracks {
		tracks = append(tracks, staff(p, notes, t, o.Program, channel(i), g, end))
	}
	for _, t := range tracks {
		end = max(end, t.end())
	}
	for _, t := range tracks {
		if err := f.Add(t.finished(end)); err != nil {
			return Written{}, err
		}
	}
	_, err := f.WriteTo(w)
	return Written{Ticks: int(g.ticks), Rounded: g.rounded(p)}, err
}

// tail is how long the sustain pedal is held after the end.
var tail = score.Quarters(8)

// maxTicks is the largest time between two events: four bytes of seven bits. A
// piece that is no longer as a whole has none larger.
const maxTicks = 1<<28 - 1

func check(p *score.Performed, notes []Note, o Options, g grid) error {
	switch {
	case o.Program < 1 || o.Program > 128:
		return fmt.Errorf("program %d: programs of General MIDI are 1 to 128", o.Program)
	case len(notes) != len(p.Strikes):
		return fmt.Errorf("%d notes for %d strikes", len(notes), len(p.Strikes))
	case len(o.Tracks) > MaxTracks:
		return fmt.Errorf("%d staves, at most %d are written: leave some out", len(o.Tracks), MaxTracks)
	}
	if end := p.Starts[len(p.Starts)-1].Add(tail); end.Quarters()*float64(g.ticks) > maxTicks {
		return fmt.Errorf("the piece is %.0f quarter notes long, at %d ticks each too long for a MIDI file: play a part of it",
			end.Quarters(), g.ticks)
	}
	for i, n := range notes {
		s := &p.Strikes[i]
		hasTrack := slices.ContainsFunc(o.Tracks, func(t Track) bool { return t.Part == s.Part && t.Staff == s.Note.Staff })
		if n.Velocity > 0 && (n.Key > 127 || n.Velocity > 127 || !hasTrack) {
			return fmt.Errorf("strike %d, key %d, velocity %d, part %d, staff %d: "+
				"key and velocity are at most 127, and every staff has a track", i, n.Key, n.Velocity, s.Part, s.Note.Staff)
		}
	}
	return nil
}

// channel is that of the i-th track, without the drums' channel 9 (counted
// from 0).
func channel(i int) uint8 {
	i %= 15
	if i >= 9 {
		i++
	}
	return uint8(i)
}

// event is a message at a tick.
type event struct {
	tick int64
	msg  []byte
}

type track []event

func (t *track) add(tick int64, msg []byte) { *t = append(*t, event{tick, msg}) }

func (t track) end() int64 {
	var end int64
	for _, e := range t {
		end = max(end, e.tick)
	}
	return end
}

// finished is the track as the library has it, ending at tick end. At one tick the
// order in which events were added stays, a note's end before its next stroke.
func (t track) finished(end int64) smf.Track {
	slices.SortStableFunc(t, func(a, b event) int { return cmp.Compare(a.tick, b.tick) })
	var out smf.Track
	var at int64
	for _, e := range t {
		out.Add(uint32(e.tick-at), e.msg)
		at = e.tick
	}
	out.Close(uint32(end - at))
	return out
}

// conductor is the track of what holds for all staves.
func conductor(p *score.Performed, title string, g grid) track {
	var t track
	t.add(0, smf.MetaTrackSequenceName(title))
	for _, tempo := range p.Tempi {
		m := tempo.Micros
		t.add(g.tick(tempo.Onset), smf.MetaUndefined(0x51, []byte{byte(m >> 16), byte(m >> 8), byte(m)}))
	}
	var last []byte
	for i, m := range p.Score.Parts[0].Measures {
		for _, c := range m.Times {
			if msg := timeSignature(c.Time); c.Staff <= 1 && msg != nil && !slices.Equal(msg, last) {
				t.add(g.tick(p.Starts[i].Add(c.Onset)), msg)
				last = msg
			}
		}
	}
	for _, mark := range rehearsals(p) {
		t.add(g.tick(mark.at), smf.MetaMarker(mark.text))
	}
	return t
}

// timeSignature is nil for one that the format cannot say.
func timeSignature(s score.TimeSignature) []byte {
	length, ok := s.Length()
	if !ok {
		return nil
	}
	unit := 1
	for _, g := range s.Groups {
		unit = max(unit, g.Unit)
	}
	count := length.Mul(int64(unit), 4)
	if count.Den() != 1 || count.Num() > math.MaxUint8 || unit > 128 || bits.OnesCount(uint(unit)) != 1 {
		return nil
	}
	beat := s.Beats()[0].Mul(24, 1) // MIDI clocks
	clocks := max(1, min(math.MaxUint8, beat.Num()/beat.Den()))
	return smf.MetaTimeSig(uint8(count.Num()), uint8(unit), uint8(clocks), 8)
}

type marker struct {
	at   score.Time
	text string
}

// rehearsals are the rehearsal marks as played, those of several parts once.
func rehearsals(p *score.Performed) []marker {
	var all []marker
	seen := map[marker]bool{}
	for _, part := range p.Score.Parts {
		for i, m := range part.Measures {
			for _, d := range m.Directions {
				for _, s := range d.Signs {
					mark := marker{p.Starts[i].Add(d.Onset), s.Text}
					if s.Name == "rehearsal" && s.Text != "" && !seen[mark] {
						seen[mark] = true
						all = append(all, mark)
					}
				}
			}
		}
	}
	return all
}

// staff is the track of a staff.
func staff(p *score.Performed, notes []Note, s Track, program int, channel uint8, g grid, end int64) track {
	var t track
	t.add(0, smf.MetaTrackSequenceName(s.Name))
	t.add(0, midi.ProgramChange(channel, uint8(program-1)))
	t.add(0, midi.ControlChange(channel, midi.HoldPedalSwitch, 127))
	t.add(end, midi.ControlChange(channel, midi.HoldPedalSwitch, 0))
	for i, m := range p.Score.Parts[s.Part].Measures {
		for _, k := range m.Keys {
			if !k.Key.Free && (k.Staff == 0 || k.Staff == s.Staff) {
				t.add(g.tick(p.Starts[i].Add(k.Onset)), keySignature(k.Key, s.Offset))
			}
		}
	}
	offs := map[uint8]int{} // the end of the last stroke of a key
	for i := range p.Strikes {
		strike, n := &p.Strikes[i], notes[i]
		if strike.Part != s.Part || strike.Note.Staff != s.Staff || n.Velocity == 0 {
			continue
		}
		on, off := g.tick(strike.Onset), g.tick(strike.End())
		if last, ok := offs[n.Key]; ok && t[last].tick > on {
			t[last].tick = on
		}
		t.add(on, midi.NoteOn(channel, n.Key, n.Velocity))
		offs[n.Key] = len(t)
		t.add(max(off, on+1), midi.NoteOff(channel, n.Key))
	}
	return t
}

// keySignature is k so many semitones higher, with at most seven signs.
func keySignature(k score.KeySignature, semitones int) []byte {
	fifths := k.Fifths
	if semitones%12 != 0 {
		fifths += 7 * semitones
	}
	if semitones%12 != 0 || fifths > 7 || fifths < -7 {
		fifths = ((fifths+5)%12+12)%12 - 5
	}
	count := fifths
	if count < 0 {
		count = -count
	}
	return smf.MetaKey(0, k.Mode != "minor", uint8(count), fifths < 0)
}
