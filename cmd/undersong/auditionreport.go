package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"undersong/instrument"
	"undersong/instrument/sound"
	"undersong/score"
)

// auditionReport is what was written, for people and, as JSON, for programs.
// Its fields are stable.
type auditionReport struct {
	Version int         `json:"version"` // of this form: 1
	File    string      `json:"file"`
	Tower   string      `json:"tower"`
	Out     string      `json:"out"`
	Solo    string      `json:"solo,omitempty"`
	Seconds float64     `json:"seconds"` // with the last bells' ring in a recording
	Strokes int         `json:"strokes"` // of bells
	Missing []bellCount `json:"missing"` // strokes left out, by the bell that is not there
	MIDI    *midiReport `json:"midi,omitempty"`
	WAV     *wavReport  `json:"wav,omitempty"`
	Place   *placeHeard `json:"place,omitempty"` // of a recording
}

type bellCount struct {
	Key     int    `json:"key"` // MIDI number as written
	Name    string `json:"name"`
	Strokes int    `json:"strokes"`
}

type midiReport struct {
	Program int `json:"program"` // counted from 1
	Ticks   int `json:"ticks"`   // a quarter note
	Rounded int `json:"rounded"` // moments between two ticks
}

type wavReport struct {
	Rate     int     `json:"rate_hz"`
	Bits     int     `json:"bits"`
	Channels int     `json:"channels"`
	Peak     float64 `json:"peak_db"` // of full scale
	// Full is the level at the place of a tone that would fill the file.
	Full float64 `json:"full_scale_db"`
}

// placeHeard is the levels at a place by the model, in dB above 20 µPa.
type placeHeard struct {
	Metres   float64     `json:"distance_m"`
	Celsius  float64     `json:"celsius"`
	Humidity float64     `json:"humidity_percent"`
	Loudest  float64     `json:"loudest_db"`
	Faintest float64     `json:"faintest_db"`
	Audible  float64     `json:"audible_db"`
	Unheard  []bellCount `json:"unheard"` // strokes that are fainter
}

func newAuditionReport(in, out string, t *instrument.Tower, solo string, strokes int, missing []bellCount) *auditionReport {
	return &auditionReport{Version: 1, File: in, Out: out, Tower: t.Name, Solo: solo, Strokes: strokes, Missing: missing}
}

// heard adds what is heard of a recording.
func (r *auditionReport) heard(h sound.Heard, p sound.Place) {
	r.Seconds = thousandth(h.Seconds)
	r.Place = &placeHeard{
		Metres: p.Metres, Celsius: p.Air.Celsius, Humidity: p.Air.Humidity,
		Loudest: tenth(h.Loudest), Faintest: tenth(h.Faintest), Audible: sound.Audible, Unheard: counts(h.Unheard),
	}
}

func thousandth(x float64) float64 { return math.Round(1000*x) / 1000 }

func tenth(x float64) float64 { return math.Round(10*x) / 10 }

// missingKeys counts strikes without a bell by key.
func missingKeys(p *score.Performed, missing []int, t *instrument.Tower) []bellCount {
	byKey := map[int]int{}
	for _, i := range missing {
		byKey[sound.Key(&p.Strikes[i], t)]++
	}
	return counts(byKey)
}

func counts(byKey map[int]int) []bellCount {
	all := []bellCount{}
	for key, n := range byKey {
		all = append(all, bellCount{key, score.KeyName(key), n})
	}
	slices.SortFunc(all, func(a, b bellCount) int { return a.Key - b.Key })
	return all
}

// writeText is the report for people.
func (r *auditionReport) writeText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "written: %s, %s, %s\n", r.Out, minutes(r.Seconds), score.Count(r.Strokes, "stroke"))
	if r.MIDI != nil && r.MIDI.Rounded > 0 {
		fmt.Fprintf(&b, "%d moments moved to the nearest of %d ticks a quarter note\n", r.MIDI.Rounded, r.MIDI.Ticks)
	}
	if p := r.Place; p != nil {
		fmt.Fprintf(&b, "at %g m the loudest stroke has about %.0f dB, the faintest %.0f; the file is scaled to be heard well\n",
			p.Metres, p.Loudest, p.Faintest)
		if len(p.Unheard) > 0 {
			fmt.Fprintf(&b, "too faint for a street, under %g dB: %s\n", p.Audible, listed(p.Unheard))
		}
	}
	if len(r.Missing) > 0 {
		fmt.Fprintf(&b, "left out, no such bell on this tower: %s\n", listed(r.Missing))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// listed is "C#3 twice, D#3 12 times", or of many bells "80 strokes on 17
// bells from C4 to C6".
func listed(all []bellCount) string {
	if len(all) > 6 {
		strokes := 0
		for _, c := range all {
			strokes += c.Strokes
		}
		return fmt.Sprintf("%d strokes on %d bells from %s to %s", strokes, len(all), all[0].Name, all[len(all)-1].Name)
	}
	var words []string
	for _, c := range all {
		times := fmt.Sprintf("%d times", c.Strokes)
		switch c.Strokes {
		case 1:
			times = "once"
		case 2:
			times = "twice"
		}
		words = append(words, c.Name+" "+times)
	}
	return strings.Join(words, ", ")
}

func minutes(seconds float64) string {
	whole := int(math.Round(seconds))
	return fmt.Sprintf("%d min %02d s", whole/60, whole%60)
}

// progress shows on a terminal how far a long piece is.
type progress struct {
	w           io.Writer // nil where nobody looks
	begun, told time.Time
}

// newProgress shows nothing unless w is a terminal.
func newProgress(w io.Writer) *progress {
	p := &progress{begun: time.Now()}
	if isTerminal(w) {
		p.w = w
	}
	return p
}

// show tells the part done, 0 to 1, twice a second after the first two.
func (p *progress) show(done float64) {
	now := time.Now()
	if p.w == nil || now.Sub(p.begun) < 2*time.Second || now.Sub(p.told) < time.Second/2 {
		return
	}
	p.told = now
	fmt.Fprintf(p.w, "\rrecording: %3.0f %%", 100*done)
}

// end wipes the line.
func (p *progress) end() {
	if !p.told.IsZero() {
		fmt.Fprint(p.w, "\r                \r")
	}
}
