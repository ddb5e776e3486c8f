package page

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"undersong/score"
)

// Pictures are as high as their keys; across they are stretched to their place,
// which leaves lines and heads of notes as thick as they are.
const (
	keyHeight = 3   // pixels a semitone
	edge      = 6   // pixels above and below the keys
	quarter   = 240 // units of a picture across in a quarter note
)

// picture is one measure of one music.
type picture struct {
	Label         string // what is in it, in words
	Across, High  int
	Marks         marks
	Beats, Places string // lines: beats, findings
}

// Stretch makes what is a hundred units across as wide as the picture.
func (p picture) Stretch() float64 { return float64(p.Across) / 100 }

// marks are the notes of a picture as paths, by how they are drawn.
type marks struct {
	Tails, Heads         string // of the accompaniment
	TuneTails, TuneHeads string
	Feet                 string // under what the feet play
	Out, Missing         string // left out; without a key
}

// path gathers lines.
type path struct{ strings.Builder }

func (p *path) to(x int, y float64) { fmt.Fprintf(p, "M%d %s", x, number(y)) }

// dot is a line of next to no length: its ends are what is seen.
func (p *path) dot(x int, y float64) { p.to(x, y); p.WriteString("h.1") }

func (p *path) across(x, to int, y float64) { p.to(x, y); fmt.Fprintf(p, "H%d", to) }

func (p *path) down(x int, y, length float64) { p.to(x, y); p.WriteString("v" + number(length)) }

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// height is that of the picture of a music.
func (m *music) height() int { return (m.high-m.low)*keyHeight + 2*edge }

// y is how far down a key is drawn.
func (m *music) y(key int) float64 { return float64((m.high-key)*keyHeight + edge) }

// x is how far across in measure i a moment is drawn.
func (m *music) x(i int, t score.Time) int {
	x := t.Sub(m.starts[i]).Quarters() * quarter
	return int(math.Round(min(max(x, 0), float64(m.across(i)))))
}

// across is how wide measure i is drawn.
func (m *music) across(i int) int {
	return max(1, int(math.Round(m.starts[i+1].Sub(m.starts[i]).Quarters()*quarter)))
}

// picture draws measure i; places are moments to be marked.
func (m *music) picture(i int, what string, places []score.Time) picture {
	var beats, marked path
	at := m.starts[i]
	for _, b := range m.beats[i] {
		at = at.Add(b)
		if at.Less(m.starts[i+1]) {
			beats.down(m.x(i, at), 0, float64(m.height()))
		}
	}
	for _, p := range slices.Compact(places) {
		marked.down(m.x(i, p), 0, float64(m.height()))
	}
	return picture{
		Label: what + ", measure " + m.numbers[i] + ": " + words(m.marks[i], i), Across: m.across(i), High: m.height(),
		Marks: m.draw(i), Beats: beats.String(), Places: marked.String(),
	}
}

// draw draws the notes of measure i.
func (m *music) draw(i int) marks {
	var tails, heads, tuneTails, tuneHeads, feet, out, missing path
	for _, k := range m.marks[i] {
		x, to, y := m.x(i, k.from), m.x(i, k.to), m.y(k.key)
		tail, head := &tails, &heads
		switch {
		case k.leftOut:
			head = &out
		case k.tune:
			tail, head = &tuneTails, &tuneHeads
		}
		if to > x && !k.leftOut {
			tail.across(x, to, y)
		}
		if k.measure != i {
			continue
		}
		head.dot(x, y)
		if k.foot {
			feet.down(x, y, 9)
		}
		if k.missing {
			missing.down(x, y-7, 14)
		}
	}
	return marks{
		tails.String(), heads.String(), tuneTails.String(), tuneHeads.String(), feet.String(), out.String(), missing.String(),
	}
}

// words tells what is struck in measure i.
func words(all []mark, i int) string {
	var tune []string
	rest, out := 0, 0
	for _, k := range all {
		switch {
		case k.measure != i:
		case k.leftOut:
			out++
		case k.tune:
			tune = append(tune, k.name)
		default:
			rest++
		}
	}
	var told []string
	if len(tune) > 0 {
		told = append(told, "melody "+strings.Join(tune, " "))
	}
	if rest > 0 {
		told = append(told, score.Count(rest, "other note"))
	}
	if out > 0 {
		told = append(told, fmt.Sprintf("%d left out later", out))
	}
	if len(told) == 0 {
		return "nothing is struck"
	}
	return strings.Join(told, ", ")
}
