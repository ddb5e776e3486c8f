package refit

import (
	"undersong/voicing/check"
	"undersong/voicing/playing"
)

const (
	// around is how far from what moves, in seconds, a limb may feel it: the
	// project's own figure.
	around = 3.0
	// rounds is how often what cannot be played is looked at anew.
	rounds = 3
)

// play moves what has to move to another octave where hands and feet can follow
// better than in the nearest. What has its keys stays where it is.
func (r *refit) play() error {
	strokes, tones, err := check.Strokes(r.source, r.tower)
	if err != nil {
		return err
	}
	h := &hands{player: playing.For(r.tower), strokes: map[*unit][]int{}}
	for k, s := range strokes {
		u := r.moves[r.tones[tones[k]].First()]
		if u != nil && u.gone {
			continue
		}
		if u != nil {
			s.Key += 12 * u.octaves
			h.strokes[u] = append(h.strokes[u], len(h.all))
		}
		h.all, h.units = append(h.all, s), append(h.units, u)
	}
	for range rounds {
		tried, better := map[*unit]bool{}, false
		for _, p := range h.player.Assign(h.all).Problems {
			for _, k := range p.Strokes {
				if u := h.units[k]; u != nil && p.Reason != playing.Leap && !tried[u] {
					tried[u] = true
					better = h.settle(u) || better
				}
			}
		}
		if !better {
			break
		}
	}
	return nil
}

// hands are what is struck, and what of it moves as one.
type hands struct {
	player  *playing.Player
	all     []playing.Stroke // in time order
	units   []*unit          // of each stroke; nil of what stays
	strokes map[*unit][]int  // of each unit
}

// settle moves u to the octave in which least around it cannot be played, the
// nearest of several, and tells whether that is another one.
func (h *hands) settle(u *unit) bool {
	was, best, least := u.octaves, u.octaves, h.trouble(u)
	for octaves := range u.octavesNear() {
		if h.put(u, octaves); h.trouble(u) < least {
			best, least = octaves, h.trouble(u)
		}
	}
	h.put(u, best)
	return best != was
}

func (h *hands) put(u *unit, octaves int) {
	for _, k := range h.strokes[u] {
		h.all[k].Key += 12 * (octaves - u.octaves)
	}
	u.octaves = octaves
}

// trouble counts what cannot be played around u.
func (h *hands) trouble(u *unit) int {
	own := h.strokes[u]
	from, to := h.all[own[0]].At-around, h.all[own[len(own)-1]].At+around
	first := own[0]
	for first > 0 && h.all[first-1].At >= from {
		first--
	}
	end := own[len(own)-1] + 1
	for end < len(h.all) && h.all[end].At <= to {
		end++
	}
	count := 0
	for _, p := range h.player.Assign(h.all[first:end]).Problems {
		if p.Reason != playing.Leap {
			count++
		}
	}
	return count
}
