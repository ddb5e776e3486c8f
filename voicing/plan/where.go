package plan

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/study"
)

// where is a place in a piece, as people write it:
//
//	33-48          measures by their printed numbers, one number for one
//	chorus         all sections of this name, kind or letter
//	last chorus    the last of them; first to fourth too, and as form.Nth has it
//	chorus 2       the second of them, where none is called so
//	time 2 of A    the second time that they are played; last time of A
//
// Several have commas between them.
type where struct {
	text       string
	first, end string // measures
	name       string
	nth        int // of the sections: 0 all, -1 the last
	time       int // of playing them: 0 all, -1 the last
}

// Where tells in one line how a place is written, for messages and help.
const Where = `measures (33-48), a section's name, kind or letter (chorus), "first" to "fourth" or "last" before it, or "time 2 of" or "last time of" before it; several with commas between them (33-48,last chorus)`

// parseWhere reads a list of places.
func parseWhere(list string) ([]where, error) {
	var places []where
	for text := range strings.SplitSeq(list, ",") {
		w, ok := parsePlace(text)
		if !ok {
			return nil, fmt.Errorf("%q: must be %s", list, Where)
		}
		places = append(places, w)
	}
	return places, nil
}

func parsePlace(text string) (w where, ok bool) {
	w.name = strings.Join(strings.Fields(text), " ")
	w.text = w.name
	if rest, ok := cutPrefix(w.name, "last time of "); ok {
		w.time, w.name = -1, rest
	} else if rest, ok := cutPrefix(w.name, "time "); ok {
		n, of, found := strings.Cut(rest, " of ")
		time, err := strconv.Atoi(n)
		if !found || err != nil || time < 1 {
			return w, false
		}
		w.time, w.name = time, of
	}
	w.nth, w.name = form.Nth(w.name)
	// A study prints 33–48 with a dash that people copy.
	if first, end, ok := strings.Cut(strings.ReplaceAll(w.name, "–", "-"), "-"); ok && digit(first) && digit(end) {
		w.first, w.end = strings.TrimSpace(first), strings.TrimSpace(end)
	} else if digit(w.name) {
		w.first, w.end = w.name, w.name
	}
	return w, w.name != ""
}

// cutPrefix is strings.CutPrefix whatever the case.
func cutPrefix(s, prefix string) (rest string, found bool) {
	if len(s) < len(prefix) || !strings.EqualFold(s[:len(prefix)], prefix) {
		return s, false
	}
	return s[len(prefix):], true
}

func digit(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// placesOf are the places of a score and its measures.
type placesOf struct {
	places  []form.Played // as written, Nth is 0
	numbers []string      // of the measures of the score that is voiced
	starts  []score.Time  // of the same
	source  []string      // their numbers before it was written out
	told    []voicing.Finding
}

// places are those of the analysed score, or of that score written out where
// an item needs it.
func (p *Plan) places(a *study.Analysis) (*placesOf, *score.Score, error) {
	writtenOut := false
	for _, item := range p.Items {
		list, err := parseWhere(item.Where)
		if err != nil {
			return nil, nil, fmt.Errorf("%s%w", item.at, err)
		}
		writtenOut = writtenOut || slices.ContainsFunc(list, func(w where) bool { return w.time != 0 })
	}
	if !writtenOut {
		places := &placesOf{starts: a.Score.Starts(), numbers: a.Score.MeasureNumbers()}
		places.source = places.numbers
		for i, s := range a.Sections {
			places.places = append(places.places, form.Played{Section: s, Of: i})
		}
		return places, a.Score, nil
	}
	return writeOut(a)
}

// writeOut writes the score out and finds its sections again, each time that
// they are played.
func writeOut(a *study.Analysis) (*placesOf, *score.Score, error) {
	order, err := a.Score.Performance()
	if err != nil {
		return nil, nil, err
	}
	s, err := a.Score.WrittenOut()
	if err != nil {
		return nil, nil, err
	}
	places := &placesOf{starts: s.Starts(), numbers: s.MeasureNumbers(), told: tellWrittenOut(a.Score, s, order)}
	names := a.Score.MeasureNumbers()
	for _, o := range order {
		places.source = append(places.source, names[o.Measure])
	}
	places.places = form.WrittenOut(a.Sections, a.Score, s)
	return places, s, nil
}

// tellWrittenOut says that a score is written out, if anything of it is played
// again, and which verses then have no time of their own.
func tellWrittenOut(was, is *score.Score, order []score.Played) []voicing.Finding {
	again := slices.IndexFunc(order, func(o score.Played) bool { return o.Nth == 2 })
	if again < 0 {
		return nil
	}
	told := []voicing.Finding{{Pass: "plan", Text: fmt.Sprintf(
		"the repeats are written out, %d measures as %d, so that each time can be voiced in its own way: the second time of measure %s is %s",
		was.MeasureCount(), is.MeasureCount(), was.MeasureNumber(order[again].Measure), is.MeasureNumber(again))}}
	for _, err := range was.VersesUnsung() {
		var e *score.Error
		if errors.As(err, &e) {
			told = append(told, voicing.Finding{Pass: "plan", Place: e.Place, Text: e.Problem})
		}
	}
	return told
}

// findAll is where an item holds.
func (p *placesOf) findAll(item Item) ([]span, error) {
	list, err := parseWhere(item.Where)
	if err != nil {
		return nil, err
	}
	var all []span
	for _, w := range list {
		found := p.find(w)
		first, last := p.numbers[0], p.numbers[len(p.numbers)-1]
		switch {
		case len(found) == 0 && w.first != "":
			return nil, fmt.Errorf("%sno measures %q: they go from %s to %s, the lower number first", item.at, w.text, first, last)
		case len(found) == 0:
			return nil, fmt.Errorf("%sno section %q: there are %s, and measures %s to %s", item.at, w.text, p.names(), first, last)
		}
		all = append(all, found...)
	}
	return all, nil
}

// find is where w holds.
func (p *placesOf) find(w where) []span {
	if w.first != "" {
		return p.findMeasures(w)
	}
	named := p.called(w.name)
	if words := strings.Fields(w.name); len(named) == 0 && w.nth == 0 && len(words) == 2 {
		if n, err := strconv.Atoi(words[1]); err == nil {
			w.nth, named = n, p.called(words[0])
		}
	}
	if w.nth != 0 {
		named = p.nth(named, w.nth)
	}
	var found []span
	for _, i := range named {
		pl := p.places[i]
		if w.time == 0 || w.time == pl.Nth || w.time < 0 && pl.LastTime {
			found = append(found, span{from: pl.From, to: pl.To})
		}
	}
	return found
}

// called are the places with a name, by index.
func (p *placesOf) called(name string) (named []int) {
	for i, pl := range p.places {
		if form.Called(pl.Section, name) {
			named = append(named, i)
		}
	}
	return named
}

// nth keeps the n-th of the different sections among places, or the last.
func (p *placesOf) nth(named []int, n int) []int {
	var sections []int
	for _, i := range named {
		if !slices.Contains(sections, p.places[i].Of) {
			sections = append(sections, p.places[i].Of)
		}
	}
	slices.Sort(sections)
	if n < 0 {
		n = len(sections)
	}
	if n > len(sections) || n == 0 {
		return nil
	}
	return slices.DeleteFunc(named, func(i int) bool { return p.places[i].Of != sections[n-1] })
}

// findMeasures is where the measures of w are, by their numbers as printed in
// the source: each time that they are played, where that is written out. Such
// numbers as 37b are those of the score written out.
func (p *placesOf) findMeasures(w where) []span {
	for _, numbers := range [][]string{p.source, p.numbers} {
		var found []span
		for i := 0; i < len(numbers); i++ {
			if numbers[i] != w.first {
				continue
			}
			for end := i; end < len(numbers) && (end == i || numbers[end] != w.first); end++ {
				if numbers[end] == w.end {
					found = append(found, span{from: p.pickup(i), to: p.pickup(end + 1)})
					i = end
					break
				}
			}
		}
		if len(found) > 0 {
			return found
		}
	}
	return nil
}

// pickup is where a measure begins, or the phrase that leads to it if a
// section begins there.
func (p *placesOf) pickup(measure int) score.Time {
	at := p.starts[measure]
	for _, pl := range p.places {
		if pl.From.Less(at) && measure > 0 && p.starts[measure-1].Less(pl.From) {
			return pl.From
		}
	}
	return at
}

// names lists what sections are called.
func (p *placesOf) names() string {
	var names []string
	for _, pl := range p.places {
		for _, name := range []string{pl.Name, string(pl.Kind)} {
			if name != "" && !slices.ContainsFunc(names, func(other string) bool { return strings.EqualFold(other, name) }) {
				names = append(names, name)
			}
		}
	}
	return strings.Join(names, ", ")
}

// barline is the first barline from t on.
func (p *placesOf) barline(t score.Time) score.Time {
	i, _ := slices.BinarySearchFunc(p.starts, t, score.Time.Cmp)
	return p.starts[min(i, len(p.starts)-1)]
}
