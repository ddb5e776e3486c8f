package voicing

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/score"
)

// TestFoldTimes: measures that fare alike each time they are played are one line.
func TestFoldTimes(t *testing.T) {
	up, down := "melody 1 octave up", "melody 1 octave down"
	runs := []run{
		{from: "1", to: "1", moves: up}, {from: "2", to: "6", moves: down}, {from: "7", to: "7", moves: up},
		{from: "1b", to: "1b", moves: up}, {from: "2b", to: "6b", moves: down, reasons: map[string]int{"fifth": 1}},
		{from: "1c", to: "1c", moves: up}, {from: "2c", to: "6c", moves: down}, {from: "X1", to: "X1", moves: up},
	}
	var got []string
	for _, folded := range foldTimes(runs) {
		got = append(got, names(folded)+": "+folded[0].text())
	}
	want := []string{
		"measures 1, 1b, 1c: " + up, "measures 2–6, 2c–6c: " + down, "measure 7: " + up,
		"measures 2b–6b: " + down + "; left out 1 × fifth", "measure X1: " + up,
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// TestFoldFindings: what is found each time is one line.
func TestFoldFindings(t *testing.T) {
	found := func(measure, text string) Finding { return Finding{Place: score.Place{Measure: measure}, Text: text} }
	got := foldFindings([]Finding{found("2", "high"), found("3", "low"), found("2b", "high"), found("3b", "high"), found("2c", "high")})
	want := []Finding{found("2, 2b, 2c", "high"), found("3", "low"), found("3b", "high")}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// TestReportWithoutFindings: as JSON its lists are lists, though they be empty.
func TestReportWithoutFindings(t *testing.T) {
	s := sung(score.Quarter, []int{79, 60}, []int{77, 59}, []int{76, 60}, []int{74, 59}, []int{72, 60})
	_, report := voiced(t, s, Options{Voicing: Plain})
	text, err := json.Marshal(report)
	if err != nil || strings.Contains(string(text), ":null") {
		t.Errorf("%s, %v", text, err)
	}
	if len(report.Findings) > 0 {
		t.Errorf("there are findings: %+v", report.Findings)
	}
}
