package page

import (
	"iter"

	"undersong/instrument"
	"undersong/score"
)

// ruler is what stands beside pictures: the names of the Cs and, of a tower,
// its keys.
type ruler struct {
	ID     string
	Names  []level // of the Cs
	Lines  string  // across the pictures at every C
	Gaps   string  // across them where the tower has no bell
	Boards []board // the manual and the pedals
}

// level is a name at a height.
type level struct {
	Name string
	Y    float64
}

// board is a keyboard on end, the lowest key at the bottom.
type board struct{ White, Black, Gaps string }

const boardWidth = 12

// ruler is that of a music; t is nil where no tower is shown.
func (m *music) ruler(id string, t *instrument.Tower) *ruler {
	r := &ruler{ID: id, Lines: m.octaves(100)}
	for key := range m.allCs() {
		r.Names = append(r.Names, level{score.KeyName(key), m.y(key)})
	}
	if t == nil {
		return r
	}
	var gaps path
	for key := m.low; key <= m.high; key++ {
		if !t.Manual.Has(key) {
			gaps.across(0, 100, m.y(key))
		}
	}
	r.Gaps = gaps.String()
	r.Boards = []board{m.board(22, t.Manual)}
	if t.Pedals.Len() > 0 {
		r.Boards = append(r.Boards, m.board(22+boardWidth+4, t.Pedals))
	}
	return r
}

// allCs are the Cs of the picture, the lowest first.
func (m *music) allCs() iter.Seq[int] {
	return func(yield func(int) bool) {
		for key := (m.low + 11) / 12 * 12; key <= m.high && yield(key); key += 12 {
		}
	}
}

// octaves are lines at every C, so many units across.
func (m *music) octaves(across int) string {
	var lines path
	for key := range m.allCs() {
		lines.across(0, across, m.y(key))
	}
	return lines.String()
}

func (m *music) board(x int, keys instrument.Compass) board {
	var white, black, gaps path
	for key := keys.Low(); key <= keys.High(); key++ {
		y := m.y(key)
		switch {
		case !keys.Has(key):
			gaps.across(x, x+boardWidth, y)
		case isBlack(key):
			black.across(x, x+boardWidth/2, y)
		default:
			white.across(x, x+boardWidth, y)
		}
	}
	return board{white.String(), black.String(), gaps.String()}
}

func isBlack(key int) bool { return score.Spell(key).Alter != score.Natural }
