package compare

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/instrument"
	"undersong/score/scoretest"
	"undersong/voicing"
	"undersong/voicing/plan"
	"undersong/voicing/study"
)

func analysed(t *testing.T) *study.Analysis {
	t.Helper()
	return study.Analyse(scoretest.Score(t, "../../examples/lamp-for-the-late-boat/lamp-for-the-late-boat.musicxml"), nil)
}

// TestVariants: the example song has all ways, and what each comes to adds up.
func TestVariants(t *testing.T) {
	a := analysed(t)
	tower, err := instrument.Named(instrument.Default)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	var rows []Row
	for _, v := range Variants(a.Study(tower)) {
		names = append(names, v.Name)
		row := Voice(v.Name, a, v.Plan, voicing.Options{Tower: tower})
		rows = append(rows, row)
		if row.Error != "" {
			t.Fatalf("%s: %s", v.Name, row.Error)
		}
		n := row.Report.Notes
		if row.Difficulty < 1 || row.Difficulty > 5 || row.Unplayable > 0 ||
			n.Kept+row.Moved+row.Merged+row.Dropped != n.Source || row.MelodyMoved > row.Report.Melody.Notes/2 {
			t.Errorf("%+v", row)
		}
		if *row.Margin < 3 {
			t.Errorf("%s: the melody is only %.1f dB over the rest", v.Name, *row.Margin)
		}
	}
	if diff := cmp.Diff([]string{"plain", "inverted", "covered", "auto", "tenor-verse"}, names); diff != "" {
		t.Error(diff)
	}
	var text bytes.Buffer
	if err := WriteText(&text, "variant", rows); err != nil {
		t.Fatal(err)
	}
	if lines := strings.Count(text.String(), "\n"); lines != 6 {
		t.Errorf("%d lines:\n%s", lines, text.String())
	}
}

// TestRowOfAnError: what cannot be voiced is a row that says so.
func TestRowOfAnError(t *testing.T) {
	tower, err := instrument.Named("23")
	if err != nil {
		t.Fatal(err)
	}
	p := &plan.Plan{Items: []plan.Item{{Where: "minuet", Voicing: "inverted"}}}
	row := Voice("x", analysed(t), p, voicing.Options{Tower: tower})
	if row.Result != nil || !strings.Contains(row.Error, `no section "minuet"`) {
		t.Errorf("%+v", row)
	}
}
