package plan

import (
	"cmp"
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
//	chorus         all sections of this name or kind, or else of this letter
//	last chorus    the last time that one of them is played; first to fourth
//	               too, and as form.Nth has it; second verse is Verse 2
//	chorus 2       the second, where none is called so
//	time 2 of A    the second time that they are played; last time of A, and of
//	               measures too
//
// Several have commas between them.
type where struct {
	text       string
	first, end string // measures
	whole      string // the name with what could be a number in it
	name       string
	nth        int // of the times that sections of this name are played: 0 all, -1 the last
	time       int // the same of the sections that are left
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
	words := strings.Fields(text)
	w.text = strings.Join(words, " ")
	if len(words) > 3 && strings.EqualFold(words[2], "of") {
		time := 0
		switch {
		case strings.EqualFold(words[0], "time"):
			n, err := strconv.Atoi(words[1])
			if err != nil || n < 1 {
				return w, false
			}
			time = n
		case strings.EqualFold(words[1], "time"):
			time, _ = form.Nth(words[0] + " time")
		}
		if time != 0 {
			w.time, words = time, words[3:]
		}
	}
	w.whole = strings.Join(words, " ")
	w.nth, w.name = form.Nth(w.whole)
	if first, end, ok := cutRange(w.name); ok && digit(first) && end != "" {
		w.first, w.end = first, end
	} else if digit(w.name) {
		w.first, w.end = w.name, w.name
	}
	return w, w.name != ""
}

// cutRange parts two measures. A study prints 33–48 with a dash that people copy.
func cutRange(text string) (first, end string, ok bool) {
	first, end, ok = strings.Cut(strings.ReplaceAll(text, "–", "-"), "-")
	return strings.TrimSpace(first), strings.TrimSpace(end), ok
}

func digit(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// places is where the sections and measures of a score are: as it is written, or
// with its repeats written out.
type places struct {
	sections []form.Section // as written
	order    []form.Pass    // as they are played
	played   []form.Played  // the same in the score written out; nil of one that is not
	numbers  []string       // of the measures of the score that is voiced
	starts   []score.Time   // of the same
	written  []string       // the numbers of the measures as written
	source   []int          // which of these each measure of the score that is voiced is
	told     []voicing.Finding
}

// places are those of the analysed score, or of that score written out where
// an item means one time of several.
func (p *Plan) places(a *study.Analysis) (*places, *score.Score, error) {
	at := &places{sections: a.Sections, order: a.Order, starts: a.Score.Starts(), numbers: a.Score.MeasureNumbers()}
	at.written = at.numbers
	for i := range at.numbers {
		at.source = append(at.source, i)
	}
	for _, item := range p.Items {
		list, err := parseWhere(item.Where)
		if err != nil {
			return nil, nil, fmt.Errorf("%s%w", item.at, err)
		}
		for _, w := range list {
			if at.oneOfSeveral(w, a) {
				s, err := at.writeOut(a)
				return at, s, err
			}
		}
	}
	return at, a.Score, nil
}

// oneOfSeveral tells whether w means one time of several that what it names is
// played.
func (p *places) oneOfSeveral(w where, a *study.Analysis) bool {
	if w = p.asMeasures(w); w.first == "" {
		c := p.choose(w)
		return c.pass >= 0 && p.sections[p.order[c.pass].Section].Times > 1
	}
	ranges := rangesOf(p.written, w)
	if len(ranges) == 0 { // they may be such as 37b, of the score written out
		first, end := score.WithoutTime(w.first), score.WithoutTime(w.end)
		return (first != w.first || end != w.end) && slices.Contains(p.written, first) && slices.Contains(p.written, end) && p.repeats(a, nil)
	}
	return (w.nth != 0 || w.time != 0) && p.repeats(a, ranges)
}

// repeats tells whether any measure of some ranges is played again, or any at all
// where there are none.
func (p *places) repeats(a *study.Analysis, ranges [][2]int) bool {
	order, err := a.Score.Performance()
	return err == nil && slices.ContainsFunc(order, func(o score.Played) bool {
		return o.Nth > 1 && (len(ranges) == 0 || within(ranges, o.Measure))
	})
}

// asMeasures is w, for measures where its name is no section's but theirs: such as
// X17, or X17-24. What looks like measures may be a section's name: 2-step.
func (p *places) asMeasures(w where) where {
	switch {
	case w.first != "" && len(rangesOf(p.written, w)) == 0 && len(form.Named(p.sections, w.whole)) > 0:
		w.first = ""
		return w
	case w.first != "", len(p.choose(w).sections) > 0:
		return w
	}
	m := w
	first, end, ok := cutRange(w.name)
	if !ok {
		end = first
	}
	if m.first, m.end = first, end; len(rangesOf(p.written, m)) > 0 {
		return m
	}
	return w
}

// writeOut writes the score out and finds its sections again, each time that
// they are played.
func (p *places) writeOut(a *study.Analysis) (*score.Score, error) {
	order, err := a.Score.Performance()
	if err != nil {
		return nil, err
	}
	s, err := a.Score.WrittenOut()
	if err != nil {
		return nil, err
	}
	p.starts, p.numbers, p.source = s.Starts(), s.MeasureNumbers(), nil
	for _, o := range order {
		p.source = append(p.source, o.Measure)
	}
	p.played = form.WrittenOut(a.Sections, a.Score, s)
	p.told = append(p.told, tellWrittenOut(a.Score, s, order)...)
	return s, nil
}

// tellWrittenOut says that a score is written out, if anything of it is played
// again, and what is likely wrong with the order in which it is.
func tellWrittenOut(was, is *score.Score, order []score.Played) []voicing.Finding {
	var told []voicing.Finding
	if again := slices.IndexFunc(order, func(o score.Played) bool { return o.Nth == 2 }); again >= 0 {
		told = append(told, voicing.Finding{Pass: Pass, Text: fmt.Sprintf(
			"the repeats are written out, %d measures as %d, so that each time can be voiced in its own way: the second time of measure %s is %s",
			was.MeasureCount(), is.MeasureCount(), was.MeasureNumber(order[again].Measure), is.MeasureNumber(again))})
	}
	return append(told, voicing.TellRepeats(was)...)
}

// findAll is where an item holds.
func (p *places) findAll(item Item) ([]span, error) {
	list, err := parseWhere(item.Where)
	if err != nil {
		return nil, err
	}
	var all []span
	for _, w := range list {
		found, err := p.find(w)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

// find is where w holds.
func (p *places) find(w where) ([]span, error) {
	first, last := p.numbers[0], p.numbers[len(p.numbers)-1]
	if w = p.asMeasures(w); w.first != "" {
		if w.nth != 0 && w.time != 0 {
			return nil, fmt.Errorf("%q: measures have one time before them, such as \"time 2 of\" or \"last\"", w.text)
		}
		found, times := p.findMeasures(w)
		switch {
		case times == 0:
			return nil, fmt.Errorf("no measures %q: they go from %s to %s, the lower number first", w.text, first, last)
		case len(found) == 0:
			return nil, fmt.Errorf("no %q: these measures are played %s", w.text, timesText(times))
		}
		return found, nil
	}
	c := p.choose(w)
	switch {
	case len(c.sections) == 0:
		return nil, fmt.Errorf("no section %q: there are %s, and measures %s to %s", w.text, p.names(), first, last)
	case c.pass < 0 && c.times >= 0:
		return nil, fmt.Errorf("no %q: %s is played %s", w.text, c.name, timesText(c.times))
	case c.how != "":
		p.told = append(p.told, voicing.Finding{Pass: Pass, Text: fmt.Sprintf("%q: %s", w.text, c.how)})
	}
	var found []span
	if p.played == nil {
		for _, i := range c.sections {
			if c.pass < 0 || p.order[c.pass].Section == i {
				found = append(found, span{from: p.sections[i].From, to: p.sections[i].To})
			}
		}
		return found, nil
	}
	for i, pl := range p.played { // as in order
		if slices.Contains(c.sections, pl.Of) && (c.pass < 0 || c.pass == i) {
			found = append(found, span{from: pl.From, to: pl.To})
		}
	}
	return found, nil
}

func timesText(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// chosen is what a place names.
type chosen struct {
	name     string
	sections []int
	pass     int // in the order, -1 where all are meant or there are too few
	times    int // that they are played, -1 where all are meant
	how      string
}

// choose finds the sections that w names, and the one time that it means.
func (p *places) choose(w where) chosen {
	c := chosen{name: w.name, pass: -1, times: -1}
	if w.whole != w.name {
		c.sections = form.Named(p.sections, w.whole)
	}
	if len(c.sections) > 0 {
		c.name, w.nth = w.whole, 0 // Second Theme, The Close
	} else {
		c.sections, c.how = form.Called(p.sections, w.name)
	}
	if words := strings.Fields(w.name); len(c.sections) == 0 && w.nth == 0 && len(words) == 2 {
		if n, err := strconv.Atoi(words[1]); err == nil && n > 0 {
			w.nth, c.name = n, words[0]
			c.sections, c.how = form.Called(p.sections, c.name)
		}
	}
	if numbered := p.numbered(c.sections, w.nth); len(numbered) > 0 {
		c.sections, w.nth = numbered, 0
	}
	for _, n := range []int{w.nth, w.time} {
		if n == 0 {
			continue
		}
		if c.pass >= 0 { // time 2 of the last chorus
			c.sections = []int{p.order[c.pass].Section}
		}
		times := form.Times(p.sections, p.order, c.sections)
		c.times, c.pass = len(times), -1
		if n < 0 {
			n = len(times)
		}
		if n == 0 || n > len(times) {
			break
		}
		c.pass = times[n-1]
	}
	return c
}

// numbered keeps the sections whose heading has a number.
func (p *places) numbered(sections []int, n int) (numbered []int) {
	for _, i := range sections {
		if form.Number(p.sections[i], n) {
			numbered = append(numbered, i)
		}
	}
	return numbered
}

// findMeasures is where the measures of w are, by their numbers as written: each
// time that they are played, which begins anew where the order goes back, or the
// one that w means. Such numbers as 37b are those of the score written out. times
// is how often they are played.
func (p *places) findMeasures(w where) (found []span, times int) {
	source := p.source
	ranges := rangesOf(p.written, w)
	switch {
	case len(ranges) > 1:
		p.told = append(p.told, voicing.Finding{Pass: Pass, Text: fmt.Sprintf("measures %q are there %s: all are meant", w.text, timesText(len(ranges)))})
	case len(ranges) == 0:
		ranges = rangesOf(p.numbers, w)
		source = make([]int, len(p.numbers))
		for i := range source {
			source[i] = i
		}
	}
	n := cmp.Or(w.nth, w.time)
	meant := make([]bool, len(source)+1)
	for _, r := range ranges {
		var passes [][]int
		last := -1
		for i, measure := range source {
			if measure < r[0] || r[1] < measure {
				continue
			}
			if last < 0 || measure <= last {
				passes = append(passes, nil)
			}
			passes[len(passes)-1], last = append(passes[len(passes)-1], i), measure
		}
		times = max(times, len(passes))
		for k, pass := range passes {
			for _, i := range pass {
				meant[i] = meant[i] || n == 0 || n == k+1 || n < 0 && k+1 == len(passes)
			}
		}
	}
	for i := 0; i < len(source); i++ {
		end := i
		for meant[end] {
			end++
		}
		if end > i {
			found = append(found, span{from: p.pickup(i), to: p.pickup(end)})
			i = end
		}
	}
	return found, times
}

// rangesOf are the first and the last measures of w, by index among numbers, which
// may begin again.
func rangesOf(numbers []string, w where) (ranges [][2]int) {
	for i := 0; i < len(numbers); i++ {
		if numbers[i] != w.first {
			continue
		}
		for end := i; end < len(numbers) && (end == i || numbers[end] != w.first); end++ {
			if numbers[end] == w.end {
				ranges = append(ranges, [2]int{i, end})
				i = end
				break
			}
		}
	}
	return ranges
}

func within(ranges [][2]int, i int) bool {
	return slices.ContainsFunc(ranges, func(r [2]int) bool { return r[0] <= i && i <= r[1] })
}

// pickup is where a measure begins, or the phrase that leads to it if a
// section begins there.
func (p *places) pickup(measure int) score.Time {
	at := p.starts[measure]
	begins := func(from score.Time) bool {
		return from.Less(at) && measure > 0 && p.starts[measure-1].Less(from)
	}
	if p.played == nil {
		for _, s := range p.sections {
			if begins(s.From) {
				return s.From
			}
		}
	}
	for _, s := range p.played {
		if begins(s.From) {
			return s.From
		}
	}
	return at
}

// names lists what sections are called.
func (p *places) names() string {
	var names []string
	for _, s := range p.sections {
		for _, name := range []string{s.Name, string(s.Kind)} {
			if name != "" && !slices.ContainsFunc(names, func(other string) bool { return strings.EqualFold(other, name) }) {
				names = append(names, name)
			}
		}
	}
	return strings.Join(names, ", ")
}

// barline is the first barline from t on.
func (p *places) barline(t score.Time) score.Time {
	i, _ := slices.BinarySearchFunc(p.starts, t, score.Time.Cmp)
	return p.starts[min(i, len(p.starts)-1)]
}
