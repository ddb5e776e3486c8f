package form

import (
	"maps"
	"slices"
)

// periods makes periods of half ones. What returns may be shorter than a section usually
// is because only half of a period does: its beginning, after which it goes on otherwise
// (the return is widened), or its end, to which two come (the rhyme, which goes with what
// is before it).
func (f *reader) periods(at, forced map[int]bool) {
	row := func() *halves {
		return &halves{f: f, forced: forced, cuts: append(slices.Sorted(maps.Keys(at)), len(f.tune))}
	}
	h := row()
	for k := 0; k < len(h.cuts)-1; k++ {
		if n := h.length(k); n < shortest || n >= usualLength {
			continue
		}
		if family := h.family(k); len(family) > 1 && family[0] == k && (h.widen(at, family) || h.rhyme(at, family)) {
			h, k = row(), k-1
		}
	}
}

// halves are sections in a row, between cuts.
type halves struct {
	f      *reader
	forced map[int]bool // cuts that stay
	cuts   []int
}

// length is how many measures section k has, without a pickup to the piece.
func (h *halves) length(k int) int { return h.cuts[k+1] - h.f.body(h.cuts[k]) }

// family are the sections within reach, by index, that are as a whole like section k, it
// among them.
func (h *halves) family(k int) (all []int) {
	a, n := h.f.body(h.cuts[k]), h.length(k)
	for j := max(0, k-reach); j < min(k+reach, len(h.cuts)-1); j++ {
		b := h.f.body(h.cuts[j])
		if j == k || h.length(j) == n && h.f.headAlike(a, b, n) && h.f.sumAlike(a, b, n) >= nearly*float64(n) {
			all = append(all, j)
		}
	}
	return all
}

// widen lets all sections of a family end later, at the usual length, unless something
// stands against it for one of them.
func (h *halves) widen(at map[int]bool, family []int) bool {
	last := -1 // end of the one before
	for _, k := range family {
		if h.cuts[k] != last && !h.opens(k) || !h.mayWiden(k) {
			return false
		}
		last = h.f.body(h.cuts[k]) + usualLength
	}
	for _, k := range family {
		end := h.f.body(h.cuts[k]) + usualLength
		for m := h.cuts[k+1]; m < end; m++ {
			delete(at, m)
		}
		if end < len(h.f.tune) {
			at[end] = true
		}
	}
	return true
}

// opens tells whether section k begins a period: nothing shorter than one is before it.
func (h *halves) opens(k int) bool {
	return k == 0 || h.forced[h.cuts[k]] || h.length(k-1) >= usualLength ||
		h.f.silent(h.cuts[k-1], h.cuts[k])
}

// mayWiden tells whether section k may have the usual length: new music follows that is
// long enough, and then a phrase begins.
func (h *halves) mayWiden(k int) bool {
	f, first := h.f, h.cuts[k]
	end := f.body(first) + usualLength
	next := k + 1
	for ; next < len(h.cuts)-1 && h.cuts[next] < end; next++ {
		if h.forced[h.cuts[next]] || len(h.family(next)) > 1 || f.headAlike(f.body(first), h.cuts[next], reprise) {
			return false
		}
	}
	left := h.cuts[next] - end
	return left == 0 || left >= shortest && f.begin(end)
}

// rhyme puts all sections of a family to the new music before them, if that makes periods.
func (h *halves) rhyme(at map[int]bool, family []int) bool {
	if len(family) > 2 || h.sungAgain(family) { // a refrain
		return false
	}
	for _, k := range family {
		if k == 0 || h.forced[h.cuts[k]] || len(h.family(k-1)) > 1 || h.length(k-1)+h.length(k) > usualLength {
			return false
		}
	}
	for _, k := range family {
		delete(at, h.cuts[k])
	}
	return true
}

// begin tells whether a phrase begins with a measure.
func (f *reader) begin(measure int) bool {
	return slices.ContainsFunc(f.begins, func(b begin) bool { return b.measure == measure })
}

// sungAgain tells whether a family returns with its words.
func (h *halves) sungAgain(family []int) bool {
	words := func(k int) []string {
		return h.f.words(h.f.bounds(stretch{first: h.cuts[k], end: h.cuts[k+1]}))
	}
	first := words(family[0])
	return len(first) > 0 && slices.ContainsFunc(family[1:], func(k int) bool { return sameWords(words(k), first) })
}
