package songbook

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/voicing/check"
	"undersong/voicing/compare"
)

// rows need a person's eye the less, the later they stand.
func rows() []Row {
	return []Row{
		{Row: compare.Row{Name: "broken", Error: "it is cut off"}, Tower: "47"},
		{Row: compare.Row{Name: "hard", Unplayable: 9}, Sure: 100, Tower: "47"},
		{Row: compare.Row{Name: "less hard", Unplayable: 1}, Sure: 10, Tower: "47"},
		{Row: compare.Row{Name: "doubtful"}, Sure: 20, Tower: "47"},
		{Row: compare.Row{Name: "torn", MelodyMoved: 3}, Sure: 90, Tower: "47", Findings: map[check.Category]int{check.Blur: 40}},
		{Row: compare.Row{Name: "blurred"}, Sure: 90, Tower: "47", Findings: map[check.Category]int{check.Blur: 2, check.Compass: 1}},
		{Row: compare.Row{Name: "a good one"}, Sure: 90, Tower: "47", Verdicts: Verdicts{Yes: 2, LeavePlain: 1}},
		{Row: compare.Row{Name: "a good one"}, Sure: 90, Tower: "61"},
	}
}

func names(s *Summary) (all []string) {
	for _, r := range s.Rows {
		all = append(all, r.Name+" on "+r.Tower+": "+r.Look)
	}
	return all
}

// TestNew: what needs a person's eye first stands first, in whatever order rows
// come.
func TestNew(t *testing.T) {
	want := []string{
		"broken on 47: failed", "hard on 47: unplayable: 9", "less hard on 47: unplayable: 1", "doubtful on 47: melody sure to 20 % only",
		"torn on 47: melody elsewhere: 3", "blurred on 47: findings: 3", "a good one on 47: ", "a good one on 61: ",
	}
	mixed := rows()
	for range mixed {
		mixed = append(mixed[1:], mixed[0])
		s := New(mixed, nil)
		if diff := cmp.Diff(want, names(s)); diff != "" || s.Scores != 7 || s.Failed != 1 {
			t.Errorf("%d scores, %d failed: %s", s.Scores, s.Failed, diff)
		}
	}
}

// TestShards: every score is in exactly one shard, and the shards' summaries merge
// into that of the whole.
func TestShards(t *testing.T) {
	for n := 1; n <= 8; n++ {
		var shards []*Summary
		for k := 1; k <= n; k++ {
			shard, err := ParseShard(fmt.Sprintf("%d/%d", k, n))
			if err != nil {
				t.Fatal(err)
			}
			var mine []Row
			for _, r := range rows() {
				if shard.Has(r.Name) {
					mine = append(mine, r)
				}
			}
			s := New(mine, []string{"--voicing=auto"})
			s.Shard = shard.String()
			shards = append([]*Summary{s}, shards...)
		}
		merged, err := Merge(shards)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(New(rows(), []string{"--voicing=auto"}), merged); diff != "" {
			t.Errorf("%d shards: %s", n, diff)
		}
	}
}

// TestShardIsStable: other programs and other days have the same shards. Values of
// FNV-1a are from draft-eastlake-fnv, test vectors for 64 bits: "a" has
// af63dc4c8601ec8c, "foobar" 85944171f73967e8.
func TestShardIsStable(t *testing.T) {
	for name, last := range map[string]int{"a": 0xc, "foobar": 0x8} {
		if !(Shard{last + 1, 16}).Has(name) {
			t.Errorf("%s is not in shard %d of 16", name, last+1)
		}
	}
}

func TestParseShardRefuses(t *testing.T) {
	for _, text := range []string{"", "1", "0/4", "5/4", "1/0", "-1/4", "1/4x", "01/4", "1/4/2", " 1/4"} {
		if s, err := ParseShard(text); err == nil {
			t.Errorf("%q is %v", text, s)
		}
	}
}

func TestMergeRefuses(t *testing.T) {
	of := func(shard string, with ...string) *Summary { return &Summary{Shard: shard, With: with} }
	for want, shards := range map[string][]*Summary{
		"shard 2/3 is missing":      {of("1/3"), of("3/3")},
		"shard 1/2 is given twice":  {of("1/2"), of("1/2"), of("2/2")},
		"not of one division":       {of("1/2"), of("2/3")},
		"voiced with other options": {of("1/2", "--voicing=auto"), of("2/2")},
		"not of a shard":            {of("")},
	} {
		if _, err := Merge(shards); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"[]":             "x.json: it is not the summary of a songbook",
		"{":              "x.json: it is not the summary of a songbook",
		`{"version": 2}`: "x.json: it has version 2",
	} {
		if _, err := Read(strings.NewReader(text), "x.json"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}

// TestText: a line for each row, and a score's tower where there are several.
func TestText(t *testing.T) {
	var b bytes.Buffer
	if err := New(rows(), nil).WriteText(&b); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	if len(lines) != 9 || !strings.Contains(lines[1], "broken on 47") || !strings.Contains(lines[1], "failed: it is cut off") ||
		!strings.Contains(lines[6], "1 compass, 2 blur") || !strings.Contains(lines[7], "2 yes, 1 leave plain") {
		t.Errorf("%d lines:\n%s", len(lines), b.String())
	}
}

// TestCSV: all rows have all columns, and what is in them comes back. A name is no
// formula (OWASP, "CSV Injection").
func TestCSV(t *testing.T) {
	all := rows()
	all[5].Name, all[5].Margin = "=1+1", -3
	all[0].Error = "a \"b\",\nc"
	var b bytes.Buffer
	if err := New(all, nil).WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(records) != 9 || records[1][3] != all[0].Error || records[6][len(records[6])-3] != "2" || records[6][0] != "'=1+1" || records[6][9] != "-3" {
		t.Errorf("%q", records)
	}
}
