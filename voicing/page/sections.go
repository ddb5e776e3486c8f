package page

import (
	"fmt"
	"strconv"
	"strings"

	"undersong/score"
	"undersong/voicing/study"
)

// section is a stretch of the piece, in words and in pictures.
type section struct {
	ID       string
	Name     string
	Measures string
	Times    int
	Because  string
	Voiced   string // how; "" where it is not
	Verdict  string // "" without melody
	Without  string // what is said of it then
	Keys     string // where the melody would lie
	Reasons  []reason
	Tenor    string
	Findings int
	Cells    []cell
}

type reason struct{ Speaks, Text string }

// cell is one measure.
type cell struct {
	ID       string
	Index    int
	Number   string
	Width    string // of its column, in per cent
	Pickup   bool   // shorter than the others, it stands at the right end of its column
	Pictures []*drawn
	Found    []link
}

// drawn is a picture beside its ruler.
type drawn struct {
	picture
	Ruler *ruler
	Class string
}

// sections are those of a study, without pictures.
func sections(st *study.Study) []section {
	var all []section
	for i, s := range st.Sections {
		name := s.Name
		if s.Letter != "" && s.Letter != name && !strings.HasSuffix(name, " of "+s.Letter) {
			name += " (" + s.Letter + ")"
		}
		sec := section{
			ID: "s" + strconv.Itoa(i), Name: name, Measures: score.MeasureSpan(s.FirstMeasure, s.LastMeasure), Times: s.Times,
			Because: s.Because, Verdict: s.Verdict.Inverted, Without: s.InvertedText(), Keys: s.Verdict.Pedals, Tenor: s.Verdict.TenorText,
		}
		for _, r := range s.Verdict.Reasons {
			sec.Reasons = append(sec.Reasons, reason{r.Speaks, r.Text + r.Where()})
		}
		all = append(all, sec)
	}
	return all
}

// view is a music that is drawn in every cell.
type view struct {
	*music
	what, class string
	ruler       *ruler
	places      map[int][]score.Time // moments to mark, by measure
}

// cells draws measures from first to last, all views of a measure in one cell.
func cells(first, last int, column float64, views ...view) []cell {
	var all []cell
	for i := first; i <= last; i++ {
		m := views[0].music
		width := 100 * min(1, m.starts[i+1].Sub(m.starts[i]).Quarters()/column)
		c := cell{ID: measureID(i), Index: i, Number: m.numbers[i], Width: fmt.Sprintf("%.4g", max(width, 12)), Pickup: i == 0 && width < 90}
		for _, v := range views {
			c.Pictures = append(c.Pictures, &drawn{v.picture(i, v.what, v.places[i]), v.ruler, v.class})
		}
		all = append(all, c)
	}
	return all
}

func measureID(i int) string { return "m" + strconv.Itoa(i) }

// column is how many quarter notes a column of pictures is wide: as the longest
// measure that is not out of the ordinary.
func (m *music) column() float64 {
	lengths := make([]float64, 0, len(m.marks))
	for i := range m.marks {
		lengths = append(lengths, m.starts[i+1].Sub(m.starts[i]).Quarters())
	}
	usual, widest := median(lengths), 0.0
	for _, l := range lengths {
		if l <= 2*usual {
			widest = max(widest, l)
		}
	}
	return max(widest, 0.25)
}

// contents are links to sections.
func contents(all []section) []link {
	var links []link
	for _, s := range all {
		links = append(links, link{s.ID, s.Name + ", " + s.Measures})
	}
	return links
}

// list is words with commas, of many only the first ones.
func list(words []string, most int) string {
	if more := len(words) - most; more > 0 {
		return fmt.Sprintf("%s and %d more", strings.Join(words[:most], ", "), more)
	}
	return strings.Join(words, ", ")
}
