package plan

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"undersong/voicing"
	"undersong/voicing/study"
)

// Write writes p as a file that [Read] reads, with what a study of the piece
// says as comments, so that it can be changed by hand.
func (p *Plan) Write(w io.Writer, s *study.Study) error {
	var b strings.Builder
	fmt.Fprintf(&b, "# A plan for %s, for tower %s.\n", oneLine(cmp.Or(s.Title, s.File)), oneLine(s.Tower))
	b.WriteString("#\n# What no section below says otherwise:\n")
	fmt.Fprintf(&b, "voicing: %s        # %s\n", cmp.Or(p.Voicing, voicing.Plain), planFields[0].allowed)
	transpose := fmt.Sprint(p.Transpose)
	if p.Transpose == voicing.TransposeAuto {
		transpose = "auto"
	}
	fmt.Fprintf(&b, "transpose: %s          # %s\n", transpose, planFields[1].allowed)
	fmt.Fprintf(&b, "difficulty: %d         # %s\n", cmp.Or(p.Difficulty, 3), planFields[2].allowed)
	if p.Figure != "" {
		fmt.Fprintf(&b, "figure: %s\n", p.Figure)
	}
	p.writeFindings(&b, s)
	b.WriteString("\n# Each section has a place, and most a voicing (inverted, tenor, covered, plain or\n# as-written). A place is\n")
	for _, line := range wrap(Where, 74) {
		fmt.Fprintf(&b, "#   %s\n", line)
	}
	b.WriteString("# Later sections win where they overlap. Optional:\n")
	for _, f := range itemFields[2:] {
		lines := wrap(f.allowed, 66)
		fmt.Fprintf(&b, "#   %-8s %s\n", f.name+":", lines[0])
		for _, line := range lines[1:] {
			fmt.Fprintf(&b, "#            %s\n", line)
		}
	}
	b.WriteString("sections:")
	if len(p.Items) == 0 {
		b.WriteString(" []")
	}
	b.WriteString("\n")
	for _, item := range p.Items {
		item.write(&b)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// writeFindings lists the sections that were found and what a study says of
// each.
func (p *Plan) writeFindings(b *strings.Builder, s *study.Study) {
	b.WriteString("\n# The sections that were found, and whether they would go inverted:\n")
	for _, sec := range s.Sections {
		fmt.Fprintf(b, "#   %s, measures %s-%s: %s\n", oneLine(sec.Name), sec.FirstMeasure, sec.LastMeasure, sec.InvertedText())
		for _, r := range sec.Verdict.Reasons {
			if r.Speaks != study.For {
				fmt.Fprintf(b, "#     %s: %s\n", r.Speaks, r.Text)
			}
		}
	}
}

func (i *Item) write(b *strings.Builder) {
	fmt.Fprintf(b, "  - where: %s\n", quoted(i.Where))
	if i.Voicing != "" {
		fmt.Fprintf(b, "    voicing: %s\n", i.Voicing)
	}
	if i.Manner.Octave != nil {
		fmt.Fprintf(b, "    octave: %d\n", *i.Manner.Octave)
	}
	if i.Manner.Notes > 0 {
		fmt.Fprintf(b, "    notes: %d\n", i.Manner.Notes)
	}
	if i.Manner.Softer > 0 {
		fmt.Fprintf(b, "    softer: %d\n", i.Manner.Softer)
	}
	if i.Manner.Alone {
		b.WriteString("    alone: yes\n")
	}
	if i.Manner.Figure != "" {
		fmt.Fprintf(b, "    figure: %s\n", i.Manner.Figure)
	}
}

// quoted is a value in the quotes of YAML, in which only quotes and
// backslashes are special.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", " ").Replace(s) + `"`
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// wrap breaks text into lines of so many letters at most.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len(line)+1+len(word) > width {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimSpace(line + " " + word)
	}
	return append(lines, line)
}
