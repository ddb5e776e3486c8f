package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gitlab.com/gomidi/midi/v2/smf"

	"undersong/score"
	"undersong/score/musicxml"
)

// inFolderShort is inFolder with a piece of a few seconds besides, short.musicxml.
func inFolderShort(t *testing.T) {
	t.Helper()
	short, err := os.ReadFile(filepath.Join(roundtrip, "piano-two-hands.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	inFolder(t)
	write(t, "short.musicxml", string(short))
}

func TestAuditionWrites(t *testing.T) {
	for _, c := range []struct{ args, file, told string }{
		{"audition song.musicxml -o out.mid", "out.mid", "written: out.mid, 2 min"},
		{"audition short.musicxml -o out.wav --at 120", "out.wav", "at 120 m the loudest stroke has about"},
		{"audition short.musicxml --solo melody -o m.wav", "m.wav", "at 5 m the loudest"},
		{"audition song.musicxml --program 9 --solo accompaniment -o out.mid", "out.mid", "strokes\n"},
		{"audition song.musicxml --tower 23 -o out.mid", "out.mid", "left out, no such bell on this tower: "},
	} {
		t.Run(c.args, func(t *testing.T) {
			inFolderShort(t)
			code, out, errors := undersong(t, "", strings.Fields(c.args)...)
			if got := names(t); code != 0 || got != c.file+" short.musicxml song.musicxml" || out != "" || !strings.Contains(errors, c.told) {
				t.Errorf("exit %d, files %s, want %s too: %s%s", code, got, c.file, out, errors)
			}
		})
	}
}

// reportOf runs an audition and reads what it tells.
func reportOf(t *testing.T, args string) auditionReport {
	t.Helper()
	code, out, errors := undersong(t, "", strings.Fields("audition --json --force "+args)...)
	if code != 0 || errors != "" {
		t.Fatalf("%s: exit %d, %s", args, code, errors)
	}
	var r auditionReport
	if err := json.Unmarshal([]byte(out), &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// TestAuditionReport: melody and accompaniment are all strokes, but for those
// that strike one bell together; what is far away is fainter.
func TestAuditionReport(t *testing.T) {
	inFolderShort(t)
	all := reportOf(t, "song.musicxml -o out.mid")
	melody := reportOf(t, "song.musicxml -o out.mid --solo melody")
	rest := reportOf(t, "song.musicxml -o out.mid --solo accompaniment")
	if all.Strokes == 0 || melody.Strokes == 0 || rest.Strokes == 0 || melody.Strokes+rest.Strokes < all.Strokes {
		t.Errorf("%d strokes, %d of the melody, %d of the accompaniment", all.Strokes, melody.Strokes, rest.Strokes)
	}
	if all.MIDI == nil || all.MIDI.Program != 15 || all.MIDI.Ticks < 480 || all.WAV != nil || all.Place != nil {
		t.Errorf("%+v, %+v", all, all.MIDI)
	}
	near := reportOf(t, "short.musicxml -o out.wav")
	far := reportOf(t, "short.musicxml -o out.wav --at 1000")
	if near.Place.Metres != 5 || near.WAV.Peak != -1 || near.Seconds < 2 || len(near.Place.Unheard) > 0 {
		t.Errorf("%+v", near)
	}
	// 46 dB for the distance alone.
	if lost := near.Place.Loudest - far.Place.Loudest; lost < 46 || lost > 60 || len(far.Place.Unheard) == 0 {
		t.Errorf("a kilometre away it is %.1f dB fainter; not heard: %v", lost, far.Place.Unheard)
	}
}

// TestAuditionSolo: alone, the melody is what voice has marked as such, on its keys an
// octave higher in sound; the accompaniment is all else.
func TestAuditionSolo(t *testing.T) {
	inFolder(t)
	if code, _, errors := undersong(t, "", "voice", "song.musicxml", "-o", "bells.musicxml"); code != 0 {
		t.Fatal(errors)
	}
	text, err := os.ReadFile("bells.musicxml")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := musicxml.Read(bytes.NewReader(text), "bells", musicxml.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	played, err := doc.Score().Performed()
	if err != nil {
		t.Fatal(err)
	}
	want := map[bool]map[string]bool{true: {}, false: {}} // by whether it is melody: what sounds when
	for i := range played.Strikes {
		s := &played.Strikes[i]
		want[s.Note.Melody][fmt.Sprint(s.Onset, " ", s.Pitch.MIDI())] = true
	}
	for solo, melody := range map[string]bool{"melody": true, "accompaniment": false} {
		r := reportOf(t, "bells.musicxml -o out.mid --solo "+solo)
		file, err := os.ReadFile("out.mid")
		if err != nil {
			t.Fatal(err)
		}
		s, err := smf.ReadFrom(bytes.NewReader(file))
		if err != nil {
			t.Fatal(err)
		}
		heard := 0
		for _, track := range s.Tracks {
			at := int64(0)
			for _, e := range track {
				at += int64(e.Delta)
				var channel, key, velocity uint8
				if !e.Message.GetNoteOn(&channel, &key, &velocity) {
					continue
				}
				heard++
				if onset := score.Frac(at, int64(r.MIDI.Ticks)); !want[melody][fmt.Sprint(onset, " ", key)] {
					t.Errorf("%s: key %d at %s is not of it", solo, key, onset)
				}
			}
		}
		if heard < r.Strokes*9/10 || heard == 0 {
			t.Errorf("%s: %d of %d strokes", solo, heard, r.Strokes)
		}
	}
}

// TestAuditionFiles: the files begin as their formats do, and a WAV file says
// its own size.
func TestAuditionFiles(t *testing.T) {
	inFolderShort(t)
	reportOf(t, "short.musicxml -o out.MID")
	reportOf(t, "short.musicxml -o out.wav")
	midi, err := os.ReadFile("out.MID")
	if err != nil || !bytes.HasPrefix(midi, []byte("MThd\x00\x00\x00\x06\x00\x01")) {
		t.Errorf("%v, % x", err, midi[:10])
	}
	wav, err := os.ReadFile("out.wav")
	if err != nil || string(wav[:4]) != "RIFF" || int(binary.LittleEndian.Uint32(wav[4:])) != len(wav)-8 {
		t.Errorf("%v, % x, %d bytes", err, wav[:8], len(wav))
	}
}

// TestAuditionOfVoiced: what voice writes is played on its own keys, and none
// is missing.
func TestAuditionOfVoiced(t *testing.T) {
	inFolder(t)
	if code, _, errors := undersong(t, "", "voice", "song.musicxml", "-o", "bells.musicxml"); code != 0 {
		t.Fatal(errors)
	}
	if r := reportOf(t, "bells.musicxml -o out.mid"); len(r.Missing) > 0 {
		t.Errorf("missing: %v", r.Missing)
	}
	midi, err := os.ReadFile("out.mid")
	if err != nil || !bytes.Contains(midi, []byte("Carillon, manual")) || !bytes.Contains(midi, []byte("Carillon, pedals")) {
		t.Errorf("%v: the tracks are not called manual and pedals", err)
	}
}

func TestAuditionErrors(t *testing.T) {
	for _, c := range []struct {
		args string
		code int
		want string
	}{
		{"audition", 2, "audition needs one score"},
		{"audition song.musicxml", 2, "-o OUT.mid or -o OUT.wav"},
		{"audition song.musicxml -o out.mp3", 2, "out.mp3: the name of an audition ends in .mid or .wav"},
		{"audition song.musicxml -o out.mid --at 50", 2, "--at is for a recording"},
		{"audition song.musicxml -o out.wav --program 3", 2, "--program is for a MIDI file"},
		{"audition song.musicxml -o out.mid --program 129", 2, "programs of General MIDI are 1 to 128"},
		{"audition song.musicxml -o out.mid --solo bass", 2, "there are melody and accompaniment"},
		{"audition song.musicxml -o out.mid --melody staff=1", 2, "--melody says where the melody is for --solo"},
		{"audition song.musicxml -o out.mid --solo melody --melody staff=9", 1, "--melody"},
		{"audition song.musicxml -o out.wav --at 0.5", 2, "1 to 10000 metres away"},
		{"audition song.musicxml -o out.wav --at street", 2, "a place is player, or 1 to 10000 metres away"},
		{"audition - --tower - -o out.wav", 2, "cannot both come from standard input"},
		{"audition song.musicxml -o old.mid", 1, "old.mid is there already"},
		{"audition none.musicxml -o out.mid", 1, "none.musicxml: "},
		{"audition song.musicxml -o none/out.mid", 1, "there is no folder none"},
		{"audition silent.musicxml -o out.mid", 1, "there is nothing to hear"},
	} {
		t.Run(c.args, func(t *testing.T) {
			inFolder(t)
			write(t, "old.mid", "")
			write(t, "silent.musicxml", `<score-partwise><part-list><score-part id="P1"/></part-list><part id="P1"><measure number="1"/></part></score-partwise>`)
			code, out, errors := undersong(t, "", strings.Fields(c.args)...)
			if code != c.code || out != "" || !strings.Contains(errors, c.want) {
				t.Errorf("exit %d, %q, want exit %d and %q", code, errors, c.code, c.want)
			}
		})
	}
}
