package voicing

import "undersong/score"

// setAside leaves out what is not struck on the bells: unpitched notes, cue
// notes, hidden notes, the accompaniment's grace notes, and signs at rests.
// Notes between two semitones take the nearer bell.
func (a *arrangement) setAside() {
	a.leaveOutSilent()
	for _, n := range a.notes {
		first := n.First()
		if n.way == nil {
			continue
		}
		switch {
		case first.Cue:
			a.leaveOut(n, "cue for another player")
		case first.Hidden:
			a.leaveOut(n, "hidden in the source")
		case n.grace() && n.role != tune:
			a.leaveOut(n, accompanyingGrace)
		}
		if n.Pitch.Microtonal() && n.leftOut == "" {
			nearest := n.Pitch
			nearest.Alter = (nearest.Alter+650)/100*100 - 600
			a.finding(n, "%s lies between two bells; %s is written", n.Pitch, nearest)
			n.Pitch = nearest
		}
	}
}

// accompanyingGrace is the reason for which a grace note is left out that does not lead
// to the tune.
const accompanyingGrace = "grace note of the accompaniment"

// leaveOutSilent leaves out what has no tone: unpitched notes, and the signs at rests.
func (a *arrangement) leaveOutSilent() {
	for part, p := range a.source.Parts {
		for i, m := range p.Measures {
			for _, n := range m.Notes {
				at := a.starts[i].Add(n.Onset)
				if n.Kind == score.Unpitched {
					a.leaveOutSign(sign{n.Source, part, at, "unpitched note", ""}, "no bell has its sound")
				}
				for _, mark := range n.Marks {
					if n.Kind == score.Rest {
						a.leaveOutSign(sign{mark.Source, part, at, mark.Name, mark.Type}, "rests are written anew")
					}
				}
			}
		}
	}
}
