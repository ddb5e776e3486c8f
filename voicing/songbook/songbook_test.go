package songbook

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"undersong/voicing/check"
	"undersong/voicing/compare"
	"undersong/voicing/study"
)

// rows need a person's eye the less, the later they stand.
func rows() []Row {
	found := func(c check.Category, n int) map[check.Category]int { return map[check.Category]int{c: n} }
	all := []Row{
		{Row: compare.Row{Name: "broken", Error: "it is cut off"}},
		{Row: compare.Row{Name: "against all advice", Verdicts: study.Verdicts{LeavePlain: 2}}, Against: 2},
		{Row: compare.Row{Name: "doubtful"}, Sure: 20},
		{Row: compare.Row{Name: "torn", MelodyMoved: 30}, Findings: found(check.Unplayable, 1)},
		{Row: compare.Row{Name: "blurred"}, Findings: found(check.Blur, 5)},
		{Row: compare.Row{Name: "too hard", Difficulty: 3}, Asked: 2},
		{Row: compare.Row{Name: "hard at one place"}, Findings: found(check.Unplayable, 1)},
		{Row: compare.Row{Name: "a good one", MelodyMoved: 4, Verdicts: study.Verdicts{Yes: 2, LeavePlain: 1}}, Findings: found(check.Blur, 4)},
		{Row: compare.Row{Name: "a good one"}},
	}
	for i := range all {
		r := &all[i]
		r.Tower, r.Measures, r.Strokes, r.MelodyNotes = "47", 20, 100, 50
		if r.Name != "doubtful" {
			r.Sure = 90
		}
	}
	all[len(all)-1].Tower = "61"
	return all
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
		"broken on 47: failed", "against all advice on 47: inverted, but better left plain: 2 of 2 sections",
		"doubtful on 47: melody sure to 20 % only", "torn on 47: melody in another octave: 30 of 50 notes; unplayable: 1 of 100 strokes",
		"blurred on 47: blur: 5 of 20 measures", "too hard on 47: difficulty 3, asked for 2",
		"hard at one place on 47: unplayable: 1 of 100 strokes", "a good one on 47: ", "a good one on 61: ",
	}
	mixed := rows()
	for range mixed {
		mixed = append(mixed[1:], mixed[0])
		s := New(mixed, nil)
		if diff := cmp.Diff(want, names(s)); diff != "" || s.Scores != 8 || s.Failed != 1 || s.ToLook != 6 {
			t.Errorf("%v: %s", s, diff)
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
		"the Kth of N shards":       {of("")},
	} {
		if _, err := Merge(shards); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

// TestMergeClosed: folders that some shard could not read are told of all, once.
func TestMergeClosed(t *testing.T) {
	all, err := Merge([]*Summary{{Shard: "1/2", Closed: []string{"dark"}}, {Shard: "2/2", Closed: []string{"cellar", "dark"}}})
	if err != nil || !slices.Equal(all.Closed, []string{"cellar", "dark"}) {
		t.Errorf("%+v, %v", all, err)
	}
}

func TestReadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"[]":             "x.json: it is not the summary of a songbook as JSON",
		"{":              "x.json: it is not the summary of a songbook as JSON",
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
	for _, want := range []string{
		"8 scores: 1 failed, 6 to look at, 1 with nothing to look for\n", "broken on 47 ", "failed: it is cut off", " 2 yes, 1 leave plain ", "a good one on 61 ",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %q in\n%s", want, b.String())
		}
	}
}

// TestForPeople: a score that failed alike for several towers is one row, and
// a long name is shown by its end.
func TestForPeople(t *testing.T) {
	var all []Row
	add := func(name, tower, fault string) {
		r := Row{Tower: tower}
		r.Name, r.Error = name, fault
		all = append(all, r)
	}
	for _, tower := range []string{"23", "47", "61"} {
		add("cut off", tower, "it is cut off")
		add("slow", tower, map[string]string{"61": "it takes longer"}[tower])
	}
	add("long"+strings.Repeat("é", 200)+"end", "23", "")
	s := New(all, nil)
	var got []string
	for _, r := range s.ForPeople() {
		got = append(got, r.Name[:3]+" on "+r.Tower+": "+r.Error)
	}
	want := []string{"cut on 23, 47, 61: it is cut off", "slo on 61: it takes longer", "lon on 23: ", "slo on 23: ", "slo on 47: "}
	if diff := cmp.Diff(want, got); diff != "" || len(s.Rows) != 7 || s.Rows[1].Tower != "47" {
		t.Errorf("%v %s", s.Rows, diff)
	}
	var text, table bytes.Buffer
	if err := errors.Join(s.WriteText(&text), s.WriteCSV(&table)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text.String(), "\n…"+strings.Repeat("é", 56)+"end on 23  ") || strings.Count(text.String(), "\n") != 7 || strings.Count(table.String(), "\n") != 6 {
		t.Errorf("%s%s", text.String(), table.String())
	}
}

// TestCSV: all rows have all columns, and what is in them comes back. A name is no
// formula (OWASP, "CSV Injection").
func TestCSV(t *testing.T) {
	all := rows()
	margin := -3.0
	all[4].Name, all[4].Margin = "=1+1", &margin
	all[0].Error = "a \"b\",\nc"
	var b bytes.Buffer
	if err := New(all, nil).WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(&b).ReadAll() // which wants as many columns in each
	if err != nil {
		t.Fatal(err)
	}
	cell := func(row int, column string) string { return records[row][slices.Index(records[0], column)] }
	if len(records) != 10 || cell(1, "error") != all[0].Error || cell(5, "name") != "'=1+1" || cell(5, "margin") != "-3" || cell(5, "blur") != "5" {
		t.Errorf("%q", records)
	}
}
