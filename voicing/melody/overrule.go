package melody

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"undersong/score"
)

// Overrule says where the melody is, against what would be found.
type Overrule struct {
	Part  string // name, in capitals or not, or ID; "" for any
	Staff int    // counted from 1 in the part; 0 for any
	Voice int    // 0 for any
	None  bool   // there is none in the measures, which are given, and nothing else is
	// First and Last are the printed numbers of the measures it holds for,
	// both included; "" from the start or to the end.
	First, Last string
}

// ParseOverrule reads a comma-separated list of part=NAME, staff=N, voice=N
// and measures=FIRST-LAST, such as "staff=1,voice=2", "part=Voice,measures=9-16" or
// "none,measures=1-4".
func ParseOverrule(text string) (Overrule, error) {
	var o Overrule
	given := map[string]bool{}
	last := ""
	for _, item := range strings.Split(text, ",") {
		key, value, isPair := strings.Cut(strings.TrimSpace(item), "=")
		if !isPair && key != "none" && last == "part" { // a name with a comma
			o.Part += "," + item
			continue
		}
		err := o.set(key, strings.TrimSpace(value))
		if err == nil && given[key] {
			err = fmt.Errorf("%s is there twice: give the melody once for each", key)
		}
		if err != nil {
			return Overrule{}, fmt.Errorf("melody %q: %w", text, err)
		}
		given[key], last = true, key
	}
	switch named := o.Part != "" || o.Staff > 0 || o.Voice > 0; {
	case o.None && (named || o.First+o.Last == ""):
		return Overrule{}, fmt.Errorf("melody %q: none goes with measures, such as none,measures=1-4", text)
	case !o.None && !named:
		return Overrule{}, fmt.Errorf("melody %q names no part, staff or voice: give one, such as staff=1, or none", text)
	}
	return o, nil
}

func (o *Overrule) set(key, value string) (err error) {
	switch {
	case key == "none" && value == "":
		o.None = true
		return nil
	case key == "none":
		return errors.New("none has no value: write none,measures=1-4")
	case value == "":
		return fmt.Errorf("%q has no value: write key=value", key)
	}
	switch key {
	case "part":
		o.Part = value
	case "staff":
		o.Staff, err = positive(key, value)
	case "voice":
		o.Voice, err = positive(key, value)
	case "measures":
		var ranged bool
		if o.First, o.Last, ranged = strings.Cut(value, "-"); !ranged {
			o.Last = o.First
		}
	default:
		return fmt.Errorf("unknown key %q: known are part, staff, voice, measures, none", key)
	}
	return err
}

func positive(key, value string) (int, error) {
	n, err := strconv.Atoi(value)
	if err != nil || n < 1 {
		return 0, fmt.Errorf("%s %q is not a number from 1 up", key, value)
	}
	return n, nil
}

// String is o as ParseOverrule reads it.
func (o Overrule) String() string {
	var items []string
	if o.None {
		items = append(items, "none")
	}
	if o.Part != "" {
		items = append(items, "part="+o.Part)
	}
	if o.Staff > 0 {
		items = append(items, fmt.Sprintf("staff=%d", o.Staff))
	}
	if o.Voice > 0 {
		items = append(items, fmt.Sprintf("voice=%d", o.Voice))
	}
	if span := o.span(); span != "" {
		items = append(items, "measures="+span)
	}
	return strings.Join(items, ",")
}

// span is the measures as ParseOverrule reads them, "" of all.
func (o *Overrule) span() string {
	if o.First == o.Last {
		return o.First
	}
	return o.First + "-" + o.Last
}

// accepts tells whether t is in the part, staff and voice that o names.
func (o *Overrule) accepts(s *score.Score, t *score.Tone) bool {
	p, n := s.Parts[t.Part], t.First()
	return !o.None && (o.Part == "" || strings.EqualFold(o.Part, partName(p)) || o.Part == p.ID) &&
		(o.Staff == 0 || o.Staff == n.Staff) && (o.Voice == 0 || o.Voice == n.Voice)
}

// measures are the indexes, first and one past the last, of the measures that
// o holds for; equal ones when the score has none of that number.
func (o *Overrule) measures(s *score.Score) (from, to int) {
	to = s.MeasureCount()
	if o.First != "" {
		from = measureIndex(s, o.First, false)
	}
	if o.Last != "" {
		to = measureIndex(s, o.Last, true) + 1
	}
	return from, to
}

// measureIndex is the index of the first, or last, measure that is printed
// with this number; past the end, or -1, without one.
func measureIndex(s *score.Score, number string, last bool) int {
	found := -1
	for _, p := range s.Parts {
		for i, m := range p.Measures {
			if m.Number != number {
				continue
			}
			if !last {
				return i
			}
			found = max(found, i)
		}
	}
	if found < 0 && !last {
		return s.MeasureCount()
	}
	return found
}

// overrule puts, in the measures each of rules holds for, the top line of what
// it names in place of the found line.
func overrule(s *score.Score, tones []score.Tone, line Line, rules []Overrule) Line {
	before := line
	line.Told = slices.Clone(line.Told)
	for i := range rules {
		o := &rules[i]
		from, to := o.measures(s)
		for m := from; m < to; m++ {
			line.Told[m] = true
		}
		within := func(t *score.Tone) bool { m := t.Pieces[0].Measure; return from <= m && m < to }
		named := topLine(tones, func(t *score.Tone) bool { return plays(t) && within(t) && o.accepts(s, t) })
		line.Tones = replace(tones, line.Tones, named, within)
		if o.None {
			line.From += ", but none in measures " + o.span()
		} else {
			line.From += ", overruled by " + o.String()
		}
	}
	line.Phrases = kept(tones, line, phrases(s, tones, line.Tones), before)
	return line
}

// toldNone tells for every measure whether the last of rules that holds for it says that
// there is no melody.
func toldNone(s *score.Score, rules []Overrule) []bool {
	none := make([]bool, s.MeasureCount())
	for i := range rules {
		from, to := rules[i].measures(s)
		for m := from; m < to; m++ {
			none[m] = rules[i].None
		}
	}
	return none
}

// kept is parts with what is known of those that were phrases of the line
// before, unless the user has told all of them: that is sure.
func kept(tones []score.Tone, line Line, parts []Phrase, before Line) []Phrase {
	type ends struct{ first, last int } // tones
	of := func(l Line, p Phrase) ends { return ends{l.Tones[p.First], l.Tones[p.Last-1]} }
	known, sure := map[ends]Phrase{}, map[int]int{}
	for _, p := range before.Phrases {
		known[of(before, p)] = p
		for _, t := range before.Tones[p.First:p.Last] {
			sure[t] = p.Sure
		}
	}
	untold := func(i int) bool { return !line.Told[tones[i].Pieces[0].Measure] }
	for i, p := range parts {
		sum := 0
		notes := line.Tones[p.First:p.Last]
		for _, t := range notes {
			if untold(t) {
				sum += sure[t]
			} else {
				sum += 100
			}
		}
		parts[i].Sure = sum / len(notes)
		if k, ok := known[of(line, p)]; ok && k.Last-k.First == len(notes) && parts[i].Sure < SureEnough {
			parts[i].Rival, parts[i].RivalFrom = k.Rival, k.RivalFrom
		}
	}
	return parts
}

// replace puts named in place of the notes of line that within accepts.
func replace(tones []score.Tone, line, named []int, within func(*score.Tone) bool) []int {
	var out []int
	for _, i := range line {
		if !within(&tones[i]) {
			out = append(out, i)
		}
	}
	out = append(out, named...)
	slices.Sort(out)
	return out
}

// Check tells whether o names any notes of s at all, or any measures; the error lists the
// parts there are.
func (o Overrule) Check(s *score.Score, tones []score.Tone) error {
	from, to := o.measures(s)
	if o.None {
		if from >= to {
			return fmt.Errorf("melody %q: no such measures in this score", o)
		}
		return nil
	}
	for i := range tones {
		t := &tones[i]
		if m := t.Pieces[0].Measure; plays(t) && from <= m && m < to && o.accepts(s, t) {
			return nil
		}
	}
	var parts []string
	for _, p := range s.Parts {
		parts = append(parts, fmt.Sprintf("%s (staves: %d)", partName(p), p.Staves))
	}
	return fmt.Errorf("melody %q: no such notes in this score; its parts are %s", o, strings.Join(parts, ", "))
}
