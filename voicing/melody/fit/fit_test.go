package main

import (
	"archive/tar"
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/voicing/melody/internal/model"
)

const truthFile = `{"id": "7", "set": "pop", "measures": [["0", "4"], ["4", "4"]], "notes": [
 {"onset": "0", "duration": "4", "pitch": 48, "label": "accompaniment", "staff": 2, "voice": 5},
 {"onset": "1/2", "duration": "1", "pitch": 67, "label": "melody", "staff": 1, "voice": 1},
 {"onset": "4", "duration": "2", "pitch": 60, "label": "bridge", "staff": 1, "voice": 1}]}`

func archive(t *testing.T, name, content string) *bytes.Buffer {
	t.Helper()
	var file bytes.Buffer
	w := tar.NewWriter(&file)
	if err := w.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: int64(len(content))}); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write([]byte(content)); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return &file
}

func TestReadArchive(t *testing.T) {
	songs, err := readArchive(archive(t, "pop/7.truth.json", truthFile))
	if err != nil || len(songs) != 1 {
		t.Fatalf("%d songs, error %v", len(songs), err)
	}
	s := songs[0]
	if diff := cmp.Diff([]bool{false, true, false}, s.melody); diff != "" {
		t.Errorf("melody (-want +got):\n%s", diff)
	}
	if n := s.music.Notes[2]; n.Measure != 1 || n.Beat != 0 || n.Length() != 2*model.Quarter {
		t.Errorf("third note: %+v", n)
	}
	if _, err := readArchive(archive(t, "pop/8.truth.json", "{")); err == nil {
		t.Error("half a file was read")
	}
}

func TestJudge(t *testing.T) {
	songs, err := readArchive(archive(t, "pop/7.truth.json", truthFile))
	if err != nil {
		t.Fatal(err)
	}
	// The third note's measure has no melody.
	want := result{all: counts{right: 1, wrong: 1}, active: counts{right: 1}}
	if got := judge(songs[0], []int{1, 2}); got != want {
		t.Errorf("judged %+v, want %+v", got, want)
	}
	if f := want.all.f1(); f < .66 || f > .67 {
		t.Errorf("F1 %v, want 2/3", f)
	}
}

// The scorer of the archive counts as judge does.
func TestJudgeAsTheScorer(t *testing.T) {
	scorer := "../../../../shared/tools/melody_score.py"
	if _, err := os.Stat(scorer); err != nil {
		t.Skip("no scorer to compare with: ", err)
	}
	songs, err := readArchive(archive(t, "pop/7.truth.json", truthFile))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write := func(name, text string) string {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	got := judge(songs[0], []int{0, 1, 2})
	out, err := exec.Command("python3", scorer, "--json", write("7.truth.json", truthFile), write("7.json",
		`[{"onset": 0, "pitch": 48}, {"onset": "1/2", "pitch": 67}, {"onset": 4, "pitch": 60}]`)).Output()
	if err != nil {
		t.Skip("python3 does not run the scorer: ", err)
	}
	var scored map[string]struct{ All, Active [2][3]float64 }
	if err := json.Unmarshal(out, &scored); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		got  counts
		want [3]float64
	}{{"all", got.all, scored["pop"].All[0]}, {"with melody", got.active, scored["pop"].Active[0]}} {
		if have := [3]float64{c.got.precision(), c.got.recall(), c.got.f1()}; have != c.want {
			t.Errorf("%s: precision, recall and F1 %v, the scorer has %v", c.name, have, c.want)
		}
	}
}

// A phrase counts among those as sure as it is.
func TestReliability(t *testing.T) {
	songs, err := readArchive(archive(t, "pop/7.truth.json", truthFile))
	if err != nil {
		t.Fatal(err)
	}
	var r reliability
	r.add(songs[0], []int{-9000, 9000, 0}, []int{1, 2})
	if b := r[7]; b.notes != 2 || b.sure != 150 || b.right != 1 {
		t.Errorf("%+v", r)
	}
}

// A forest learns what one question cannot tell, and the same again.
func TestGrow(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	var rows [][]int16
	var is []bool
	var weights []float64
	for range 2000 {
		row := []int16{int16(random.IntN(100)), int16(random.IntN(100))}
		rows, is, weights = append(rows, row), append(is, (row[0] > 50) != (row[1] > 50)), append(weights, 1)
	}
	how := growth{trees: 20, rate: .3, rows: .5, columns: 1, ridge: 1, seed: 1}
	forest := grow(newTable(rows, is, weights), how)
	wrong := 0
	for i, score := range forest.Scores(rows, nil) {
		if score > 0 != is[i] {
			wrong++
		}
	}
	if wrong > 60 {
		t.Errorf("%d of %d rows wrong", wrong, len(rows))
	}
	if again := grow(newTable(rows, is, weights), how); !cmp.Equal(forest, again) {
		t.Error("a second fit to the same rows differs")
	}
}

// Every variant of a song keeps a melody, and only where it may be.
func TestVariants(t *testing.T) {
	s := &song{set: "pop", id: "1"}
	var notes []labelled
	for m := range 16 {
		s.measures = append(s.measures, m*4*model.Quarter)
		for beat := range 4 {
			on := (4*m + beat) * model.Quarter
			notes = append(notes, labelled{model.Note{On: on, End: on + model.Quarter, Pitch: 72 + (m+beat)%5}, true})
		}
		on := 4 * m * model.Quarter
		for _, p := range []int{48, 52, 55} {
			notes = append(notes, labelled{model.Note{On: on, End: on + 4*model.Quarter, Pitch: p}, false})
		}
	}
	s.measures = append(s.measures, 64*model.Quarter)
	s.fill(notes)
	for _, v := range variants {
		made := v.make(s, rand.New(rand.NewPCG(1, 1)))
		if made == nil || len(made.melody) != len(made.music.Notes) {
			t.Fatalf("%s: %+v", v.name, made)
		}
		melody := 0
		for i, is := range made.melody {
			if n := made.music.Notes[i]; n.Pitch < 21 || n.Pitch > 108 || n.Length() <= 0 {
				t.Errorf("%s: note %+v", v.name, n)
			}
			if is {
				melody++
			}
		}
		least := 60
		if v.name == "half" {
			least = 16
		} else if v.name == "short" {
			least = 11
		}
		if melody < least {
			t.Errorf("%s has %d melody notes", v.name, melody)
		}
	}
}
