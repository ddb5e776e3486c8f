package model

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// piece is music of notes {onset, length, pitch} in quarters, all on one
// staff.
func piece(notes ...[3]int) *Music {
	var all []Note
	for i, n := range notes {
		all = append(all, Note{Tone: i, On: n[0] * quarter, End: (n[0] + n[1]) * quarter, Pitch: n[2], Beat: n[0] % 4 * quarter})
	}
	return FromNotes(all)
}

func TestMoments(t *testing.T) {
	// C5 held over E4, then G4 under it.
	m := piece([3]int{0, 2, 72}, [3]int{0, 1, 64}, [3]int{1, 1, 67})
	got := m.moments()
	for i, want := range []moment{
		{soundsAbove: 1, gapAbove: 8, gapBelow: noHeight},
		{soundsBelow: 1, gapAbove: noHeight, gapBelow: 8},
		{soundsAbove: 1, gapAbove: 5, gapBelow: noHeight},
	} {
		o := moment{
			soundsAbove: got[i].soundsAbove, soundsBelow: got[i].soundsBelow,
			gapAbove: got[i].gapAbove, gapBelow: got[i].gapBelow,
		}
		if o != want {
			t.Errorf("note %d: %+v, want %+v", i, o, want)
		}
	}
}

func TestStreams(t *testing.T) {
	// Two lines, a ninth apart: each note's best link is in its own line.
	m := piece([3]int{0, 1, 60}, [3]int{0, 1, 74}, [3]int{1, 1, 59}, [3]int{1, 1, 76}, [3]int{2, 1, 60}, [3]int{2, 1, 77})
	lines, _ := m.streams(m.links())
	if diff := cmp.Diff([][]int{{0, 2, 4}, {1, 3, 5}}, lines); diff != "" {
		t.Errorf("streams (-want +got):\n%s", diff)
	}
}

func TestChain(t *testing.T) {
	m := piece([3]int{0, 1, 60}, [3]int{0, 1, 72}, [3]int{1, 1, 74}, [3]int{2, 1, 48}, [3]int{3, 1, 76})
	tests := []struct {
		name   string
		scores []int
		want   []int
	}{
		{"one note of a group", []int{1000, 2000, 2000, -500, 2000}, []int{1, 2, 4}},
		{"no note at all", []int{-1, -1, -1, -1, -1}, nil},
		{"a leap is worth less than it costs", []int{0, 2000, 2000, 800, 2000}, []int{1, 2, 4}},
		{"a leap is worth more", []int{0, 2000, 2000, 9000, 2000}, []int{1, 2, 3, 4}},
	}
	for _, test := range tests {
		if diff := cmp.Diff(test.want, m.Chain(test.scores)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", test.name, diff)
		}
	}
}

func TestLikelihood(t *testing.T) {
	for score, want := range map[int]int{0: 500, 1000: 833, -1000: 167, 1 << 30: 999, -1 << 30: 1} {
		if got := likelihood(score); got < want-1 || got > want+1 {
			t.Errorf("likelihood(%d) = %d, want %d", score, got, want)
		}
	}
}

// A forest scores as its trees say, one note or many.
func TestForestScores(t *testing.T) {
	f := Forest{
		Cuts:  [][]int16{{5, 40}, {-3}, nil},
		Trees: []Tree{{Column: [Depth]uint8{0, 1, 0, 0, 0, 0}, Cut: [Depth]uint8{0, 0, 1, 1, 1, 1}, Shift: 2}, {}},
	}
	for leaf := range f.Trees[0].Leaf {
		f.Trees[0].Leaf[leaf] = int8(leaf)
	}
	f.Trees[1].Leaf = [1 << Depth]int8{0: -7, 63: 9}
	var rows [][]int16
	var want []int
	for len(rows) < 3*blockNotes {
		rows = append(rows, []int16{5, -3, 0}, []int16{6, -3, 1}, []int16{5, -2, 2}, nil, []int16{30000, 30000, 3})
		want = append(want, 0-7, 4+9, 8-7, 11, 252+9)
	}
	before := make([]int, len(rows))
	for i := range before {
		before[i] = 11
	}
	if diff := cmp.Diff(want, f.Scores(rows, before)); diff != "" {
		t.Errorf("scores (-want +got):\n%s", diff)
	}
	if got := f.Scores(rows[1:2], before); got[0] != 13 {
		t.Errorf("one note scores %d, want 13", got[0])
	}
}

// binsOf counts as a search does.
func TestBinsOf(t *testing.T) {
	for _, far := range []int{1, 10, 100, 400} { // from cut to cut
		var cuts []int16
		for k := range MaxCuts {
			cuts = append(cuts, int16(far*k-200))
		}
		c := newColumnCuts(0, cuts, widest)
		for answer := -30000; answer <= 30000; answer += 7 {
			low, _ := slices.BinarySearch(cuts, int16(answer))
			rows := [][]int16{{int16(answer)}, nil, {30000}}
			if got, want := c.binsOf(rows, []int{0, 2}), uint64(low)+MaxCuts<<8; got != want {
				t.Fatalf("cuts %d apart: bins of %d and 30000 are %x, want %x", far, answer, got, want)
			}
		}
	}
}

func TestWeightsComeBack(t *testing.T) {
	want := &Forests{}
	want.Written[0] = Forest{
		Cuts:  [][]int16{{-300, 5}, nil},
		Trees: []Tree{{Column: [Depth]uint8{1, 2, 3, 4, 5, 6}, Cut: [Depth]uint8{1}, Shift: 3}},
	}
	want.Played[Looks-1].Trees = []Tree{{Leaf: [1 << Depth]int8{7, -8}}, {}}
	var file strings.Builder
	if err := WriteWeights(&file, want); err != nil {
		t.Fatal(err)
	}
	got, err := readWeights(file.String())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateEmpty()); diff != "" {
		t.Errorf("read back (-want +got):\n%s", diff)
	}
	for _, other := range []string{"something else", file.String() + "x", file.String()[:len(file.String())-1]} {
		if _, err := readWeights(other); err == nil {
			t.Errorf("%d bytes were read as weights", len(other))
		}
	}
}

// Nothing is asked twice, and a tree can number all columns.
func TestColumns(t *testing.T) {
	names := map[string]bool{}
	for _, c := range firstColumns {
		names[c.name] = true
	}
	for _, c := range nextColumns {
		names[c.name] = true
	}
	if all := len(firstColumns) + len(nextColumns); len(names) != all || all > 255 {
		t.Errorf("%d names for %d columns, of which a tree can number 255", len(names), all)
	}
}

// The file of weights must belong to these columns.
func TestWeightsFit(t *testing.T) {
	first, all := len(firstColumns), len(firstColumns)+len(nextColumns)
	f := forests()
	for _, looks := range [][Looks]Forest{f.Written, f.Played} {
		for k, forest := range looks {
			width := all
			if k == 0 {
				width = first
			}
			for _, tree := range forest.Trees {
				for _, c := range tree.Column {
					if int(c) >= width {
						t.Fatalf("a tree of look %d asks column %d of %d", k+1, c, width)
					}
				}
			}
		}
	}
}

// A line that is hardly likelier than the top one gives way to it, unless it is
// likely by itself.
func TestDoubtful(t *testing.T) {
	for _, test := range []struct {
		sure, top int
		want      bool
	}{{47, 40, true}, {47, 15, false}, {59, 40, true}, {60, 59, false}, {90, 88, false}} {
		if got := doubtful(test.sure, test.top); got != test.want {
			t.Errorf("a line sure to %d %% beside a top line of %d: %v, want %v", test.sure, test.top, got, test.want)
		}
	}
}
