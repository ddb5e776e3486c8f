package model

import (
	_ "embed"
	"encoding/binary"
	"errors"
	"io"
	"strings"
	"sync"
)

//go:embed weights.bin
var weightsFile string

// header opens the file of weights: readable lines that say what it is, ended
// by an empty one.
const header = `trees of package melody, version 3; written by voicing/melody/fit, not by hand
fitted to songs of POP909 (MIT licence) and the OpenScore Lieder Corpus (CC0), quantised and labelled;
README.md of package melody tells which and how

`

// forests are those of the file.
var forests = sync.OnceValue(func() *Forests {
	f, err := readWeights(weightsFile)
	if err != nil {
		panic("melody: " + err.Error()) // the file is part of the program
	}
	return f
})

// all are the forests in the order of the file.
func (f *Forests) all() []*Forest {
	var all []*Forest
	for _, looks := range []*[Looks]Forest{&f.Written, &f.Played} {
		for k := range looks {
			all = append(all, &looks[k])
		}
	}
	return all
}

// WriteWeights writes the forests. For each: the number of columns in a byte,
// for each column the number of its cuts in a byte and the cuts in two bytes
// each; the number of trees in two bytes, for each tree the six columns, the
// six cuts, the shift and the 64 leaves, a byte each. Numbers of two bytes have
// the lower one first.
func WriteWeights(w io.Writer, f *Forests) error {
	file := []byte(header)
	for _, forest := range f.all() {
		file = append(file, byte(len(forest.Cuts)))
		for _, cuts := range forest.Cuts {
			file = append(file, byte(len(cuts)))
			for _, c := range cuts {
				file = binary.LittleEndian.AppendUint16(file, uint16(c))
			}
		}
		file = binary.LittleEndian.AppendUint16(file, uint16(len(forest.Trees)))
		for _, t := range forest.Trees {
			file = append(append(append(file, t.Column[:]...), t.Cut[:]...), t.Shift)
			for _, l := range t.Leaf {
				file = append(file, byte(l))
			}
		}
	}
	_, err := w.Write(file)
	return err
}

var errWeights = errors.New("weights.bin is of another version or damaged: fit it anew")

func readWeights(file string) (f *Forests, err error) {
	rest, ok := strings.CutPrefix(file, header)
	if !ok {
		return nil, errWeights
	}
	r := weightsReader{rest: rest}
	f = &Forests{}
	for _, forest := range f.all() {
		r.forest(forest)
	}
	if r.short || r.rest != "" {
		return nil, errWeights
	}
	return f, nil
}

// weightsReader takes numbers from the front of a text; zeros once it is too
// short.
type weightsReader struct {
	rest  string
	short bool
}

func (r *weightsReader) byte() byte {
	if r.rest == "" {
		r.short = true
		return 0
	}
	b := r.rest[0]
	r.rest = r.rest[1:]
	return b
}

func (r *weightsReader) uint16() uint16 { return uint16(r.byte()) | uint16(r.byte())<<8 }

func (r *weightsReader) forest(f *Forest) {
	f.Cuts = make([][]int16, r.byte())
	for c := range f.Cuts {
		f.Cuts[c] = make([]int16, r.byte())
		for k := range f.Cuts[c] {
			f.Cuts[c][k] = int16(r.uint16())
		}
	}
	f.Trees = make([]Tree, r.uint16())
	for t := range f.Trees {
		r.tree(&f.Trees[t])
	}
}

func (r *weightsReader) tree(t *Tree) {
	for d := range t.Column {
		t.Column[d] = r.byte()
	}
	for d := range t.Cut {
		t.Cut[d] = r.byte()
	}
	t.Shift = r.byte()
	for l := range t.Leaf {
		t.Leaf[l] = int8(r.byte())
	}
}
