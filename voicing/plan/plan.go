package plan

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"undersong/score"
	"undersong/voicing"
	"undersong/voicing/form"
	"undersong/voicing/lead"
	"undersong/voicing/study"
)

// Plan is how a piece is to be voiced.
type Plan struct {
	Voicing    voicing.Voicing `json:"voicing"`          // of what no item names; default: plain
	Transpose  int             `json:"transpose"`        // as in voicing.Options
	Difficulty int             `json:"difficulty"`       // as in voicing.Options
	Figure     lead.Figure     `json:"figure,omitempty"` // as in voicing.Options
	Items      []Item          `json:"sections"`         // later ones win where they overlap
}

// Item is how some sections are voiced.
type Item struct {
	Where   string          `json:"where"`             // places, as the constant Where says
	Voicing voicing.Voicing `json:"voicing,omitempty"` // default: the plan's
	Manner  voicing.Manner  `json:"manner,omitzero"`

	at string // file, line and field, for messages; "" of a command line
	// Optional is set where a score need not have the place.
	optional bool
}

// Add adds an item for a list of places such as "33-48,last chorus".
func (p *Plan) Add(v voicing.Voicing, where string) error {
	if _, err := parseWhere(where); err != nil {
		return err
	}
	p.Items = append(p.Items, Item{Where: where, Voicing: v})
	return nil
}

// Optional makes the items from an index on, which are for many scores, such that
// a score need not have their places: where it has not, that is told.
func (p *Plan) Optional(from int) {
	for i := range p.Items[from:] {
		p.Items[from+i].optional = true
	}
}

// Resolve finds what the plan names in a score: the score to voice, which is
// the analysed one or, where an item names a time of a repeat, that one written
// out, and the options to voice it with. Tower, and the melody that the analysis
// was told, are for the caller to set. An error names the item and what there is.
func (p *Plan) Resolve(a *study.Analysis) (*score.Score, voicing.Options, error) {
	o := voicing.Options{Voicing: cmp.Or(p.Voicing, voicing.Plain), Transpose: p.Transpose, Difficulty: p.Difficulty, Figure: p.Figure}
	places, s, err := p.places(a)
	if err != nil {
		return nil, o, err
	}
	var spans []span
	var errs []error
	for i, item := range p.Items {
		found, err := places.findAll(item)
		if err != nil && item.optional {
			places.told = append(places.told, voicing.Finding{Pass: passAbsent, Text: fmt.Sprintf("%v: nothing is voiced %s for it", err, cmp.Or(item.Voicing, o.Voicing))})
			continue
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("%s%w", item.at, err))
		}
		for _, f := range found {
			if item.Voicing == voicing.AsWritten { // whole measures
				f.from, f.to = places.barline(f.from), places.barline(f.to)
			}
			spans = append(spans, span{f.from, f.to, i})
		}
	}
	if len(errs) > 0 {
		return nil, o, errors.Join(errs...)
	}
	o.Sections, o.Told = p.flatten(p.withoutPickups(spans, places), o.Voicing), places.told
	if s == a.Score && len(a.Line.Tones) > 0 {
		o.Known = &voicing.Known{Line: a.Line, Harmony: a.Harmony}
	}
	return s, o, nil
}

// Pass is that of findings about what a plan comes to; passAbsent of those about
// what the score has not.
const (
	Pass       = "plan"
	passAbsent = "plan: absent"
)

// Absent tells whether a finding is of what a score has not.
func Absent(f voicing.Finding) bool { return f.Pass == passAbsent }

// span is where an item holds.
type span struct {
	from, to score.Time
	item     int
}

// withoutPickups are spans without the pickups that would lead to nothing but measures that a
// later item leaves as written.
func (p *Plan) withoutPickups(spans []span, at *places) []span {
	for i := range spans {
		s := &spans[i]
		barline := at.barline(s.from)
		left := func(l span) bool {
			return l.item > s.item && p.Items[l.item].Voicing == voicing.AsWritten && !barline.Less(l.from) && barline.Less(l.to)
		}
		if slices.ContainsFunc(spans, left) {
			s.from = barline
		}
	}
	return spans
}

// flatten turns spans that may overlap into sections that do not: the later
// item wins. What has no voicing of its own has the base.
func (p *Plan) flatten(spans []span, base voicing.Voicing) []voicing.Section {
	var bounds []score.Time
	for _, s := range spans {
		bounds = append(bounds, s.from, s.to)
	}
	slices.SortFunc(bounds, score.Time.Cmp)
	bounds = slices.Compact(bounds)
	var sections []voicing.Section
	before := -1
	for i := 0; i+1 < len(bounds); i++ {
		winner := -1
		for _, s := range spans {
			if !bounds[i].Less(s.from) && bounds[i].Less(s.to) {
				winner = max(winner, s.item)
			}
		}
		last := len(sections) - 1
		switch {
		case winner >= 0 && winner == before:
			sections[last].To = bounds[i+1]
		case winner >= 0:
			sections = append(sections, voicing.Section{
				From: bounds[i], To: bounds[i+1], Voicing: cmp.Or(p.Items[winner].Voicing, base), Manner: p.Items[winner].Manner,
			})
		}
		before = winner
	}
	return sections
}

// Auto is a plan that follows a study's verdicts and keeps variety (common
// practice, no source): plain first, inverted in the bridge and for the last
// chorus, or where there is none in the last section that goes without care, if any but
// the first does, and never the whole of a song that has sections. A piece of one section
// is inverted where that would go, its last time through only where it is
// repeated.
func Auto(s *study.Study) *Plan {
	p := &Plan{Voicing: voicing.Plain, Difficulty: 3, Items: []Item{}}
	sung := slices.DeleteFunc(slices.Clone(s.Sections), func(sec study.Section) bool { return sec.Verdict.Inverted == "" })
	if len(sung) == 0 {
		return p
	}
	last := lastThatGoes(sung)
	if c := s.LastChorus; c != nil {
		if i := slices.IndexFunc(sung, func(sec study.Section) bool { return sec.From == s.Sections[c.Section].From }); i >= 0 {
			last = i
		}
	}
	if b := lastOf(sung, form.Bridge); b > 0 && b < last {
		p.voice(sung, b, "")
	}
	again := ""
	if sung[last].Times > 1 {
		again = "last time of "
	}
	p.voice(sung, last, again)
	return p
}

// lastThatGoes is the last section, or else the last but the first whose verdict is yes and
// whose name no later one has.
func lastThatGoes(sections []study.Section) int {
	end := len(sections) - 1
	for i := end; i > 0; i-- {
		named := func(s study.Section) bool { return s.Name == sections[i].Name }
		if sections[i].Verdict.Inverted == study.Yes && !slices.ContainsFunc(sections[i+1:], named) {
			return i
		}
	}
	return end
}

// voice adds an item for a section where its verdict is not to leave it plain.
func (p *Plan) voice(sections []study.Section, i int, time string) {
	if v := voicingFor(sections[i]); v != voicing.Plain {
		if where := lastNamed(sections, i); where != "" {
			p.Items = append(p.Items, Item{Where: time + where, Voicing: v})
		}
	}
}

// lastNamed is the place of a section, the last of its name: by that name, which
// says most to a person, or by its measures where it would be read as another place, or
// a later section is called so too; "" where these have no numbers, or those of another one.
func lastNamed(sections []study.Section, i int) string {
	name := sections[i].Name
	read, ok := parsePlace(name)
	meant := meantBy(read, sections)
	switch {
	case !ok || read.time != 0 || digit(name) || strings.Contains(name, ",") || !slices.Contains(meant, i) || meant[len(meant)-1] > i:
		first, last := sections[i].FirstMeasure, sections[i].LastMeasure
		same := func(s study.Section) bool { return s.FirstMeasure == first }
		if first == "" || last == "" || slices.ContainsFunc(sections[:i], same) || slices.ContainsFunc(sections[i+1:], same) {
			return ""
		}
		return first + "-" + last
	case meant[0] < i:
		return "last " + name
	}
	return name
}

// meantBy are those of some sections, by index, that a place means.
func meantBy(w where, sections []study.Section) []int {
	var p places
	for _, s := range sections {
		p.sections = append(p.sections, form.Section{Name: s.Name, Kind: form.Kind(s.Kind), Letter: s.Letter})
	}
	return p.choose(w).sections
}

// voicingFor is what a verdict comes to: where the feet cannot, the left hand
// may.
func voicingFor(s study.Section) voicing.Voicing {
	switch {
	case s.Verdict.Inverted != study.LeavePlain:
		return voicing.Inverted
	case s.Verdict.Tenor:
		return voicing.Tenor
	}
	return voicing.Plain
}

// lastOf is the last section of a kind, by index; -1 of none.
func lastOf(sections []study.Section, kind form.Kind) int {
	for i := len(sections) - 1; i >= 0; i-- {
		if sections[i].Kind == string(kind) {
			return i
		}
	}
	return -1
}
