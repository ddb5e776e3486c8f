package musicxml

import (
	"slices"

	"github.com/beevik/etree"

	"undersong/score"
)

// openTuplet is a tuplet that the latest note of a voice is in.
type openTuplet struct {
	number  int
	ratio   score.Ratio // zero where the file does not say
	closing bool        // that note, with its chord, is the last
}

// mostOpenTuplets are the most around each other that are followed: no music has
// as many, but a file may leave each of its tuplets open.
const mostOpenTuplets = 8

// outer is the ratio of the tuplet around the one that n is in, zero where it
// is in one at most. Of more than two around each other the outermost counts.
func (r *partReader) outer(e *noteElement, n *score.Note) score.Ratio {
	if n.Grace || n.Ratio == (score.Ratio{}) {
		return score.Ratio{}
	}
	open := r.tuplets[n.Voice]
	if e.chord == nil {
		open = slices.DeleteFunc(open, func(t openTuplet) bool { return t.closing })
	}
	for _, all := range e.SelectElements("notations") {
		for _, t := range all.SelectElements("tuplet") {
			open = follow(open, t, n.Ratio)
		}
	}
	r.tuplets[n.Voice] = open
	if len(open) < 2 {
		return score.Ratio{}
	}
	return open[0].ratio
}

// follow takes an end of a tuplet into account. The outermost one, where it
// does not say its ratio, has that of the note that it starts with.
func follow(open []openTuplet, e *etree.Element, note score.Ratio) []openTuplet {
	number := numberAttr(e)
	switch attr(e, "type") {
	case "start":
		if len(open) == mostOpenTuplets {
			return open
		}
		t := openTuplet{number: number, ratio: declaredRatio(e)}
		if len(open) == 0 && t.ratio == (score.Ratio{}) {
			t.ratio = note
		}
		return append(open, t)
	case "stop":
		for i, t := range slices.Backward(open) {
			if t.number == number && !t.closing {
				open[i].closing = true
				break
			}
		}
	}
	return open
}

// declaredRatio is what a tuplet says of itself, in notes of one type.
func declaredRatio(e *etree.Element) score.Ratio {
	actual, normal := child(e, "tuplet-actual"), child(e, "tuplet-normal")
	if actual == nil || normal == nil || text(actual, "tuplet-type") != text(normal, "tuplet-type") {
		return score.Ratio{}
	}
	return ratio(text(actual, "tuplet-number"), text(normal, "tuplet-number"))
}
