package model

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"
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

func TestTreeScore(t *testing.T) {
	tree := Tree{Column: [Depth]uint8{0, 1, 0, 0, 0, 0}, Threshold: [Depth]int16{5, -3, 100, 100, 100, 100}}
	for leaf := range tree.Leaf {
		tree.Leaf[leaf] = int16(leaf)
	}
	for _, test := range []struct {
		row  []int16
		want int
	}{{[]int16{5, -3}, 0}, {[]int16{6, -3}, 1}, {[]int16{5, -2}, 2}, {[]int16{30000, 30000}, 63}} {
		if got := tree.Score(test.row); got != test.want {
			t.Errorf("row %v falls into leaf %d, want %d", test.row, got, test.want)
		}
	}
}

func TestWeightsComeBack(t *testing.T) {
	want := &Forests{}
	want.Written[0] = Forest{{Column: [Depth]uint8{1, 2, 3, 4, 5, 6}, Threshold: [Depth]int16{-1, 300}}}
	want.Played[Looks-1] = Forest{{Leaf: [1 << Depth]int16{7, -8}}, {}}
	var file bytes.Buffer
	if err := WriteWeights(&file, want); err != nil {
		t.Fatal(err)
	}
	got, err := readWeights(&file)
	if err != nil {
		t.Fatal(err)
	}
	if got.Written[0][0] != want.Written[0][0] || got.Played[Looks-1][0] != want.Played[Looks-1][0] {
		t.Errorf("read %+v, wrote %+v", got, want)
	}
	if _, err := readWeights(bytes.NewReader([]byte("something else"))); err == nil {
		t.Error("another file was read as weights")
	}
}

// The file of weights must belong to these columns.
func TestWeightsFit(t *testing.T) {
	first, all := len(firstColumns), len(firstColumns)+len(nextColumns)
	if len(Names()) != all || all > 255 {
		t.Fatalf("%d names for %d columns, of which a tree can number 255", len(Names()), all)
	}
	f := forests()
	for _, looks := range [][Looks]Forest{f.Written, f.Played} {
		for k, forest := range looks {
			width := all
			if k == 0 {
				width = first
			}
			for _, tree := range forest {
				for _, c := range tree.Column {
					if int(c) >= width {
						t.Fatalf("a tree of look %d asks column %d of %d", k+1, c, width)
					}
				}
			}
		}
	}
}
