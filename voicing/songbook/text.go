package songbook

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"undersong/score"
	"undersong/voicing/check"
)

// WriteText writes the summary as a line and a table of what a person should look
// at, and the rest, with a line for each row.
func (s *Summary) WriteText(w io.Writer) error {
	if _, err := fmt.Fprintln(w, s); err != nil {
		return err
	}
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "score\tinverted?\tdifficulty\tleft out\tseconds\tlook at it for")
	several := s.towers()
	rows := s.ForPeople()
	for i := range rows {
		r := &rows[i]
		name := short(Shown(r.Name))
		if several {
			name += " on " + r.Tower
		}
		if r.Error != "" {
			fmt.Fprintf(table, "%s\t\t\t\t\t%s: %s\n", name, r.Look, r.Error)
			continue
		}
		fmt.Fprintf(table, "%s\t%v\t%d\t%d of %d\t%.2f\t%s\n", name, r.Verdicts, r.Difficulty, r.LeftOut(), r.Notes, r.Seconds, cmp.Or(r.Look, "nothing"))
	}
	return table.Flush()
}

// ForPeople are the rows where a score that failed alike for several towers is one,
// of "23, 47".
func (s *Summary) ForPeople() (rows []Row) {
	for _, r := range s.Rows {
		if n := len(rows); r.Error != "" && n > 0 && rows[n-1].Name == r.Name && rows[n-1].Error == r.Error {
			rows[n-1].Tower += ", " + r.Tower
		} else {
			rows = append(rows, r)
		}
	}
	return rows
}

// widest is how many letters of a name a table shows, the last ones.
const widest = 60

func short(name string) string {
	letters := []rune(name)
	if len(letters) <= widest {
		return name
	}
	return "…" + string(letters[len(letters)-widest+1:])
}

// String is the summary in a line.
func (s *Summary) String() string {
	text := fmt.Sprintf("%s: %d failed, %d to look at, %d with nothing to look for",
		score.Count(s.Scores, "score"), s.Failed, s.ToLook, s.Scores-s.Failed-s.ToLook)
	if len(s.Closed) > 0 {
		text += "; left out, folders that cannot be read: " + Shown(strings.Join(s.Closed, ", "))
	}
	return text
}

// Categories is such as "2 blur, 1 balance"; "none" without findings.
func (r *Row) Categories() string {
	var parts []string
	for _, c := range check.Categories() {
		if n := r.Findings[c]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, c))
		}
	}
	if len(parts) == 0 {
		return "none"
	}
	return strings.Join(parts, ", ")
}

// WriteCSV writes the rows for people as comma-separated values (RFC 4180), under the
// names that they have as JSON; the findings are a column for each category. A text that
// a spreadsheet would take for a formula has an apostrophe before it.
func (s *Summary) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	head := []string{"name", "title", "tower", "look", "error", "yes", "withCare", "leavePlain", "against", "sure", "difficulty", "difficultyAsked",
		"margin", "measures", "strokes", "blurredMeasures", "notes", "moved", "merged", "dropped", "melodyNotes", "melodyMoved", "betterKey",
		"seconds", "out", "page", "report", "absent", "told", "notices"}
	for _, category := range check.Categories() {
		head = append(head, string(category))
	}
	if err := c.Write(head); err != nil {
		return err
	}
	rows := s.ForPeople()
	for i := range rows {
		if err := c.Write(rows[i].cells()); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// marginCell is empty where there is no margin.
func (r *Row) marginCell() any {
	if r.Margin == nil {
		return ""
	}
	return *r.Margin
}

func (r *Row) cells() []string {
	var cells []string
	for _, v := range []any{r.Name, r.Title, r.Tower, r.Look, r.Error, r.Verdicts.Yes, r.Verdicts.WithCare, r.Verdicts.LeavePlain, r.Against, r.Sure,
		r.Difficulty, r.Asked, r.marginCell(), r.Measures, r.Strokes, r.Blurred, r.Notes, r.Moved, r.Merged, r.Dropped, r.MelodyNotes, r.MelodyMoved, r.Key,
		r.Seconds, r.Out, r.Page, r.ReportFile, strings.Join(r.Absent, "; "), strings.Join(r.Told, "; "), strings.Join(r.Notices, "; ")} {
		cell := fmt.Sprint(v)
		if _, text := v.(string); text && strings.IndexAny(cell, "=+-@\t\r\n") == 0 {
			cell = "'" + cell
		}
		cells = append(cells, cell)
	}
	for _, category := range check.Categories() {
		cells = append(cells, fmt.Sprint(r.Findings[category]))
	}
	return cells
}
