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

// WriteCSV writes the rows for people as comma-separated values (RFC 4180).
func (s *Summary) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	var record []string
	for _, cell := range (&Row{}).cells() {
		record = append(record, cell.name)
	}
	if err := c.Write(record); err != nil {
		return err
	}
	rows := s.ForPeople()
	for i := range rows {
		record = record[:0]
		for _, cell := range rows[i].cells() {
			record = append(record, cell.text())
		}
		if err := c.Write(record); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// cell is what a row has in a column of comma-separated values.
type cell struct {
	name  string // of the column
	value any
}

// text is the value; one that a spreadsheet would take for a formula has an apostrophe
// before it.
func (c cell) text() string {
	text := fmt.Sprint(c.value)
	if _, is := c.value.(string); is && strings.IndexAny(text, "=+-@\t\r\n") == 0 {
		return "'" + text
	}
	return text
}

// cells are those of a row, under the names that they have as JSON; the findings are one
// for each category.
func (r *Row) cells() []cell {
	margin := any("") // there is none
	if r.Margin != nil {
		margin = *r.Margin
	}
	cells := []cell{
		{"name", r.Name}, {"title", r.Title}, {"tower", r.Tower}, {"look", r.Look}, {"error", r.Error},
		{"yes", r.Verdicts.Yes}, {"withCare", r.Verdicts.WithCare}, {"leavePlain", r.Verdicts.LeavePlain}, {"against", r.Against},
		{"sure", r.Sure}, {"difficulty", r.Difficulty}, {"difficultyAsked", r.Asked}, {"margin", margin},
		{"measures", r.Measures}, {"strokes", r.Strokes}, {"blurredMeasures", r.Blurred},
		{"notes", r.Notes}, {"moved", r.Moved}, {"merged", r.Merged}, {"dropped", r.Dropped},
		{"melodyNotes", r.MelodyNotes}, {"melodyMoved", r.MelodyMoved}, {"betterKey", r.Key},
		{"seconds", r.Seconds}, {"out", r.Out}, {"page", r.Page}, {"report", r.ReportFile},
		{"absent", strings.Join(r.Absent, "; ")}, {"told", strings.Join(r.Told, "; ")}, {"notices", strings.Join(r.Notices, "; ")},
	}
	for _, category := range check.Categories() {
		cells = append(cells, cell{string(category), r.Findings[category]})
	}
	return cells
}
