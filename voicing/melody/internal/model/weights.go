package model

import (
	"bytes"
	_ "embed"
	"encoding/binary"
	"fmt"
	"io"
	"sync"
)

//go:embed weights.bin
var weightsFile []byte

// header opens the file of weights: readable lines that say what it is, ended
// by an empty one.
const header = `trees of package melody, version 1; written by voicing/melody/fit, not by hand
fitted to songs of POP909 (MIT licence) and the OpenScore Lieder Corpus (CC0), quantised and labelled;
README.md of package melody tells which and how

`

// forests are those of the file.
var forests = sync.OnceValue(func() *Forests {
	f, err := readWeights(bytes.NewReader(weightsFile))
	if err != nil {
		panic("melody: " + err.Error()) // the file is part of the program
	}
	return f
})

// WriteWeights writes the forests: for each the number of its trees, then the
// trees, all numbers little endian.
func WriteWeights(w io.Writer, f *Forests) error {
	if _, err := io.WriteString(w, header); err != nil {
		return err
	}
	for _, forest := range append(f.Written[:], f.Played[:]...) {
		if err := binary.Write(w, binary.LittleEndian, uint32(len(forest))); err != nil {
			return err
		}
		if err := binary.Write(w, binary.LittleEndian, forest); err != nil {
			return err
		}
	}
	return nil
}

func readWeights(r io.Reader) (*Forests, error) {
	text := make([]byte, len(header))
	if _, err := io.ReadFull(r, text); err != nil || string(text) != header {
		return nil, fmt.Errorf("weights.bin is of another version: fit it anew")
	}
	f := &Forests{}
	for _, looks := range []*[Looks]Forest{&f.Written, &f.Played} {
		for k := range looks {
			var trees uint32
			if err := binary.Read(r, binary.LittleEndian, &trees); err != nil {
				return nil, err
			}
			looks[k] = make(Forest, trees)
			if err := binary.Read(r, binary.LittleEndian, looks[k]); err != nil {
				return nil, err
			}
		}
	}
	return f, nil
}
