package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"undersong/voicing/songbook"
)

// copies makes a folder of so many copies of the example song in folders, one
// file in ten of them broken.
func copies(t *testing.T, n int) (folder string, broken int) {
	t.Helper()
	folder = t.TempDir()
	song, err := os.ReadFile(filepath.Join("..", "..", "examples", "nets-in-the-loft", "nets-in-the-loft.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range n {
		text := song
		if i%10 == 9 {
			text = song[:len(song)/2]
			broken++
		}
		dir := filepath.Join(folder, string(rune('a'+i%3)), "deep")
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, string(rune('a'+i))+".musicxml"), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(folder, "notes.txt"), []byte("no score"), 0o644); err != nil {
		t.Fatal(err)
	}
	return folder, broken
}

// TestMain: a songbook starts its own program anew for its workers, which here is
// this test; and tests start commands that they can end.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && !strings.HasPrefix(os.Args[1], "-") {
		main()
	}
	os.Exit(m.Run())
}

func songbookRun(t *testing.T, args ...string) (code int, s songbook.Summary, errs string) {
	t.Helper()
	code, out, errs := undersong(t, "", append([]string{"songbook", "--json"}, args...)...)
	if out != "" {
		if err := json.Unmarshal([]byte(out), &s); err != nil {
			t.Fatal(err)
		}
	}
	return code, s, errs
}

// TestSongbook: the tree is kept, a broken file is a row and harms no other,
// and what is done is not done again.
func TestSongbook(t *testing.T) {
	in, broken := copies(t, 20)
	out := filepath.Join(t.TempDir(), "bells")
	code, first, errs := songbookRun(t, in, "-o", out, "--jobs", "2", "--voicing", "auto")
	if code != 1 || len(first.Rows) != 20 || !strings.Contains(errs, "2 of 20 scores failed") {
		t.Fatalf("exit %d, %d rows: %s", code, len(first.Rows), errs)
	}
	for i, p := range first.Rows {
		if (p.Error != "") != (i < broken) {
			t.Errorf("row %d, %s: %q", i, p.Name, p.Error)
		}
		_, err := os.Stat(filepath.Join(out, p.Name))
		if (err == nil) != (p.Error == "") {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
	before := tree(t, out)
	if code, _, errs := songbookRun(t, in, "-o", out); code != 1 || !strings.Contains(errs, "has a songbook already") {
		t.Errorf("without --resume or --force: exit %d: %s", code, errs)
	}
	if _, _, errs := songbookRun(t, in, "-o", out, "--resume", "--voicing", "auto"); !strings.Contains(errs, "18 of 20 were there already") {
		t.Errorf("18 are there already: %s", errs)
	}
	if diff := cmp.Diff(before, tree(t, out)); diff != "" {
		t.Errorf("a second run changed\n%s", diff)
	}
	if _, _, errs := songbookRun(t, in, "-o", out, "--resume", "--voicing", "plain"); strings.Contains(errs, "already") {
		t.Errorf("with other options: %s", errs)
	}
	if cmp.Equal(before, tree(t, out)) {
		t.Error("other options changed nothing")
	}
}

// TestSongbookVoicesAsVoiceDoes: a song in a songbook is the one that voice makes
// with the same flags.
func TestSongbookVoicesAsVoiceDoes(t *testing.T) {
	in, _ := copies(t, 1)
	song := filepath.Join(in, "a", "deep", "a.musicxml")
	for _, flags := range [][]string{
		{"--voicing", "auto"},
		{"--voicing", "auto", "--transpose", "2"},
		{"--voicing", "auto", "--plain", "1-4", "--difficulty", "1"},
		{"--voicing", "plain", "--figure", "held"},
		{"--invert", "1-4"},
	} {
		out := t.TempDir()
		if code, _, errs := songbookRun(t, append(flags, in, "-o", out)...); code != 0 {
			t.Fatalf("%v: exit %d: %s", flags, code, errs)
		}
		alone := filepath.Join(t.TempDir(), "a.musicxml")
		if code, _, errs := undersong(t, "", append([]string{"voice", song, "-o", alone}, flags...)...); code != 0 {
			t.Fatalf("%v: exit %d: %s", flags, code, errs)
		}
		want, err := os.ReadFile(alone)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(out, "a", "deep", "a.musicxml"))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(want, got) {
			t.Errorf("%v: the songbook has another song", flags)
		}
	}
}

// tree is the files of a folder by path, and their contents.
func tree(t *testing.T, folder string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		rel, relErr := filepath.Rel(folder, path)
		files[rel] = string(text)
		return errors.Join(err, relErr)
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestSongbookRefuses(t *testing.T) {
	in, _ := copies(t, 1)
	song := filepath.Join(in, "a", "deep", "a.musicxml")
	towers := t.TempDir()
	for _, name := range []string{"a/ours.yaml", "b/ours.yaml", ".ours.yaml"} {
		writeFile(t, filepath.Join(towers, name), []byte("name: "+name+"\n"))
	}
	for want, args := range map[string][]string{
		"needs one folder":     {},
		"a folder to write to": {in},
		"lies in":              {in, "-o", filepath.Join(in, "out")},
		"is not there":         {filepath.Join(in, "nothing"), "-o", t.TempDir()},
		"at least one":         {in, "-o", t.TempDir(), "--jobs", "0"},
		"the Kth of N shards":  {in, "-o", t.TempDir(), "--shard", "3/2"},
		"no such file":         {in, "-o", t.TempDir(), "--plan-dir", filepath.Join(in, "nothing")},
		"is one score":         {song, "-o", t.TempDir()},
		"the results for both would be in the folder 47":   {in, "-o", t.TempDir(), "--tower", "47", "--tower", "47"},
		"the results for both would be in the folder ours": {in, "-o", t.TempDir(), "--tower", filepath.Join(towers, "a", "ours.yaml"), "--tower", filepath.Join(towers, "b", "ours.yaml")},
		"cannot begin with a dot":                          {in, "-o", t.TempDir(), "--tower", filepath.Join(towers, ".ours.yaml")},
		"there is no file 480":                             {in, "-o", t.TempDir(), "--tower", "480"},
		"no voicing":                                       {in, "-o", t.TempDir(), "--voicing", "upside"},
		"has no score":                                     {t.TempDir(), "-o", filepath.Join(t.TempDir(), "x")},
		"names no score":                                   {"-", "-o", filepath.Join(t.TempDir(), "x")},
		"--melody":                                         {in, "-o", t.TempDir(), "--melody", "nonsense"},
		"less than 0":                                      {in, "-o", t.TempDir(), "--time-limit", "-5s"},
		"cannot be read":                                   {in, "-o", t.TempDir(), "--time-limit", "5"},
		"no flag --report":                                 {in, "-o", t.TempDir(), "--report", "x.json"},
	} {
		if code, _, errs := songbookRun(t, args...); code == 0 || !strings.Contains(errs, want) || strings.Count(errs, "\n") != 1 {
			t.Errorf("%v: exit %d: %s", args, code, errs)
		}
	}
}

// TestSongbookOfTowers: several towers have folders of their own, with what each
// gives alone; of one there is none.
func TestSongbookOfTowers(t *testing.T) {
	in, out := songs(t, 4), t.TempDir()
	ours := filepath.Join(t.TempDir(), "our tower.yaml")
	writeFile(t, ours, []byte("from: 35\nname: Ours\n"))
	code, s, errs := songbookRun(t, in, "-o", out, "--tower", "23", "--tower", ours, "--voicing", "auto")
	if code != 0 || s.Scores != 4 || len(s.Rows) != 8 {
		t.Fatalf("exit %d, %d scores, %d rows: %s", code, s.Scores, len(s.Rows), errs)
	}
	got, _ := results(t, out)
	want := map[string]string{}
	for folder, tower := range map[string]string{"23": "23", "our tower": ours} {
		for path, text := range undisturbed(t, in, "--tower", tower, "--voicing", "auto") {
			want[filepath.Join(folder, path)] = text
		}
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	writeFile(t, ours, []byte("from: 47\nname: Ours\n"))
	if _, _, errs := songbookRun(t, in, "-o", out, "--tower", "23", "--tower", ours, "--voicing", "auto", "--resume"); !strings.Contains(errs, "4 of 8 were there already") {
		t.Errorf("the tower's file is another: %s", errs)
	}
}

// TestSongbookOfPlans: a score that has a plan of its own follows that, and all
// others what the flags say.
func TestSongbookOfPlans(t *testing.T) {
	in, plans, out := songs(t, 4), t.TempDir(), t.TempDir()
	plan := filepath.Join(plans, "1", "1.yaml")
	writeFile(t, plan, []byte("voicing: plain\nsections:\n  - where: 1-4\n    voicing: inverted\n"))
	writeFile(t, filepath.Join(plans, "1", "one.yaml"), nil)
	// The flags hold for all, the one with a plan too.
	args := []string{in, "-o", out, "--plan-dir", plans, "--voicing", "auto", "--difficulty", "1"}
	if code, _, errs := songbookRun(t, args...); code != 0 || !strings.HasPrefix(errs, "1/one.yaml in "+plans+" is the plan of no score: ") {
		t.Fatalf("exit %d: %s", code, errs)
	}
	want := undisturbed(t, in, "--voicing", "auto", "--difficulty", "1")
	one := filepath.Join("1", "1.musicxml")
	code, planned, errs := undersong(t, "", "voice", filepath.Join(in, one), "-o", "-", "--plan", plan, "--difficulty", "1")
	if code != 0 || planned == want[one] {
		t.Fatalf("exit %d: %s", code, errs)
	}
	want[one] = planned
	got, _ := results(t, out)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	writeFile(t, plan, []byte("voicing: sideways\n"))
	_, s, errs := songbookRun(t, append(args, "--resume")...)
	if s.Failed != 1 || !strings.Contains(s.Rows[0].Error, "1.yaml:1: voicing") || !strings.HasSuffix(s.Rows[0].Error, "; its result of an earlier run stays") || !strings.Contains(errs, "3 of 4 were there already") {
		t.Errorf("%q: %s", s.Rows[0].Error, errs)
	}
}

// TestSongbookInShards: shards make what one run makes, and their summaries merge
// into its.
func TestSongbookInShards(t *testing.T) {
	in, whole, out := songs(t, 12), t.TempDir(), t.TempDir()
	_, want, _ := songbookRun(t, in, "-o", whole)
	merge := []string{"merge", "-o", out}
	for _, k := range []string{"1", "2", "3"} {
		if code, _, errs := songbookRun(t, in, "-o", out, "--shard", k+"/3"); code != 0 {
			t.Fatalf("exit %d: %s", code, errs)
		}
		merge = append(merge, filepath.Join(out, "songbook-"+k+"-of-3.json"))
	}
	code, printed, errs := undersong(t, "", append([]string{"songbook"}, merge...)...)
	if code != 0 {
		t.Fatalf("exit %d: %s", code, errs)
	}
	text, err := os.ReadFile(filepath.Join(out, "songbook.json"))
	if err != nil {
		t.Fatal(err)
	}
	got, err := songbook.Read(bytes.NewReader(text), "songbook.json")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(&want, got, cmpopts.IgnoreFields(songbook.Row{}, "Seconds")); diff != "" || strings.Count(printed, "\n") != 14 {
		t.Errorf("%s\n%s", diff, printed)
	}
	if code, _, errs := undersong(t, "", "songbook", "merge", "-o", out, merge[3]); code != exitError || strings.Count(errs, "is missing") != 2 {
		t.Errorf("exit %d: %s", code, errs)
	}
	for _, name := range []string{"songbook.csv", "songbook.html"} {
		if _, err := os.Stat(filepath.Join(out, name)); err != nil {
			t.Error(err)
		}
	}
}

// TestSongbookKeepsWhatIsChangedByHand: not even --resume with other options
// replaces it.
func TestSongbookKeepsWhatIsChangedByHand(t *testing.T) {
	in, out := songs(t, 3), t.TempDir()
	songbookRun(t, in, "-o", out)
	file := filepath.Join(out, "0", "0.musicxml")
	writeFile(t, file, []byte("by hand"))
	kept := func() bool {
		text, err := os.ReadFile(file)
		return err == nil && string(text) == "by hand"
	}
	if code, _, errs := songbookRun(t, in, "-o", out, "--resume"); code != 0 || !kept() {
		t.Errorf("exit %d: %s", code, errs)
	}
	if _, s, errs := songbookRun(t, in, "-o", out, "--resume", "--voicing", "plain"); s.Failed != 1 || !strings.Contains(s.Rows[0].Error, "--force replace it") || !kept() {
		t.Errorf("%d failed: %s", s.Failed, errs)
	}
	if code, _, errs := songbookRun(t, in, "-o", out, "--force"); code != 0 || kept() {
		t.Errorf("exit %d: %s", code, errs)
	}
}

func TestSongbookOfAList(t *testing.T) {
	in := songs(t, 3)
	list := filepath.Join(t.TempDir(), "list.txt")
	paths := filepath.Join(in, "0", "0.musicxml") + "\n" + filepath.Join(in, "nothing.xml") + "\n"
	writeFile(t, list, []byte(paths))
	for _, args := range [][]string{{list}, {"-"}} {
		out := t.TempDir()
		code, printed, errs := undersong(t, paths, append([]string{"songbook", "-o", out}, args...)...)
		if code != exitError || !strings.Contains(printed, "no such file") || !strings.Contains(errs, "1 of 2 scores failed") {
			t.Errorf("%v: exit %d: %s", args, code, errs)
		}
		if _, err := os.Stat(filepath.Join(out, in, "0", "0.musicxml")); err != nil {
			t.Errorf("%v: %v", args, err)
		}
	}
}

// TestSongbookOverItsSources: a result is never a score of the list, also not with
// --force, nor where the folder of results holds that of the scores.
func TestSongbookOverItsSources(t *testing.T) {
	in, alone := songs(t, 2), songs(t, 1)
	before := tree(t, in)
	t.Chdir(in)
	list := filepath.Join("0", "0.musicxml") + "\n" + filepath.Join("1", "1.musicxml") + "\n"
	for _, more := range [][]string{nil, {"--force"}, {"--resume", "--force"}} {
		code, printed, errs := undersong(t, list, append([]string{"songbook", "-", "-o", "."}, more...)...)
		if code != exitError || strings.Count(printed, "which is a score of the list: give another folder of results") != 2 {
			t.Errorf("%v: exit %d: %s%s", more, code, printed, errs)
		}
	}
	for name, text := range before {
		if tree(t, in)[name] != text {
			t.Errorf("%s is another one", name)
		}
	}
	before = tree(t, alone)
	t.Chdir(alone)
	if err := os.Rename("0", "47"); err != nil {
		t.Fatal(err)
	}
	code, printed, _ := undersong(t, "", "songbook", "47", "-o", ".", "--tower", "47", "--tower", "61", "--force")
	if code != exitError || !strings.Contains(printed, "0.musicxml on 47, 61 ") || strings.Count(printed, "is a score of the list") != 1 {
		t.Errorf("exit %d: %s", code, printed)
	}
	if before[filepath.Join("0", "0.musicxml")] != tree(t, alone)[filepath.Join("47", "0.musicxml")] {
		t.Error("the source is another one")
	}
}

// TestSongbookResumesByAll: a result is made anew when its score, its plan, an
// option or its tower changes, and only then.
func TestSongbookResumesByAll(t *testing.T) {
	in, out, plans := songs(t, 3), t.TempDir(), t.TempDir()
	tower := filepath.Join(t.TempDir(), "ours.yaml")
	profile := func(bells string) {
		text, err := os.ReadFile(filepath.Join("..", "..", "instrument", "profiles", bells+".yaml"))
		if err != nil {
			t.Fatal(err)
		}
		writeFile(t, tower, text)
	}
	profile("47")
	args := []string{in, "-o", out, "--tower", tower, "--plan-dir", plans}
	if code, _, errs := songbookRun(t, args...); code != 0 {
		t.Fatalf("exit %d: %s", code, errs)
	}
	song := filepath.Join(in, "0", "0.musicxml")
	text, err := os.ReadFile(song)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		change func()
		args   []string
		kept   string
	}{
		{"nothing", func() {}, nil, "3 of 3"},
		{"a score", func() {
			writeFile(t, song, bytes.Replace(text, []byte("</work-title>"), []byte(" again</work-title>"), 1))
		}, nil, "2 of 3"},
		{"a plan", func() { writeFile(t, filepath.Join(plans, "1", "1.yaml"), []byte("voicing: plain\n")) }, nil, "2 of 3"},
		{"the melody", func() {}, []string{"--melody", "staff=1"}, ""},
		{"an option", func() {}, []string{"--melody", "staff=1", "--difficulty", "2"}, ""},
		{"the tower", func() { profile("23") }, []string{"--melody", "staff=1", "--difficulty", "2"}, ""},
		{"nothing any more", func() {}, []string{"--melody", "staff=1", "--difficulty", "2"}, "3 of 3"},
	} {
		c.change()
		code, _, errs := songbookRun(t, append(append([]string{"--resume"}, args...), c.args...)...)
		if code != 0 || c.kept == "" && strings.Contains(errs, "already") || !strings.Contains(errs, c.kept) {
			t.Errorf("%s: exit %d: %s", c.name, code, errs)
		}
	}
}

// TestSongbookResumesByProgram: another program of the same version makes all anew.
func TestSongbookResumesByProgram(t *testing.T) {
	in, out := songs(t, 2), t.TempDir()
	songbookRun(t, in, "-o", out)
	text, err := os.ReadFile(os.Args[0])
	if err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(t.TempDir(), "other")
	if err := os.WriteFile(other, append(text, 0), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, program := range []string{os.Args[0], other} {
		said, err := exec.Command(program, "songbook", in, "-o", out, "--resume").CombinedOutput()
		if kept := strings.Contains(string(said), "2 of 2 were there already"); err != nil || kept != (program == os.Args[0]) {
			t.Errorf("%s: %v: %s", program, err, said)
		}
	}
}

// TestSongbookGivesLimits: the limits of a songbook are those of its workers.
func TestSongbookGivesLimits(t *testing.T) {
	in := songs(t, 1)
	writeFile(t, filepath.Join(in, "0", "0.musicxml"), long(t, 1<<21, true))
	for want, args := range map[string][]string{
		"it takes longer than 1ns":          {"--time-limit", "1ns"},
		"it takes more than 1 MB of memory": {"--memory-limit", "1"},
		"more than the limit of 1048576":    {"--max-size", "1"},
	} {
		_, s, errs := songbookRun(t, append(args, in, "-o", t.TempDir())...)
		if s.Failed != 1 || !strings.Contains(s.Rows[0].Error, want) {
			t.Errorf("%v: %+v %s", args, s.Rows, errs)
		}
	}
}

// TestSongbookOfAll: what the flags name and a score has not is told, and looked
// at, and no failure; that its repeats are written out is told.
func TestSongbookOfAll(t *testing.T) {
	in := songs(t, 1)
	_, s, errs := songbookRun(t, in, "-o", t.TempDir(), "--invert", "minuet")
	if s.Failed != 0 || s.ToLook != 1 || !strings.HasPrefix(s.Rows[0].Look, `no section "minuet"`) || len(s.Rows[0].Absent) != 1 {
		t.Errorf("%+v %s", s.Rows, errs)
	}
	plans := t.TempDir()
	writeFile(t, filepath.Join(plans, "0", "0.yaml"), []byte("sections:\n  - where: minuet\n    voicing: inverted\n"))
	if _, s, _ = songbookRun(t, in, "-o", t.TempDir(), "--plan-dir", plans); s.Failed != 1 || !strings.Contains(s.Rows[0].Error, `0.yaml:2: where: no section "minuet"`) {
		t.Errorf("%+v", s.Rows)
	}
	lampIn := t.TempDir()
	text, err := os.ReadFile(lamp)
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(lampIn, "lamp.musicxml"), text)
	if _, s, errs = songbookRun(t, lampIn, "-o", t.TempDir(), "--invert", "last time of bridge"); len(s.Rows) != 1 || len(s.Rows[0].Told) == 0 || !strings.HasPrefix(s.Rows[0].Told[0], "the repeats are written out") {
		t.Errorf("%+v %s", s.Rows, errs)
	}
}

// TestSongbookTellsDifficulty: what voice tells of the difficulty, asked for or not, is
// told in the row too, as a reason to look at it.
func TestSongbookTellsDifficulty(t *testing.T) {
	in := t.TempDir()
	song := filepath.Join(in, "rain.musicxml")
	text, err := os.ReadFile(filepath.Join("..", "..", "examples", "rain-on-the-ropewalk", "rain-on-the-ropewalk.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, song, text)
	for _, flags := range [][]string{nil, {"--difficulty", "1"}} {
		_, _, voiced := undersong(t, "", append([]string{"voice", song, "-o", filepath.Join(t.TempDir(), "rain.musicxml")}, flags...)...)
		_, s, errs := songbookRun(t, append(flags, in, "-o", t.TempDir())...)
		if len(s.Rows) != 1 {
			t.Fatal(errs)
		}
		r := s.Rows[0]
		if told := fmt.Sprintf("difficulty %d, asked for %d", r.Difficulty, r.Asked); r.Difficulty <= r.Asked || !strings.Contains(r.Look, told) || !strings.Contains(voiced, strings.Replace(told, ",", " of 5,", 1)) {
			t.Errorf("%v: %q: %s", flags, r.Look, voiced)
		}
	}
}

// TestSongbookPagesAndReports: beside each result are its page and its report as voice
// makes them, where they are asked for; what is there in a first run stays.
func TestSongbookPagesAndReports(t *testing.T) {
	in, out := songs(t, 2), t.TempDir()
	_, s, errs := songbookRun(t, in, "-o", out, "--voicing", "plain", "--pages", "--reports")
	if s.Failed != 0 || s.Rows[0].Page != s.Rows[0].Out+".html" || s.Rows[0].ReportFile != s.Rows[0].Out+".json" {
		t.Fatalf("%+v %s", s.Rows, errs)
	}
	page, report := filepath.Join(t.TempDir(), "page.html"), filepath.Join(t.TempDir(), "report.json")
	song := filepath.Join(in, "0", "0.musicxml")
	if code, _, errs := undersong(t, "", "voice", song, "--voicing", "plain", "-o", filepath.Join(t.TempDir(), "0.musicxml"), "--page", page, "--report", report); code != 0 {
		t.Fatal(errs)
	}
	for alone, beside := range map[string]string{page: "0.musicxml.html", report: "0.musicxml.json"} {
		want, err := os.ReadFile(alone)
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join(out, "0", beside))
		if err != nil {
			t.Fatal(err)
		}
		if text := strings.ReplaceAll(string(want), song, "0/0.musicxml"); text != string(got) {
			t.Errorf("%s is another one", beside)
		}
	}
	summary, err := os.ReadFile(filepath.Join(out, "songbook.html"))
	if err != nil || !strings.Contains(string(summary), `href="0/0.musicxml.html"`) {
		t.Errorf("%v: no link to the page", err)
	}
	if _, _, errs := songbookRun(t, in, "-o", out, "--voicing", "plain", "--pages", "--reports", "--resume"); !strings.Contains(errs, "2 of 2 were there already") {
		t.Error(errs)
	}
	if err := os.Remove(filepath.Join(out, "0", "0.musicxml.html")); err != nil {
		t.Fatal(err)
	}
	if _, _, errs := songbookRun(t, in, "-o", out, "--voicing", "plain", "--pages", "--reports", "--resume"); !strings.Contains(errs, "1 of 2 were there already") {
		t.Error(errs)
	}
	if _, err := os.Stat(filepath.Join(out, "0", "0.musicxml.html")); err != nil {
		t.Error(err)
	}
	taken := t.TempDir()
	writeFile(t, filepath.Join(taken, "0", "0.musicxml.html"), []byte("by hand"))
	_, s, _ = songbookRun(t, in, "-o", taken, "--pages")
	text, err := os.ReadFile(filepath.Join(taken, "0", "0.musicxml.html"))
	if s.Failed != 1 || err != nil || string(text) != "by hand" {
		t.Errorf("%d failed, %v, %s", s.Failed, err, text)
	}
}

// TestSongbookKeepsItsFilesTogether: a page that was changed by hand stays, and its
// score and its report with it; what an earlier run left beside a score is of its
// voicing, whether it is asked for again or not.
func TestSongbookKeepsItsFilesTogether(t *testing.T) {
	in, out := songs(t, 2), t.TempDir()
	songbookRun(t, in, "-o", out, "--pages", "--reports")
	page := filepath.Join(out, "0", "0.musicxml.html")
	writeFile(t, page, []byte("by hand"))
	before := tree(t, filepath.Join(out, "0"))
	_, s, errs := songbookRun(t, in, "-o", out, "--resume", "--voicing", "plain")
	if s.Failed != 1 || !strings.Contains(s.Rows[0].Error, "0.musicxml.html was changed since an earlier run made it: it stays") || !strings.Contains(errs, "1 of 2 took the place of what an earlier run made") {
		t.Errorf("%+v: %s", s.Rows, errs)
	}
	if diff := cmp.Diff(before, tree(t, filepath.Join(out, "0"))); diff != "" {
		t.Error(diff)
	}
	want := t.TempDir()
	songbookRun(t, in, "-o", want, "--voicing", "plain", "--pages", "--reports")
	if diff := cmp.Diff(tree(t, filepath.Join(want, "1")), tree(t, filepath.Join(out, "1"))); diff != "" {
		t.Error(diff)
	}
	if s.Rows[1].Page == "" || s.Rows[1].ReportFile == "" {
		t.Errorf("%+v", s.Rows[1])
	}
	if _, _, errs := songbookRun(t, in, "-o", out, "--resume", "--voicing", "plain", "--force"); strings.Contains(errs, "took the place") {
		t.Error(errs)
	}
	if diff := cmp.Diff(tree(t, filepath.Join(want, "0")), tree(t, filepath.Join(out, "0"))); diff != "" {
		t.Error(diff)
	}
}

// TestSongbookKeepsForeignSummaries: what is called like a summary and no run made,
// or was changed since, is not replaced without --force, and no work is done.
func TestSongbookKeepsForeignSummaries(t *testing.T) {
	in := songs(t, 2)
	for _, name := range []string{"songbook.json", "songbook.csv", "songbook.html"} {
		out := t.TempDir()
		file := filepath.Join(out, name)
		refuses := func(want string, args ...string) {
			t.Helper()
			writeFile(t, file, []byte("mine"))
			before := tree(t, out)
			code, _, errs := songbookRun(t, append(args, in, "-o", out)...)
			if code != exitError || !strings.Contains(errs, name+want) || strings.Count(errs, "\n") != 1 {
				t.Errorf("%s: exit %d: %s", name, code, errs)
			}
			if diff := cmp.Diff(before, tree(t, out)); diff != "" {
				t.Error(diff)
			}
		}
		refuses(" is there already and nothing tells what it was made of: it stays")
		refuses(" is there already and nothing tells what it was made of: it stays", "--resume")
		if code, _, errs := songbookRun(t, in, "-o", out, "--force"); code != 0 {
			t.Errorf("%s: exit %d: %s", name, code, errs)
		}
		refuses(" was changed since an earlier run made it: it stays", "--resume")
		if err := os.Remove(file); err != nil {
			t.Fatal(err)
		}
		for range 2 {
			if code, _, errs := songbookRun(t, in, "-o", out, "--resume"); code != 0 {
				t.Errorf("%s: exit %d: %s", name, code, errs)
			}
		}
	}
}

// TestSongbookOfOddNames: whatever a score is called, its row says it so that a program
// finds score and result by it, and its page leads to it, also once shards are merged.
func TestSongbookOfOddNames(t *testing.T) {
	song, err := os.ReadFile(filepath.Join("..", "..", "examples", "nets-in-the-loft", "nets-in-the-loft.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	in, out := t.TempDir(), t.TempDir()
	odd := []string{"new\nline", "\x1b[31mred", "bytes\xff\xfe", `"quoted"`, "=1+1"}
	for _, name := range odd {
		writeFile(t, filepath.Join(in, name+".musicxml"), song)
	}
	_, printed, errs := undersong(t, "", "songbook", in, "-o", out, "--shard", "1/1", "--pages")
	if strings.ContainsFunc(strings.ReplaceAll(printed, "\n", ""), unicode.IsControl) {
		t.Errorf("%q %s", printed, errs)
	}
	code, merged, errs := undersong(t, "", "songbook", "merge", filepath.Join(out, "songbook-1-of-1.json"), "-o", out, "--json")
	s, err := songbook.Read(strings.NewReader(merged), "merged")
	if code != 0 || err != nil || len(s.Rows) != len(odd) {
		t.Fatalf("exit %d: %s", code, errs)
	}
	for _, r := range s.Rows {
		if !slices.Contains(odd, strings.TrimSuffix(songbook.File(r.Name), ".musicxml")) || songbook.File(r.Out) != songbook.File(r.Name) || songbook.File(r.Page) != songbook.File(r.Name)+".html" {
			t.Errorf("%q with %q and %q", r.Name, r.Out, r.Page)
		}
	}
	for name, want := range map[string]string{"songbook.csv": "", "songbook.html": `href="bytes%FF%FE.musicxml"`, "songbook.json": `"name": "new\nline.musicxml"`} {
		text, err := os.ReadFile(filepath.Join(out, name))
		if err != nil || !utf8.Valid(text) || !strings.Contains(string(text), want) {
			t.Errorf("%s: %v, UTF-8: %v", name, err, utf8.Valid(text))
		}
	}
}

// TestSongbookOfClosedFolders: a folder that cannot be read is told and is no score.
func TestSongbookOfClosedFolders(t *testing.T) {
	in, out := songs(t, 2), t.TempDir()
	root, err := os.OpenRoot(in)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	deep := "0" // its path is too long, which also root cannot read
	for range 17 {
		deep = filepath.Join(deep, strings.Repeat("d", 250))
	}
	if err := root.MkdirAll(deep, 0o755); err != nil {
		t.Skip(err)
	}
	code, s, errs := songbookRun(t, in, "-o", out)
	if code != exitError || s.Scores != 2 || s.Failed != 0 || len(s.Closed) != 1 || !strings.HasPrefix(s.Closed[0], "0/ddd") ||
		!strings.Contains(errs, "d: this folder cannot be read: what is in it is left out") || !strings.HasSuffix(errs, "undersong: 1 folder cannot be read: see the first line\n") {
		t.Errorf("exit %d, %d scores, %d failed, %d closed: %s", code, s.Scores, s.Failed, len(s.Closed), errs)
	}
	if !strings.Contains(s.String(), "; left out, folders that cannot be read: 0/ddd") {
		t.Error(s.String())
	}
}

// TestSongbookCannotPrint: a summary that cannot be printed is told with what of the
// songbook is whole and what failed.
func TestSongbookCannotPrint(t *testing.T) {
	in, _ := copies(t, 10)
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	out := t.TempDir()
	for _, more := range []string{"--json=true", "--json=false"} {
		var errs bytes.Buffer
		code := run([]string{"undersong", "songbook", in, "-o", out, "--resume", more}, strings.NewReader(""), full, &errs)
		if want := "undersong: the summary cannot be printed: no space left on device: make room there, or use another place; the results in " + out + " are whole\nundersong: 1 of 10 scores failed: see the first rows\n"; code != exitError || !strings.HasSuffix(errs.String(), want) {
			t.Errorf("%s: exit %d: %s", more, code, errs.String())
		}
	}
}

// TestReadWhole: only files, and none that is too large.
func TestReadWhole(t *testing.T) {
	file := filepath.Join(t.TempDir(), "x")
	writeFile(t, file, []byte("0123456789"))
	for _, c := range []struct {
		path string
		most int64
		want string
	}{{file, 10, ""}, {file, 9, "it has 10 bytes, more than the limit of 9"}, {t.TempDir(), 10, "it is not a file"}, {file + "y", 10, "no such file"}} {
		text, err := readWhole(c.path, c.most)
		if c.want == "" && (err != nil || string(text) != "0123456789") || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%s, %d at most: %q, %v", c.path, c.most, text, err)
		}
	}
}
