package compare

import (
	"fmt"
	"io"
	"strings"
)

// WriteText writes rows as a table with a line for each.
func WriteText(w io.Writer, what string, rows []Row) error {
	var b strings.Builder
	width := len(what)
	for _, r := range rows {
		width = max(width, len([]rune(r.Name)))
	}
	fmt.Fprintf(&b, "%-*s  difficulty  melody over the rest  blurred  unplayable  notes  moved, merged, dropped  melody elsewhere\n", width, what)
	for _, r := range rows {
		fmt.Fprintf(&b, "%s%s  ", r.Name, strings.Repeat(" ", width-len([]rune(r.Name))))
		if r.Error != "" {
			fmt.Fprintf(&b, "%s\n", r.Error)
			continue
		}
		fmt.Fprintf(&b, "%10d  %17.0f dB  %7d  %10d  %5d  %5d, %6d, %7d  %16d\n",
			r.Difficulty, r.Margin, r.Blurred, r.Unplayable, r.Notes, r.Moved, r.Merged, r.Dropped, r.MelodyMoved)
	}
	for _, r := range rows {
		if r.Key != 0 {
			fmt.Fprintf(&b, "%s: the melody would sit better with --transpose %d\n", r.Name, r.Key)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
