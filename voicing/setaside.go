package voicing

import "undersong/score"

// SetAside leaves out what is not struck on the bells: cue notes, hidden
// notes, and the accompaniment's grace notes. Grace notes of the melody join
// the melody. Notes between two semitones take the nearer bell.
type SetAside struct{}

// Name is "set aside".
func (SetAside) Name() string { return "set aside" }

// Apply implements [Pass].
func (SetAside) Apply(a *Arrangement) {
	melody := map[seat]bool{}
	for _, n := range a.with(Melody) {
		melody[sourceSeat(n)] = true
	}
	for _, n := range a.Notes {
		first := n.First()
		switch {
		case first.Cue:
			a.leaveOut(n, "a cue for another player")
		case first.Hidden:
			a.leaveOut(n, "hidden in the source")
		case n.Grace() && melody[sourceSeat(n)]:
			n.Role = Melody
		case n.Grace():
			a.leaveOut(n, "a grace note of the accompaniment")
		}
		if n.Pitch.Microtonal() && n.LeftOut == "" {
			nearest := n.Pitch
			nearest.Alter = (nearest.Alter+650)/100*100 - 600
			a.finding(n, "%s lies between two bells; %s is written", n.Pitch, nearest)
			n.Pitch = nearest
		}
	}
}

// seat is a moment of one voice of the source: a grace note shares it with
// the note that it ornaments.
type seat struct {
	part, voice int
	onset       score.Time
}

func sourceSeat(n *Note) seat {
	return seat{n.Part, n.First().Voice, n.Onset}
}
