package refit

import (
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing/check"
	"undersong/voicing/playing"
)

// What is weighed where a unit can go to several octaves; the project's own
// figures, in pairs of notes that are the wrong way round or a rough third.
const (
	unplayableCost = 10 // a stroke
	ofMelody       = 3  // a pair with a note of the melody
)

const (
	// around is how far from what moves, in seconds, a limb may feel it: the
	// project's own figure.
	around = 3.0
	// rounds is how often all is looked at anew.
	rounds = 3
)

// settle moves units to other octaves where hands and feet can follow better, or
// where fewer notes are the wrong way round or a third that is rough so low. What
// has its keys moves only out of the way of what has not.
func (r *refit) settle() error {
	strokes, of, err := check.Strokes(r.source, r.tower)
	if err != nil {
		return err
	}
	h := &hands{refit: r, player: playing.For(r.tower), strokeOf: map[int]int{}, pairs: r.pairs()}
	for k, s := range strokes {
		if u := r.units[of[k]]; u != nil && !u.gone {
			h.strokeOf[of[k]] = len(h.all)
			s.Key = r.key(of[k])
			h.all, h.toneOf = append(h.all, s), append(h.toneOf, of[k])
		}
	}
	for range rounds {
		better := false
		h.seen = map[*unit]bool{}
		unplayable, wrong := h.troubled()
		for _, tone := range unplayable {
			better = h.settle(r.units[tone], true) || better
		}
		for _, tone := range wrong {
			better = h.settle(r.units[tone], false) || better
		}
		if !better {
			break
		}
	}
	h.bringBack()
	return nil
}

// bringBack moves what has its keys back to where it was, if that costs nothing.
func (h *hands) bringBack() {
	done := map[*unit]bool{}
	for _, u := range h.units {
		if u == nil || u.gone || u.octaves == 0 || done[u] || !h.fits(u, 0) {
			continue
		}
		done[u] = true
		there := u.octaves
		wrong := h.wrong(u)
		if h.put(u, 0); h.wrong(u) > wrong {
			h.put(u, there)
			continue
		}
		trouble := h.trouble(u)
		h.put(u, there)
		if trouble <= h.trouble(u) {
			h.put(u, 0)
		}
	}
}

// pairs are for each tone the others that sound with it, at another key.
func (r *refit) pairs() [][]int {
	pairs := make([][]int, len(r.tones))
	var sounding []int
	for i := range r.tones {
		t := &r.tones[i]
		if u := r.units[i]; u == nil || u.gone || t.Length.Sign() == 0 {
			continue
		}
		sounding = slices.DeleteFunc(sounding, func(k int) bool { return !t.Onset.Less(r.tones[k].End()) })
		for _, k := range sounding {
			if r.pitch(k).MIDI() != r.pitch(i).MIDI() {
				pairs[i], pairs[k] = append(pairs[i], k), append(pairs[k], i)
			}
		}
		sounding = append(sounding, i)
	}
	return pairs
}

// hands are what is struck.
type hands struct {
	*refit
	player   *playing.Player
	all      []playing.Stroke // in time order
	toneOf   []int            // of each stroke
	strokeOf map[int]int      // of each tone
	pairs    [][]int          // of each tone
	seen     map[*unit]bool   // in this round
}

// troubled are the tones whose moving could mend something: what cannot be
// played of those that moved, and all that are the wrong way round.
func (h *hands) troubled() (unplayable, wrong []int) {
	for _, p := range h.player.Assign(h.all).Problems {
		for _, k := range p.Strokes {
			if i := h.toneOf[k]; p.Reason.Impossible() && h.units[i].octaves != 0 {
				unplayable = append(unplayable, i)
			}
		}
	}
	for i := range h.pairs {
		if len(h.turned(i)) > 0 || h.thirds(i) > 0 {
			wrong = append(wrong, i)
		}
	}
	return unplayable, wrong
}

// turned are the other tones of the pairs that were one way round and now are
// the other, or strike one key.
func (h *hands) turned(tone int) (others []int) {
	for _, other := range h.pairs[tone] {
		if !sameWay(h.pitch(tone).MIDI()-h.pitch(other).MIDI(), h.key(tone)-h.key(other)) {
			others = append(others, other)
		}
	}
	return others
}

// thirds counts the thirds on low bells that a tone is struck with and that the
// source had not.
func (h *hands) thirds(tone int) int {
	n := 0
	for _, other := range h.pairs[tone] {
		if h.tones[tone].Onset == h.tones[other].Onset && instrument.RoughThird(h.key(tone), h.key(other)) &&
			!instrument.RoughThird(h.pitch(tone).MIDI(), h.pitch(other).MIDI()) {
			n++
		}
	}
	return n
}

func sameWay(was, is int) bool { return was > 0 && is > 0 || was < 0 && is < 0 }

// settle moves u to the octave that costs least, the nearest of several, and
// tells whether anything of it is then in another one. unplayable says that
// something of it cannot be played. Of an accompaniment that is still wrong parts
// can move.
func (h *hands) settle(u *unit, unplayable bool) bool {
	if h.seen[u] {
		return false
	}
	h.seen[u] = true
	was, now := u.octaves, h.wrong(u)
	var better []int // octaves
	for octaves := range h.octavesNear(u) {
		if h.put(u, octaves); octaves != was && (unplayable || h.wrong(u) < now) {
			better = append(better, octaves)
		}
	}
	h.put(u, was)
	best := was
	if len(better) > 0 { // what limbs can do takes long to find out
		least := now + unplayableCost*h.trouble(u)
		for _, octaves := range better {
			if h.put(u, octaves); h.wrong(u) < least {
				if cost := h.wrong(u) + unplayableCost*h.trouble(u); cost < least {
					best, least = octaves, cost
				}
			}
		}
		h.put(u, best)
	}
	moved := best != was
	if h.wrong(u) > 0 {
		for _, part := range h.parts(u) {
			moved = h.settle(part, false) || moved
		}
	}
	return moved
}

// parts are those of u by measures, of one measure by notes; none of a melody,
// which moves as a whole, or of a note.
func (h *hands) parts(u *unit) []*unit {
	if len(u.tones) == 1 || slices.ContainsFunc(u.tones, func(i int) bool { return h.tones[i].First().Leads() }) {
		return nil
	}
	measure := func(i int) int { return h.tones[i].Pieces[0].Measure }
	within := measure(u.tones[0]) == measure(u.tones[len(u.tones)-1])
	var parts []*unit
	for k, i := range u.tones {
		if k == 0 || within || measure(i) != measure(u.tones[k-1]) {
			parts = append(parts, &unit{keys: u.keys, octaves: u.octaves})
		}
		p := parts[len(parts)-1]
		p.tones = append(p.tones, i)
		h.units[i] = p
	}
	return parts
}

func (h *hands) put(u *unit, octaves int) {
	for _, i := range u.tones {
		if k, ok := h.strokeOf[i]; ok {
			h.all[k].Key += 12 * (octaves - u.octaves)
		}
	}
	u.octaves = octaves
}

// wrong weighs the pairs of u that are the wrong way round, or a rough third.
func (h *hands) wrong(u *unit) int {
	weight := 0
	for _, i := range u.tones {
		weight += h.thirds(i)
		for _, other := range h.turned(i) {
			weight++
			if h.tones[i].First().Leads() || h.tones[other].First().Leads() {
				weight += ofMelody - 1
			}
		}
	}
	return weight
}

// trouble counts what cannot be played around u.
func (h *hands) trouble(u *unit) int {
	first, last := len(h.all), -1
	for _, i := range u.tones {
		if k, ok := h.strokeOf[i]; ok {
			first, last = min(first, k), max(last, k)
		}
	}
	if last < 0 {
		return 0
	}
	from, to, end := h.all[first].At-around, h.all[last].At+around, last+1
	for first > 0 && h.all[first-1].At >= from {
		first--
	}
	for end < len(h.all) && h.all[end].At <= to {
		end++
	}
	count := 0
	for _, p := range h.player.Assign(h.all[first:end]).Problems {
		if p.Reason.Impossible() {
			count++
		}
	}
	return count
}

// crossed are the moments at which something is struck the wrong way round.
func (r *refit) crossed() []score.Place {
	h := &hands{refit: r, pairs: r.pairs()}
	places := []score.Place{}
	var last score.Time
	for i := range r.tones {
		at := r.tones[i].Onset
		if r.merged[i] || len(places) > 0 && at.Cmp(last) == 0 {
			continue
		}
		for _, other := range h.turned(i) {
			if !r.merged[other] && !at.Less(r.tones[other].Onset) {
				places, last = append(places, r.placeOf(i)), at
				break
			}
		}
	}
	return places
}
