package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"undersong/instrument"
	"undersong/instrument/sound"
	"undersong/score"
	"undersong/score/midifile"
	"undersong/voicing/melody"
)

// auditionCommand makes a score heard.
func auditionCommand() *cli.Command {
	return &cli.Command{
		Name:      "audition",
		Usage:     "hear a score as a tower would sound it, as a MIDI file or a recording",
		ArgsUsage: "SCORE",
		Description: "Plays SCORE on the bells of a tower, repeats included, into a Standard MIDI File (.mid) or a\n" +
			"recording made from the model of the bells (.wav). A carillon score's notes are keys; any other\n" +
			"score sounds as written there, and notes without a bell are left out and told.\n" +
			"Start listening at a low volume. A recording does not show how loud a tower is: inside it can\n" +
			"be 120 dB, and bells near the player need ear protection.",
		Flags: append([]cli.Flag{
			towerFlag("to hear"),
			&cli.StringFlag{Name: "o", Usage: "write to `OUT`, whose name ends in .mid or .wav"},
			&cli.StringFlag{Name: "solo", Usage: "play only the melody or the accompaniment: `WHICH` of the two; the melody is found as for voice"},
			melodyFlag(),
			&cli.StringFlag{Name: "at", Value: "player", Usage: "where a recording is heard: `PLACE` is player, or metres from the bells, outdoors"},
			&cli.IntFlag{Name: "program", Value: midifile.TubularBells, Usage: "the instrument of a MIDI file: `N` of General MIDI's list, from 1 (15: tubular bells)"},
			&cli.BoolFlag{Name: "json", Usage: "print what was written as JSON on standard output, not as text on standard error"},
			forceFlag(),
		}, limitFlags()...),
		Action: audition,
	}
}

func audition(c *cli.Context) error {
	in, err := oneScore(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	place, err := checkAudition(c, in, out)
	if err != nil {
		return err
	}
	j, err := load(c, in)
	if err != nil {
		return err
	}
	tower, doc := j.tower, j.doc
	wanted := soloOf(c, j)
	played, err := doc.Score().Performed()
	if err != nil {
		return fmt.Errorf("%s: %w", in, err)
	}
	strokes, missing := sound.Strokes(played, tower, wanted)
	if len(strokes) == 0 {
		if all, _ := sound.Strokes(played, tower, nil); len(all) > 0 {
			return fmt.Errorf("%s: there is nothing to hear: the score has no %s with a bell on this tower", in, c.String("solo"))
		}
		return fmt.Errorf("%s: there is nothing to hear: no note has a bell on this tower", in)
	}
	report := newAuditionReport(in, out, tower, c.String("solo"), len(strokes), missingKeys(played, missing, tower))
	var write func(io.Writer) error
	if isWAV(out) {
		r := &sound.Recording{Tower: tower, Strokes: strokes, Place: place}
		if err := r.Check(); err != nil {
			return fmt.Errorf("%s: %w", in, err)
		}
		write = recordingWriter(c, r, report)
	} else {
		report.Seconds = thousandth(played.Seconds(played.Starts[len(played.Starts)-1]))
		write = midiWriter(c, doc.Score(), played, tower, strokes, report)
	}
	if err := writeAll(c, outFile{out, write}); err != nil {
		return err
	}
	if c.Bool("json") {
		return printJSON(c.App.Writer, report)
	}
	return report.writeText(c.App.ErrWriter)
}

func isWAV(name string) bool { return strings.EqualFold(filepath.Ext(name), ".wav") }

// checkAudition refuses, before any work, what cannot be done.
func checkAudition(c *cli.Context, in, out string) (place sound.Place, err error) {
	switch ending := strings.ToLower(filepath.Ext(out)); {
	case out == "":
		return place, usage("audition needs a name to write to: -o OUT.mid or -o OUT.wav")
	case ending != ".mid" && ending != ".wav":
		return place, usage("%s: the name of an audition ends in .mid or .wav", out)
	case ending == ".mid" && c.IsSet("at"):
		return place, usage("--at is for a recording, .wav; a MIDI file has no place")
	case ending == ".wav" && c.IsSet("program"):
		return place, usage("--program is for a MIDI file, .mid; a recording has the tower's bells")
	case !slices.Contains([]string{"", "melody", "accompaniment"}, c.String("solo")):
		return place, usage("no part %q to play alone: there are melody and accompaniment", c.String("solo"))
	case c.String("solo") == "" && len(c.StringSlice("melody")) > 0:
		return place, usage("--melody says where the melody is for --solo, which is not given")
	case c.Int("program") < 1 || c.Int("program") > 128:
		return place, usage("--program %d: programs of General MIDI are 1 to 128", c.Int("program"))
	}
	place = sound.Place{Metres: sound.PlayersPlace, Air: sound.CoolAir}
	if at := c.String("at"); at != "player" {
		place.Metres, err = strconv.ParseFloat(at, 64)
		if err != nil || !(place.Metres >= 1 && place.Metres <= 10_000) {
			return place, usage("--at %s: a place is player, or 1 to 10000 metres away", at)
		}
	}
	return place, newFile(c, in, out)
}

// soloOf tells which strikes --solo wants, nil for all. The melody is what
// package melody finds, with what leads while it rests and their grace notes; all else
// is accompaniment.
func soloOf(c *cli.Context, j *job) func(*score.Strike) bool {
	if c.String("solo") == "" {
		return nil
	}
	tones := j.score().Tones()
	line := melody.Find(j.score(), tones, melody.Options{Overrules: j.rules})
	tune := map[*score.Note]bool{}
	for _, i := range melody.Leading(tones, line) {
		for _, piece := range tones[i].Pieces {
			tune[piece.Note] = true
		}
	}
	wantsTune := c.String("solo") == "melody"
	return func(strike *score.Strike) bool { return tune[strike.Note] == wantsTune }
}

// midiWriter writes the strokes as a MIDI file.
func midiWriter(c *cli.Context, s *score.Score, p *score.Performed, t *instrument.Tower, strokes []sound.Stroke, report *auditionReport) func(io.Writer) error {
	notes := make([]midifile.Note, len(p.Strikes))
	for i, v := range sound.Velocities(t, strokes) {
		notes[strokes[i].Strike] = midifile.Note{Key: uint8(strokes[i].Key + t.SoundingOffset()), Velocity: v}
	}
	o := midifile.Options{Title: s.Title, Program: c.Int("program")}
	for _, staff := range sound.Staves(s, t) {
		o.Tracks = append(o.Tracks, midifile.Track(staff))
	}
	return func(w io.Writer) error {
		written, err := midifile.Write(w, p, notes, o)
		report.MIDI = &midiReport{Program: o.Program, Ticks: written.Ticks, Rounded: written.Rounded}
		return err
	}
}

// recordingWriter writes the strokes as a recording.
func recordingWriter(c *cli.Context, r *sound.Recording, report *auditionReport) func(io.Writer) error {
	return func(w io.Writer) error {
		p := newProgress(c.App.ErrWriter)
		defer p.end()
		made, err := r.WriteWAV(c.Context, w, p.show)
		report.heard(made.Heard, r.Place)
		report.WAV = &wavReport{Rate: sound.Rate, Bits: 16, Channels: 1, Peak: made.Peak, Full: tenth(made.Full)}
		return err
	}
}
