package compare

import (
	"fmt"
	"io"
	"text/tabwriter"

	"undersong/voicing/study"
)

// WriteText writes rows as a table with a line for each, and below it where
// another key would suit better.
func WriteText(w io.Writer, what string, rows []Row) error {
	verdicts := false
	for i := range rows {
		verdicts = verdicts || rows[i].Verdicts != study.Verdicts{}
	}
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	head := what
	if verdicts {
		head += "\tinverted?"
	}
	fmt.Fprintln(table, head+"\tdifficulty\tmelody over the rest\tblurred\tunplayable\tnotes\tmoved, merged, dropped\tmelody elsewhere")
	for i := range rows {
		r := &rows[i]
		fmt.Fprint(table, r.Name)
		if verdicts {
			fmt.Fprintf(table, "\t%v", r.Verdicts)
		}
		if r.Error != "" {
			fmt.Fprintf(table, "\t%s\n", r.Error)
			continue
		}
		fmt.Fprintf(table, "\t%d\t%s\t%d\t%d\t%d\t%d, %d, %d\t%d\n",
			r.Difficulty, r.MarginText(), r.Blurred, r.Unplayable, r.Notes, r.Moved, r.Merged, r.Dropped, r.MelodyMoved)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	for i := range rows {
		if r := &rows[i]; r.Key != 0 {
			if _, err := fmt.Fprintf(w, "%s: the melody would sit better with --transpose %d\n", r.Name, r.Key); err != nil {
				return err
			}
		}
	}
	return nil
}
