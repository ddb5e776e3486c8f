package model

import (
	"fmt"
	"slices"
)

// The looks after the first ask about the scores of the look before: where,
// around a note and in the whole piece, the likely notes lie.

// askedNext is the note that their columns are asked about.
type askedNext struct {
	*likelihoods
	i               int
	note            *Note
	near, far, wide *mass // within two quarters, the window, and four times that
	all             *mass // of the piece
	rival           int   // the highest score struck with it, its own left out
}

// askGroup calls f for every note of g that is not hopeless.
func (l *likelihoods) askGroup(g Group, f func(a *askedNext)) {
	if l.scores[l.likely[l.group[g.First]]] < hopeless {
		return
	}
	on := l.Notes[g.First].On
	near, far, wide := l.around(on, 2*quarter), l.around(on, window), l.around(on, 4*window)
	for i := g.First; i < g.Last; i++ {
		if l.scores[i] < hopeless {
			continue
		}
		a := askedNext{
			likelihoods: l, i: i, note: &l.Notes[i], rival: -9999,
			near: &near, far: &far, wide: &wide, all: &l.total[len(l.p)],
		}
		for j := g.First; j < g.Last; j++ {
			if j != i {
				a.rival = max(a.rival, l.scores[j])
			}
		}
		f(&a)
	}
}

type nextColumn struct {
	name string
	ask  func(a *askedNext) int
}

// nextColumns are what the looks after the first see besides firstColumns.
var nextColumns = slices.Concat(likelyColumns, groupColumns(), kinColumns(), tuneColumns, nearKinColumns())

var likelyColumns = []nextColumn{
	{"score", func(a *askedNext) int { return a.scores[a.i] }},
	{"score over the best struck with it", func(a *askedNext) int { return a.scores[a.i] - a.rival }},
	{"likelihood of the next", func(a *askedNext) int { return a.likelihoodOf(a.links.next[a.i]) }},
	{"likelihood of the one before", func(a *askedNext) int { return a.likelihoodOf(a.links.prev[a.i]) }},
	{"likelihood of its stream", func(a *askedNext) int { return a.ofStream(len(a.p)) }},
	{"likelihood of its stream near", func(a *askedNext) int { return a.ofStream(4) }},

	{"height over likely notes near", func(a *askedNext) int { return a.over(a.near) }},
	{"height over likely notes around", func(a *askedNext) int { return a.over(a.far) }},
	{"height over likely notes far around", func(a *askedNext) int { return a.over(a.wide) }},
	{"height over likely notes", func(a *askedNext) int { return a.over(a.all) }},
	{"height over unlikely notes near", func(a *askedNext) int { return a.overUnlikely(a.near) }},
	{"height over unlikely notes around", func(a *askedNext) int { return a.overUnlikely(a.far) }},
	{"height over unlikely tops around", func(a *askedNext) int {
		return 10*a.note.Pitch - 10*a.far[restTopPitch]/max(1, a.far[restTop])
	}},

	{"likely on top around", func(a *askedNext) int { return mean(a.far[massTop], a.far[countTop]) }},
	{"likely at the bottom around", func(a *askedNext) int { return mean(a.far[massBottom], a.far[countBottom]) }},
	{"likely inside around", func(a *askedNext) int { return mean(a.far[massInner], a.far[countInner]) }},
	{"share on top around", func(a *askedNext) int { return a.far.of(massTop) }},
	{"share on top far around", func(a *askedNext) int { return a.wide.of(massTop) }},
	{"share on top", func(a *askedNext) int { return a.all.of(massTop) }},
	{"share at the bottom around", func(a *askedNext) int { return a.far.of(massBottom) }},
	{"share at the bottom far around", func(a *askedNext) int { return a.wide.of(massBottom) }},
	{"share at the bottom", func(a *askedNext) int { return a.all.of(massBottom) }},
	{"likeliest near", func(a *askedNext) int { return mean(a.near[massBest], a.near[countGroups]) }},
	{"likeliest around", func(a *askedNext) int { return mean(a.far[massBest], a.far[countGroups]) }},
	{"likeliest far around", func(a *askedNext) int { return mean(a.wide[massBest], a.wide[countGroups]) }},
	{"likeliest in the piece", func(a *askedNext) int { return mean(a.all[massBest], a.all[countGroups]) }},

	{"in the line", func(a *askedNext) int { return truth(a.inLine[a.i]) }},
	{"interval from the line", func(a *askedNext) int { return a.fromLine(a.before[a.i] - 1) }},
	{"time from the line", func(a *askedNext) int { return a.sinceLine(a.before[a.i] - 1) }},
	{"interval to the line", func(a *askedNext) int { return a.fromLine(a.firstAfter()) }},
	{"time to the line", func(a *askedNext) int { return a.untilLine(a.firstAfter()) }},
}

// groupColumns ask about the likeliest notes of the groups before and after.
func groupColumns() []nextColumn {
	var columns []nextColumn
	for _, away := range []int{-2, -1, 1, 2} {
		columns = append(columns,
			nextColumn{fmt.Sprintf("likelihood of group %+d", away), func(a *askedNext) int {
				return a.likelihoodOf(a.likeliest(away))
			}},
			nextColumn{fmt.Sprintf("interval to the likeliest of group %+d", away), func(a *askedNext) int {
				if i := a.likeliest(away); i != none {
					return a.Notes[i].Pitch - a.note.Pitch
				}
				return 2 * noHeight
			}})
	}
	return columns
}

func (a *askedNext) likelihoodOf(i int) int {
	if i == none {
		return -1
	}
	return a.p[i]
}

// ofStream is the mean likelihood of its stream up to reach notes away.
func (a *askedNext) ofStream(reach int) int {
	s, k := a.stream[a.of[a.i]], a.place[a.i]
	from, to := max(0, k-reach), min(len(s)-1, k+reach+1)
	return mean(s[to]-s[from], to-from)
}

// over is how many tenths of a semitone the note stands above the likely
// notes of m, its own likelihood left out.
func (a *askedNext) over(m *mass) int {
	p := a.p[a.i]
	return 10*a.note.Pitch - 10*(m[massPitch]-p*a.note.Pitch)/max(1, m[massAll]-p)
}

// overUnlikely is the same over the unlikely notes.
func (a *askedNext) overUnlikely(m *mass) int {
	p := 1000 - a.p[a.i]
	return 10*a.note.Pitch - 10*(m[restPitch]-p*a.note.Pitch)/max(1, m[restAll]-p)
}

// of is which share of all likelihood what has.
func (m *mass) of(what int) int { return mean(1000*m[what], m[massAll]) }

// likeliest is the likeliest note of a group some groups away.
func (a *askedNext) likeliest(away int) int {
	if g := a.group[a.i] + away; g >= 0 && g < len(a.likely) {
		return a.likely[g]
	}
	return none
}

// firstAfter is the place in the line of the first note struck after this one.
func (a *askedNext) firstAfter() int {
	k := a.before[a.i]
	for k < len(a.chain) && a.Notes[a.chain[k]].On == a.note.On {
		k++
	}
	return k
}

func (a *askedNext) fromLine(k int) int {
	if k < 0 || k >= len(a.chain) {
		return noHeight
	}
	return a.note.Pitch - a.Notes[a.chain[k]].Pitch
}

// noLine stands for the time to a note of the line that does not exist.
const noLine = 9999

func (a *askedNext) sinceLine(k int) int {
	if k < 0 {
		return noLine
	}
	return min(noLine, (a.note.On-a.Notes[a.chain[k]].End)/fine)
}

func (a *askedNext) untilLine(k int) int {
	if k >= len(a.chain) {
		return noLine
	}
	return min(noLine, (a.Notes[a.chain[k]].On-a.note.End)/fine)
}

// hopeless is the score of a note that later looks do not ask about: it stays
// as it is.
const hopeless = -4500

// rowsAtOnce is how many rows are allocated together.
const rowsAtOnce = 256

// nextRows puts the columns of a later look behind first, the rows of the
// first look. A hopeless note has no row.
func (v *View) nextRows(first [][]int16, scores []int) [][]int16 {
	l := v.likelihoods(scores)
	width := len(firstColumns) + len(nextColumns)
	rows := make([][]int16, len(first))
	inParts(len(v.Groups), func(from, to int) {
		var cells []int16 // of rows to come: many are allocated at once
		for _, g := range v.Groups[from:to] {
			l.askGroup(g, func(a *askedNext) {
				if len(cells) == 0 {
					cells = make([]int16, rowsAtOnce*width)
				}
				row := cells[:width:width]
				cells = cells[width:]
				copy(row, first[a.i])
				for k, c := range nextColumns {
					row[len(firstColumns)+k] = cell(c.ask(a))
				}
				rows[a.i] = row
			})
		}
	})
	return rows
}
