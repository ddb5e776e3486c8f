package study

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"undersong/score"
	"undersong/voicing/form"
	"undersong/voicing/melody"
)

// WriteText writes the study for a player: what the piece is, section by
// section whether it would go inverted and what speaks against it, the phrases
// of whose melody it is not sure, and where the phrases begin.
func (s *Study) WriteText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s, for tower %s\n", cmp.Or(s.Title, s.File, "score"), s.Tower)
	for _, notice := range s.Notices {
		fmt.Fprintf(&b, "notice: %s\n", notice)
	}
	writeList(&b, "key:", s.KeyTexts())
	fmt.Fprintf(&b, "tempo: %s\n", s.Tempo)
	s.writeMelody(&b)
	s.writeOrder(&b)
	if label, what := s.LastText(); what != "" {
		fmt.Fprintf(&b, "%s: %s\n", label, what)
	}
	b.WriteString("inverted?\n")
	s.writeSections(&b)
	if text := s.TransposeText(); text != "" {
		fmt.Fprintln(&b, text)
	}
	s.writeUnsure(&b)
	s.writePhrases(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

// String is such as "88 quarter notes a minute (the score)".
func (t Tempo) String() string {
	from := t.From
	if t.Usual > 0 {
		from += fmt.Sprintf(": at the usual %.0f not all of the melody can be struck in time", t.Usual)
	}
	return fmt.Sprintf("%.0f quarter notes a minute (%s)", t.PerMinute, from)
}

// LastText is LastChorus in words, and what it is called: where no section is a chorus,
// the last return. Where there is none both are empty.
func (s *Study) LastText() (label, what string) {
	c := s.LastChorus
	if c == nil {
		return "", ""
	}
	sec := &s.Sections[c.Section]
	label = "last return"
	if sec.Kind == string(form.Chorus) {
		label = "last chorus"
	}
	return label, fmt.Sprintf("%s (%s)", c.Span.title(c.Name, c.Nth, sec.Times), c.How)
}

// title is a name with its measures, and which time of several.
func (sp Span) title(name string, nth, times int) string {
	text := name + ", " + sp.measures()
	if times > 1 {
		text += fmt.Sprintf(", time %d of %d", nth, times)
	}
	return text
}

func (m Measures) measures() string {
	return score.MeasureSpan(m.FirstMeasure, m.LastMeasure)
}

func (s *Study) writeMelody(b *strings.Builder) {
	fmt.Fprintf(b, "melody: %s, %s in %s", s.MelodyFrom, score.Count(len(s.Melody), "note"), score.Count(len(s.Phrases), "phrase"))
	unsure := 0
	for _, p := range s.Phrases {
		if p.Sure < melody.SureEnough {
			unsure++
		}
	}
	switch {
	case len(s.Phrases) == 0:
	case unsure == 0:
		fmt.Fprintf(b, ", sure: %d %%", s.Sure)
	default:
		fmt.Fprintf(b, ", sure: %d %%, unsure in %s: see below", s.Sure, score.Count(unsure, "phrase"))
	}
	b.WriteString("\n")
	if len(s.Interludes) > 0 {
		fmt.Fprintf(b, "while it rests, other lines lead: %s\n", strings.Join(s.InterludeTexts(), "; "))
	}
}

// InterludeTexts are such as "24–31, 19 notes, sure: 90 %".
func (s *Study) InterludeTexts() (texts []string) {
	for _, i := range s.Interludes {
		texts = append(texts, fmt.Sprintf("%s, %s, sure: %d %%", i.measures(), score.Count(i.Notes, "note"), i.Sure))
	}
	return texts
}

// writeOrder lists what is played after what, where that is not as written.
func (s *Study) writeOrder(b *strings.Builder) {
	if !slices.ContainsFunc(s.Order, func(p Pass) bool { return p.Nth > 1 }) {
		return
	}
	names := make([]string, 0, len(s.Order))
	for _, p := range s.Order {
		names = append(names, p.text(&s.Sections[p.Section]))
	}
	fmt.Fprintf(b, "played: %s\n", inShort(names))
}

// text is the name of its section, with its measures where they are not all of them.
func (p *Pass) text(sec *Section) string {
	if len(p.Runs) > 0 {
		var runs []string
		for _, r := range p.Runs {
			runs = append(runs, r.measures())
		}
		return p.Name + " " + strings.Join(runs, ", ")
	}
	if p.LastMeasure != sec.LastMeasure || p.FirstMeasure != sec.FirstMeasure && sec.FirstMeasure != "0" {
		return p.Name + " " + p.measures()
	}
	return p.Name
}

// inShort is a row of names, all of it in brackets if it is one row several
// times.
func inShort(names []string) string {
	for n := 1; n <= len(names)/2; n++ {
		if len(names)%n == 0 && slices.Equal(names[n:], names[:len(names)-n]) {
			row := inRow(names[:n])
			if n > 1 {
				row = "(" + row + ")"
			}
			return fmt.Sprintf("%s ×%d", row, len(names)/n)
		}
	}
	return inRow(names)
}

// mostNames is how many names a row has at most.
const mostNames = 40

func inRow(names []string) string {
	if more := len(names) - mostNames; more > 0 {
		return fmt.Sprintf("%s · … and %d more", strings.Join(names[:mostNames], " · "), more)
	}
	return strings.Join(names, " · ")
}

// writeSections is a table; what asks for care or speaks against stands under
// each section.
func (s *Study) writeSections(b *strings.Builder) {
	titles := make([]string, len(s.Sections))
	width := 0
	for i := range s.Sections {
		titles[i] = s.Sections[i].title()
		width = max(width, len([]rune(titles[i])))
	}
	for i := range s.Sections {
		fmt.Fprintf(b, "  %s%s  ", titles[i], strings.Repeat(" ", width-len([]rune(titles[i]))))
		s.Sections[i].write(b, s.Tempo.PerMinute)
	}
}

// title is the section's name and measures.
func (s *Section) title() string {
	name := s.Name
	if s.Letter != "" && s.Letter != s.Name {
		name += " (" + s.Letter + ")"
	}
	if s.Kind != "" && s.Name == s.Letter {
		name += " (" + s.Kind + ")"
	}
	name += ", " + s.measures()
	if s.Times > 1 {
		name += fmt.Sprintf(" ×%d", s.Times)
	}
	return name
}

// otherTempo is by how much a section's tempo differs from the beginning's, in
// parts of it, before it is named.
const otherTempo = 0.03

// InvertedText is whether it would go inverted or, without melody, that another line leads
// or none.
func (s *Section) InvertedText() string {
	switch {
	case s.Verdict.Inverted != "":
		return s.Verdict.Inverted
	case s.Led:
		return "another line leads"
	}
	return "no melody"
}

func (s *Section) write(b *strings.Builder, tempo float64) {
	v := &s.Verdict
	if v.Inverted == "" {
		b.WriteString(s.InvertedText() + "\n")
		return
	}
	m := &s.Texture.Melody
	place := m.Range + " as written"
	if v.Inverted != LeavePlain {
		place = v.Pedals + " in the pedals"
	}
	if now := s.Texture.Tempo; math.Abs(now-tempo) > otherTempo*tempo {
		place += fmt.Sprintf("; %.0f quarter notes a minute", now)
	}
	fmt.Fprintf(b, "%-11s  %s; %.1f notes a second, at most %.1f%s\n", v.Inverted, place, m.PerSecond, m.Fastest, v.inShort())
	for _, r := range v.Reasons {
		if r.Speaks != For {
			fmt.Fprintf(b, "    %s: %s%s\n", r.Speaks, r.Text, r.Where())
		}
	}
	if v.Inverted != Yes {
		fmt.Fprintf(b, "    in the tenor: %s\n", v.TenorText)
	}
}

// inShort are the figures of what speaks for inversion.
func (v *Verdict) inShort() string {
	text := ""
	for _, r := range v.Reasons {
		if r.Speaks != For {
			continue
		}
		switch r.What {
		case "ring":
			text += fmt.Sprintf("; %.1f ring at once", r.Value)
		case "strength":
			if r.Value <= 0 {
				continue // it lies low already, or cannot go lower
			}
			text += fmt.Sprintf("; gains %.0f dB", r.Value)
		}
	}
	return text
}

// Where is the place in words, to follow a text; "" where it has none.
func (r *Reason) Where() string {
	switch {
	case r.Measure == "":
		return ""
	case r.Beat == "" || r.Beat == "1":
		return ", measure " + r.Measure
	}
	return ", measure " + r.Measure + ", beat " + r.Beat
}

func (s *Study) writeUnsure(b *strings.Builder) {
	for _, p := range s.Phrases {
		if p.Sure >= melody.SureEnough {
			continue
		}
		fmt.Fprintf(b, "unsure: %s, %d %%", score.Measures(p.measures()), p.Sure)
		if p.Rival != "" {
			fmt.Fprintf(b, "; it might be %s", p.Rival)
		}
		b.WriteString("; --melody sets it\n")
	}
	var missing []string
	for _, in := range s.Missing {
		missing = append(missing, in.measures())
	}
	if len(missing) > 0 {
		fmt.Fprintf(b, "no melody found in measures %s; if there is one, --melody sets it\n", strings.Join(missing, ", "))
	}
}

// textWidth is how many letters a line of many items has at most.
const textWidth = 100

// KeyTexts are the key of the piece, then where it is in others: "G major", "E
// minor 37–43".
func (s *Study) KeyTexts() []string {
	texts := []string{s.Key.Name}
	for _, k := range s.Keys {
		if k.Name != s.Key.Name {
			texts = append(texts, k.Name+" "+k.measures())
		}
	}
	return texts
}

// writePhrases lists where the phrases begin: the measure, and the beat where
// that is not the first.
func (s *Study) writePhrases(b *strings.Builder) {
	var starts []string
	for _, p := range s.Phrases {
		start := p.FirstMeasure
		if p.Beat != "1" {
			start += " beat " + p.Beat
		}
		starts = append(starts, start)
	}
	if len(starts) > 0 {
		writeList(b, "phrases from:", starts)
	}
}

// writeList writes items with commas, on as many lines as they need.
func writeList(b *strings.Builder, head string, items []string) {
	line := head
	for i, item := range items {
		if i < len(items)-1 {
			item += ","
		}
		if utf8.RuneCountInString(line)+1+utf8.RuneCountInString(item) > textWidth {
			fmt.Fprintln(b, line)
			line = " "
		}
		line += " " + item
	}
	fmt.Fprintln(b, line)
}

// way is "up 2 semitones".
func (x *Transpose) way() string {
	if x.Semitones < 0 {
		return "down " + score.Count(-x.Semitones, "semitone")
	}
	return "up " + score.Count(x.Semitones, "semitone")
}

// where is where the phrases lie that are counted.
func (x *Transpose) where() string {
	switch {
	case x.OctaveDown:
		return "in the pedals an octave down"
	case x.NotUp:
		return "in the pedals no higher than written"
	}
	return "in the pedals"
}

// TransposeText says what another key would gain, nothing where none would.
func (s *Study) TransposeText() string {
	x := s.Transpose
	if x == nil {
		return ""
	}
	text := fmt.Sprintf("inverted and transposed %s, ", x.way())
	if x.Phrases > x.Now {
		text += fmt.Sprintf("%d of %s would lie %s; now %d", x.Phrases, score.Count(len(s.Phrases), "phrase"), x.where(), x.Now)
	} else {
		text += "the melody would sit better"
	}
	switch {
	case x.Strokes >= x.StrokesNow:
	case x.Strokes == 0:
		text += fmt.Sprintf("; the feet would have time for every stroke; now they lack it for %d", x.StrokesNow)
	default:
		text += fmt.Sprintf("; the feet would lack time for %s; now for %d", score.Count(x.Strokes, "stroke"), x.StrokesNow)
	}
	return text
}
