package page

import (
	"undersong/instrument"
	"undersong/score"
)

// ruler is what stands beside pictures: the names of the Cs and, of a tower,
// its keys.
type ruler struct {
	ID     string
	Label  string
	High   int
	Names  []level  // of the Cs
	Lines  string   // across the pictures at every C
	Gaps   string   // across them where the tower has no bell
	Boards []*board // the manual and the pedals
}

// level is a name at a height.
type level struct {
	Name string
	Y    float64
}

// board is a keyboard on end, the lowest key at the bottom.
type board struct {
	Name               string
	X                  int
	White, Black, Gaps string
}

const boardWidth = 12

// ruler is that of a music; t is nil where no tower is shown.
func (m *music) ruler(id string, t *instrument.Tower) *ruler {
	r := &ruler{ID: id, High: m.height(), Label: "pitches from " + score.KeyName(m.low) + " to " + score.KeyName(m.high)}
	var lines, gaps path
	for key := m.low; key <= m.high; key++ {
		if key%12 == 0 {
			r.Names = append(r.Names, level{score.KeyName(key), m.y(key)})
			lines.across(0, 100, m.y(key))
		}
		if t != nil && !t.Manual.Has(key) {
			gaps.across(0, 100, m.y(key))
		}
	}
	r.Lines, r.Gaps = lines.String(), gaps.String()
	if t == nil {
		return r
	}
	r.Label = "the keys of tower " + t.Name + ": manual " + t.Manual.String()
	r.Boards = []*board{m.board("manual", 22, t.Manual)}
	if t.Pedals.Len() > 0 {
		r.Label += ", pedals " + t.Pedals.String()
		r.Boards = append(r.Boards, m.board("pedals", 22+boardWidth+4, t.Pedals))
	}
	return r
}

func (m *music) board(name string, x int, keys instrument.Compass) *board {
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
	return &board{name, x, white.String(), black.String(), gaps.String()}
}

func isBlack(key int) bool { return score.Spell(key).Alter != score.Natural }
