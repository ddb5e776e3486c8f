package voicing

import "undersong/score"

// SetAside leaves out what is not struck on the bells: unpitched notes, cue
// notes, hidden notes, the accompaniment's grace notes, and signs at rests.
// Grace notes of the melody join the melody. Notes between two semitones take
// the nearer bell.
type SetAside struct{}

// Name is "set aside".
func (SetAside) Name() string { return "set aside" }

// Apply implements [Pass].
func (s SetAside) Apply(a *Arrangement) {
	s.silent(a)
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

// silent leaves out what has no tone: unpitched notes, and the signs at rests.
func (SetAside) silent(a *Arrangement) {
	for part, p := range a.Source.Parts {
		for i, m := range p.Measures {
			for _, n := range m.Notes {
				at := a.starts[i].Add(n.Onset)
				if n.Kind == score.Unpitched {
					a.leaveOutSign(n.Source, part, at, "unpitched note", "no bell has its sound")
				}
				for _, mark := range n.Marks {
					if n.Kind == score.Rest {
						a.leaveOutSign(mark.Source, part, at, mark.Name, "rests are written anew")
					}
				}
			}
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
