package study

import (
	"fmt"
	"math"
	"slices"

	"undersong/instrument"
	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/playing"
)

// pedals weighs how many phrases are in the pedals whole when they are voiced so, and
// whether that is lower than they are.
func (m *meter) pedals(l *low) Reason {
	r := reason("pedals", float64(l.held)/float64(l.all), heldWell, heldBadly)
	all := score.Count(l.all, "phrase")
	switch {
	case l.held < l.all:
		text := fmt.Sprintf("%d of %s would be in the pedals whole", l.held, all)
		if l.byHand > 0 {
			text += fmt.Sprintf(", %d in the left hand or partly so", l.byHand)
		}
		return r.because(m, l, l.broken, text)
	case l.rise > 0:
		r.Speaks = Care
		return r.because(m, l, l.rises, fmt.Sprintf("%d of %s would lie higher than written", l.rise, all))
	case l.stay > 0 && !l.lowAlready():
		r.Speaks = Care
		return r.because(m, l, l.stays, fmt.Sprintf("%d of %s would stay as written", l.stay, all))
	}
	return r.say("the pedals hold every phrase whole")
}

// because says something of the melody's place, and why.
func (r Reason) because(m *meter, l *low, e *voicing.Elsewhere, text string) Reason {
	switch {
	case e != nil:
		return r.at(m, m.Tones[m.Melody.Tones[e.At]].Onset).say("%s: %s", text, e.Why)
	case l.lost != nil:
		return r.at(m, l.lost.Onset).say("%s: %s has no key in any octave", text, l.lost.Pitch)
	}
	return r.at(m, l.tune[0].Onset).say("%s", text)
}

// feet weighs how many strokes come sooner than feet and bells allow.
func (m *meter) feet(l *low) Reason {
	strokes := make([]playing.Stroke, len(l.pedals))
	for i, key := range l.pedals {
		strokes[i] = playing.Stroke{At: l.at[i], Key: key, Pedal: true}
	}
	if m.player().InTurn(strokes) {
		return reason("feet", 0, lateWell, lateBadly).say("the feet have time for every note")
	}
	late := map[int]playing.Problem{} // by stroke
	worst := -1
	for _, p := range m.player().Assign(strokes).Problems {
		if p.Reason != playing.TooSoon && p.Reason != playing.Repeated {
			continue
		}
		i := p.Strokes[len(p.Strokes)-1]
		if was, twice := late[i]; twice && was.Value <= p.Value {
			continue
		}
		if late[i] = p; worst < 0 || p.Value < late[worst].Value {
			worst = i
		}
	}
	r := reason("feet", float64(len(late))/float64(len(l.keys)), lateWell, lateBadly)
	if worst < 0 {
		return r.say("the feet have time for every note")
	}
	if len(late) <= fewLate || l.held == l.all && l.late == 0 {
		r.Speaks = Care
	}
	p := late[worst]
	who := "a foot"
	if p.Reason == playing.Repeated {
		who = "bell " + l.spelled(worst, l.pedals[worst])
	}
	text := fmt.Sprintf("%d of %d notes come sooner than feet and bells can", len(late), len(l.keys))
	if len(late) == 1 {
		text = fmt.Sprintf("1 of %d notes comes sooner than feet and bells can", len(l.keys))
	}
	text += fmt.Sprintf(", at worst after %.2f s where %s needs %.2f s", p.Value, who, p.Limit)
	if l.helped > 0 {
		text += fmt.Sprintf(": the left hand helps with %d", l.helped)
	}
	return r.at(m, l.tune[worst].Onset).say("%s", text)
}

// ringing calls back for each note of the melody, and each other bell that is
// still heard from before it, with how many dB weaker that is by then.
func (m *meter) ringing(l *low, heard func(i, before int, down float64)) {
	for i := range l.keys {
		var done [128]bool
		done[clamp(l.keys[i])] = true
		for k := i - 1; k >= 0; k-- {
			ago := l.at[i] - l.at[k]
			if ago > m.longest {
				break
			}
			if key := clamp(l.keys[k]); !done[key] && ago < m.bell(key).ring {
				done[key] = true
				heard(i, k, audible*ago/m.bell(key).ring)
			}
		}
	}
}

// ring weighs how many bells of the melody are heard at once: with each note those
// that still ring. A bell struck again is the same bell.
func (m *meter) ring(l *low) Reason {
	bells := make([]int, len(l.keys))
	m.ringing(l, func(i, _ int, _ float64) { bells[i]++ })
	sum, worst := 0, 0
	for i := range bells {
		bells[i]++ // its own
		if sum += bells[i]; bells[i] > bells[worst] {
			worst = i
		}
	}
	mean := float64(sum) / float64(len(bells))
	return reason("ring", mean, ringsWell, ringsBadly).at(m, l.tune[worst].Onset).say(
		"%.1f bells of it are heard at once (limit %.0f, utmost %.0f), %d at worst", mean, ringsWell, ringsBadly, bells[worst])
}

// clash weighs how they sound together.
func (m *meter) clash(l *low) Reason {
	clashes := make([]float64, len(l.keys))
	m.ringing(l, func(i, k int, down float64) {
		clashes[i] += math.Pow(10, -down/20) * m.rough(l.keys[k], l.keys[i])
	})
	sum, worst := 0.0, 0
	for i, c := range clashes {
		if sum += c; c > clashes[worst] {
			worst = i
		}
	}
	mean := sum / float64(len(clashes))
	return reason("clash", mean, clashWell, clashBadly).at(m, l.tune[worst].Onset).say(
		"what rings on is as rough as %.1f semitones struck with each note (limit %.1f, utmost %.1f), %.1f at worst", mean, clashWell, clashBadly, clashes[worst])
}

// rough is how much rougher two bells are than one, where a semitone is 1: of
// bells in the middle of the lower one's octave, since that changes little from
// key to key.
func (m *meter) rough(a, b int) float64 {
	low := min(a, b)/12*12 + 6
	pair := [2]int{low, low + max(a, b) - min(a, b)}
	r, ok := m.pairs[pair]
	if !ok {
		alone := m.roughness(low, low)
		r = max(0, (m.roughness(low, pair[1])-alone)/(m.roughness(low, low+1)-alone))
		m.pairs[pair] = r
	}
	return r
}

// roughness is that of two bells struck together.
func (m *meter) roughness(a, b int) float64 {
	pair := [2]int{a, b}
	r, ok := m.together[pair]
	if !ok {
		r = m.tower.Roughness(instrument.Stroke{Key: a}, instrument.Stroke{Key: b})
		m.together[pair] = r
	}
	return r
}

// chords weighs how often the harmony changes while a bell of the melody is
// heard.
func (m *meter) chords(sec form.Section, strikes []strike, l *low) Reason {
	changes := m.changes(sec, strikes)
	heard := 0.0
	for _, key := range l.keys {
		heard += m.bell(key).ring
	}
	heard /= float64(len(l.keys))
	seconds := m.Clock.Seconds(sec.To) - m.Clock.Seconds(sec.From)
	mean := 0.0
	if seconds > 0 {
		mean = heard * float64(len(changes)) / seconds
	}
	worst, most := 0, 0
	for i := range changes {
		k := i
		for k < len(changes) && changes[k]-changes[i] < heard {
			k++
		}
		if k-i > most {
			worst, most = i, k-i
		}
	}
	r := reason("harmony", mean, chordsWell, chordsBadly)
	if most > 0 {
		r = r.at(m, l.strokeAt(changes[worst]))
	}
	return r.say("%.1f changes of harmony while a bell of it is heard, %.1f s (limit %.0f, utmost %.0f), %d at worst",
		mean, heard, chordsWell, chordsBadly, most)
}

// strokeAt is the onset of the last note struck by a moment, or of the first.
func (l *low) strokeAt(seconds float64) score.Time {
	i := len(l.at) - 1
	for i > 0 && l.at[i] > seconds {
		i--
	}
	return l.tune[i].Onset
}

// handsLow is the lowest key that the hands like: manual writing rarely
// ventures below middle C (J. Gouwens, "Playing the Carillon", App. B).
const handsLow = 60

// room weighs what the hands have over most of the melody: under its highest notes they
// may be thin or rest.
func (m *meter) room(l *low) Reason {
	keys := slices.Sorted(slices.Values(l.keys))
	room := m.tower.Manual.High() - max(keys[(len(keys)-1)*roomOver/100], handsLow)
	highest := slices.Index(l.keys, keys[len(keys)-1])
	r := reason("room", float64(room), roomWell, roomBadly).at(m, l.tune[highest].Onset).say(
		"%s for the hands above most of the melody and middle C (limit %.0f, utmost %.0f)", score.Count(room, "semitone"), roomWell, roomBadly)
	if room == m.tower.Manual.High()-handsLow {
		r.Text += ": all that the manual has there"
	}
	return r
}

// hands weighs how fast all but the melody is struck. It never speaks against: voice thins
// what the hands cannot play.
func (m *meter) hands(sec form.Section, strikes []strike) Reason {
	pace := rate(len(strikes), m.Clock.Seconds(sec.To)-m.Clock.Seconds(sec.From))
	r := reason("hands", pace, handsWell, math.Inf(1))
	most := 0
	for first, next := 0, 0; first < len(strikes); first = next {
		measure := m.places.measureAt(strikes[first].at)
		for next = first; next < len(strikes) && m.places.measureAt(strikes[next].at) == measure; next++ {
		}
		if next-first > most {
			most, r = next-first, r.at(m, strikes[first].at)
		}
	}
	r = r.say("the rest is struck %.1f times a second (limit %.0f)", pace, handsWell)
	if r.Speaks == Care {
		r.Text += ", fast for hands over bells that ring"
	}
	return r
}

// strength weighs how much louder the melody is low down than as written.
func (m *meter) strength(l *low) Reason {
	sum, worst, least := 0.0, 0, math.Inf(1)
	for i, t := range l.tune {
		gain := m.bell(l.keys[i]).level - m.bell(t.Pitch.MIDI()).level
		if sum += gain; gain < least {
			least, worst = gain, i
		}
	}
	gain := sum / float64(len(l.tune))
	r := reason("strength", gain, gainWell, math.Inf(-1)).at(m, l.tune[worst].Onset)
	text := fmt.Sprintf("the melody gains %.0f dB on its low bells (limit %.0f)", gain, gainWell)
	switch {
	case gain <= -0.5:
		text = fmt.Sprintf("the melody loses %.0f dB, as its bells are higher than written (limit: to gain %.0f)", -gain, gainWell)
	case gain < 0.5:
		text = fmt.Sprintf("the melody is as loud as where it is written (limit: to gain %.0f dB)", gainWell)
	}
	switch {
	case gain >= gainMuch:
		return r.say("%s: the small ones are weak here", text)
	case r.Speaks == Care && l.stay == l.all && l.lowAlready():
		r.Speaks = For
		return r.say("the melody lies low as it is")
	}
	return r.say("%s", text)
}

// tenor tells whether the left hand can play a melody alone on the manual.
func (m *meter) tenor(l laid) (can bool, text string) {
	late, worst, soonest := 0, 0, math.Inf(1)
	for i := 1; i < len(l.keys); i++ {
		apart := l.at[i] - l.at[i-1]
		if apart < m.tower.HandTime(l.keys[i-1], l.keys[i]) {
			if late++; apart < soonest {
				worst, soonest = i, apart
			}
		}
	}
	share := float64(late) / float64(len(l.keys))
	room := m.tower.Manual.High() - slices.Max(l.keys)
	switch {
	case l.held < l.all:
		return false, fmt.Sprintf("the manual holds %d of %s whole", l.held, score.Count(l.all, "phrase"))
	case share > lateBadly && late > fewLate:
		return false, fmt.Sprintf("%d of %d notes come sooner than one hand can, at worst after %.2f s in measure %s",
			late, len(l.keys), soonest, m.measure(l.tune[worst]))
	case float64(room) < roomBadly:
		return false, fmt.Sprintf("%s left above it for the right hand (utmost %.0f)", score.Count(room, "semitone"), roomBadly)
	case late > 0:
		return true, fmt.Sprintf("the left hand can play it, but for %s", score.Count(late, "note"))
	}
	return true, "the left hand can play it"
}

func clamp(key int) int { return max(0, min(key, 127)) }

func (m *meter) measure(t *score.Tone) string {
	return m.places.score.MeasureNumber(t.Pieces[0].Measure)
}
