package form

import "slices"

// enoughHeadings is how many sections a score has to head, so that its headings part it.
const enoughHeadings = 2

// heads tells whether parts are those of a score that heads its sections.
func heads(parts []stretch) bool {
	n := 0
	for _, p := range parts {
		if p.kind != Other {
			n++
		}
	}
	return n >= enoughHeadings
}

// headed parts what lies between headings, as scores seldom head all: at double
// bars and repeats, where the melody rests for long, and where something comes that
// is a section of its own elsewhere. What has no heading is parted where its melody
// returns, too.
func (f *reader) headed(parts []stretch) []stretch {
	for _, bar := range f.barred() {
		parts = cut(parts, bar.first)
	}
	return f.uncover(f.returns(f.uncover(f.apart(parts))))
}

// cut is parts with another one that begins with some measure, if that leaves room
// for two sections; the later of them is not headed.
func cut(parts []stretch, at int) []stretch {
	for i, p := range parts {
		if at-p.first >= shortest && p.end-at >= shortest {
			parts[i].end = at
			return slices.Insert(parts, i+1, stretch{first: at, end: p.end})
		}
	}
	return parts
}

// uncover cuts headed parts where they hide a section, until none does.
func (f *reader) uncover(parts []stretch) []stretch {
	for again := true; again; { // what is whole now may be hidden in others
		again = false
		for i := 0; i < len(parts); i++ {
			for at, ok := f.hidden(parts, i); ok; at, ok = f.hidden(parts, i) {
				parts, again = cut(parts, at), true
			}
		}
	}
	return parts
}

// hidden is where in a headed part a section begins that has no heading there: what
// is whole elsewhere, or what follows a whole verse when it returns and goes on.
func (f *reader) hidden(parts []stretch, in int) (at int, ok bool) {
	p := parts[in]
	if p.kind == Other {
		return 0, false
	}
	room := func(measures int) bool { return measures == 0 || measures >= shortest }
	first := f.body(p.first)
	for i, other := range parts {
		from := f.body(other.first)
		n := other.end - from
		if i == in || n < shortest || f.silent(other.first, other.end) {
			continue
		}
		goesOn := i < in && p.kind != Chorus && (other.kind == p.kind || other.kind == Intro && p.kind == Interlude)
		if goesOn && p.end-first-n >= usualLength && f.same(from, first, n) {
			return first + n, true
		}
		if !f.sungElsewhere(p, other, n) {
			continue
		}
		for at := first + shortest; at+n <= p.end; at++ {
			if room(p.end-at-n) && f.same(from, at, n) && f.sungAlike(other, stretch{first: at, end: at + n}, p.kind) {
				return at, true
			}
		}
	}
	return 0, false
}

// sungElsewhere tells whether a part of so many measures can be what a headed one
// hides: it is sung and of another kind. What has no heading has to be of the usual
// length, and what stands at the beginning or between is no sign: it likes to quote
// the end of a verse.
func (f *reader) sungElsewhere(p, other stretch, n int) bool {
	switch other.kind {
	case Verse, PreChorus, Chorus, Bridge:
		return other.kind != p.kind
	case Other:
		return n >= usualLength
	}
	return false
}

// surely is how much alike a hidden section is to what it is known by. The
// project's own figure.
const surely = 0.8

// same tells whether so many measures are surely the return of others.
func (f *reader) same(from, at, n int) bool {
	return f.headAlike(from, at, n) && f.sumAlike(from, at, n) >= surely*float64(n)
}

// sungAlike tells whether the words of what a part of some kind may hide are those
// of a section: in a verse the same; elsewhere, as in a chorus with the next verse
// behind it, as many lines.
func (f *reader) sungAlike(a, b stretch, in Kind) bool {
	if in == Verse {
		return sameWords(f.words(f.bounds(a)), f.words(f.bounds(b)))
	}
	x, y := f.lines(f.bounds(a)), f.lines(f.bounds(b))
	return (x > severalAbove) == (y > severalAbove) && (x > 0) == (y > 0)
}

// inherit gives sections that the score does not head the kind of those that it
// heads and that have their melody. What an introduction plays is only one at its
// place.
func inherit(sections []Section) {
	type source struct {
		kind Kind
		name string
	}
	of := map[string]source{}
	for _, s := range sections {
		if s.Kind == Other || s.Letter == "" {
			continue
		}
		if was, ok := of[tuneOf(s.Letter)]; ok && was.kind != s.Kind {
			of[tuneOf(s.Letter)] = source{} // a verse and its chorus to one tune
		} else if !ok {
			of[tuneOf(s.Letter)] = source{s.Kind, s.Name}
		}
	}
	for i := range sections {
		s := &sections[i]
		switch is := of[tuneOf(s.Letter)]; is.kind {
		case Verse, PreChorus, Chorus, Bridge:
			if s.Kind != Other {
				continue
			}
			s.Kind, s.Because = is.kind, "its melody is that of "+is.name
			if tuneOf(s.Letter) != s.Letter {
				s.Because = "its melody is nearly that of " + is.name + ", or begins so"
			}
		}
	}
}
