package study

import (
	"cmp"
	"fmt"
	"io"
	"strings"
)

// WriteText writes the study for a player: what the piece is, section by
// section what would go inverted and what speaks against it, and the phrases
// of whose melody it is not sure.
func (s *Study) WriteText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s, %.0f quarter notes a minute (%s), for tower %s\n",
		cmp.Or(s.Title, s.File, "score"), s.Key.Name, s.Tempo.PerMinute, s.Tempo.From, s.Tower)
	fmt.Fprintf(&b, "melody: %s, %s in %s\n", s.MelodyFrom, count(len(s.Melody), "note"), count(len(s.Phrases), "phrase"))
	width := 0
	for _, sec := range s.Sections {
		width = max(width, len([]rune(sec.title())))
	}
	for _, sec := range s.Sections {
		sec.write(&b, width)
	}
	s.writeUnsure(&b)
	_, err := io.WriteString(w, b.String())
	return err
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// title is the section's name and measures.
func (s *Section) title() string {
	measures := s.FirstMeasure
	if s.LastMeasure != s.FirstMeasure {
		measures += "–" + s.LastMeasure
	}
	name := s.Name
	if s.Letter != "" && s.Letter != s.Name {
		name += " (" + s.Letter + ")"
	}
	return fmt.Sprintf("%s, %s", name, measures)
}

func (s *Section) write(b *strings.Builder, width int) {
	title := s.title()
	fmt.Fprintf(b, "  %s%s  ", title, strings.Repeat(" ", width-len([]rune(title))))
	if s.Verdict.Inverted == "" {
		b.WriteString("no melody\n")
		return
	}
	m := s.Texture.Melody
	fmt.Fprintf(b, "inverted: %s; melody %s, %.1f notes a second, %.0f in the fastest\n",
		s.Verdict.Inverted, m.Range, m.PerSecond, m.Fastest)
	for _, r := range s.Verdict.Reasons {
		if r.Speaks == "for" {
			continue
		}
		at := ""
		if r.Measure != "" {
			at = " (measure " + r.Measure + ")"
		}
		fmt.Fprintf(b, "    %s: %s%s\n", r.Speaks, r.Text, at)
	}
	if s.Verdict.Inverted != "yes" && s.Verdict.Tenor {
		b.WriteString("    the left hand could play it in the tenor\n")
	}
}

// sureEnough is the sureness, in per cent, from which a phrase is not doubted.
const sureEnough = 75

func (s *Study) writeUnsure(b *strings.Builder) {
	for _, p := range s.Phrases {
		if p.Sure >= sureEnough {
			continue
		}
		fmt.Fprintf(b, "unsure: measures %s–%s, %d %%", p.FirstMeasure, p.LastMeasure, p.Sure)
		if p.Rival != "" {
			fmt.Fprintf(b, "; it might be %s", p.Rival)
		}
		b.WriteString("; --melody sets it\n")
	}
}
