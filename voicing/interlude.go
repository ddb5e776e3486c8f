package voicing

import (
	"slices"

	"undersong/score"
	"undersong/voicing/melody"
)

// InterludeReport is a line that leads while the melody rests.
type InterludeReport struct {
	FirstMeasure string `json:"firstMeasure"`
	LastMeasure  string `json:"lastMeasure"`
	Notes        int    `json:"notes"`
	Sure         int    `json:"sure"` // on the mean of its notes, in per cent
}

// mostGivenBack is the largest part of an interlude that may come too soon, as 1 in so
// many notes, for the rest to lead still. The project's own figure.
const mostGivenBack = 4

// placeInterludes puts each interlude into its seat as the melody is put, by phrases,
// beside the sung melody, which stays where it is.
func (a *arrangement) placeInterludes(sung *placing) {
	var led []melody.Line
	for _, line := range a.line.Interludes {
		if placed := a.inTime(sung, a.interlude(line)); placed != nil {
			led = append(led, line)
			a.seatTune(placed)
			a.tellPlaces(placed.stretches)
		}
	}
	a.line.Interludes = led
}

// inTime places an interlude. A melody stays though it comes too soon; the strokes of an
// interlude that do are accompaniment, which can be thinned, and so is all of it where
// they are many: then nothing is placed.
func (a *arrangement) inTime(sung *placing, notes []*note) *placing {
	spare := len(notes) / mostGivenBack
	for len(notes) > 0 {
		placed := a.placeBeside(sung, notes)
		late := placed.late()
		if len(late) == 0 {
			return placed
		}
		if spare -= len(late); spare < 0 {
			late = notes
		} else {
			late = a.yielding(notes, late)
		}
		a.giveBack(late)
		notes = slices.DeleteFunc(slices.Clone(notes), func(n *note) bool { return !n.interlude })
	}
	return nil
}

// yielding are the notes that give way so that late ones, of the same line, can be struck in
// time: of one on the beat the note before it, if that is off the beat.
func (a *arrangement) yielding(line, late []*note) []*note {
	offBeat := func(n *note) bool { return a.beatStart(n.Onset) != n.Onset }
	var all []*note
	for _, n := range late {
		if i := slices.Index(line, n); i > 0 && !offBeat(n) && offBeat(line[i-1]) {
			n = line[i-1]
		}
		if !slices.Contains(all, n) {
			all = append(all, n)
		}
	}
	return all
}

// giveBack makes accompaniment of notes of an interlude.
func (a *arrangement) giveBack(notes []*note) {
	a.finding(notes[0], "the limbs have no time in one line for %s of an interlude, from here on: left to the accompaniment, which may lose some", score.Count(len(notes), "note"))
	for _, n := range notes {
		n.role, n.interlude = accompaniment, false
		if n.grace() {
			a.leaveOut(n, accompanyingGrace)
		}
	}
}

// interlude are the notes of an interlude that are neither left out nor left as
// written, with the grace notes that lead to them.
func (a *arrangement) interlude(line melody.Line) []*note {
	first, last := a.tones[line.Tones[0]].Onset, a.tones[line.Tones[len(line.Tones)-1]].Onset
	return slices.DeleteFunc(a.with(tune), func(n *note) bool {
		return !n.interlude || n.Onset.Less(first) || last.Less(n.Onset)
	})
}

// placeBeside places an interlude; how far that is from the melody before it and
// after it counts.
func (a *arrangement) placeBeside(sung *placing, notes []*note) *placing {
	stretches, _ := a.openStretches(a.phrases(notes))
	after := slices.IndexFunc(sung.stretches, func(s []*note) bool { return notes[0].Onset.Less(s[0].Onset) })
	if after < 0 {
		after = len(sung.stretches)
	}
	around := stretches
	if after > 0 {
		around = append([]open{sung.at(after - 1)}, around...)
	}
	if after < len(sung.stretches) {
		around = append(around, sung.at(after))
	}
	placed := a.choosePlaces(around)
	from := min(after, 1)
	to := from + len(stretches)
	return &placing{stretches: placed.stretches[from:to], chosen: placed.chosen[from:to]}
}

// at is a stretch that can only be where it is placed.
func (p *placing) at(i int) open { return open{p.stretches[i], p.chosen[i : i+1]} }

// late are the strokes that come too soon.
func (p *placing) late() []*note {
	var late []*note
	for _, w := range p.chosen {
		late = append(late, w.late...)
	}
	return late
}

// interludeReports are those of the interludes that lead in the result.
func (a *arrangement) interludeReports() []InterludeReport {
	var all []InterludeReport
	for _, line := range a.line.Interludes {
		measure := func(i int) string { return a.measureNumber(a.tones[i].Pieces[0].Measure) }
		r := InterludeReport{FirstMeasure: measure(line.Tones[0]), LastMeasure: measure(line.Tones[len(line.Tones)-1]), Sure: line.SureOfAll()}
		for _, i := range line.Tones {
			if n := &a.byTone[i]; n.interlude && n.leftOut == "" {
				r.Notes++
			}
		}
		all = append(all, r)
	}
	return all
}
