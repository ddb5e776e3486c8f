package main

import (
	"fmt"
	"io"
	"slices"

	"undersong/voicing/melody/internal/model"
)

// ways of finding a melody, for the table.
var ways = []string{"top of what is struck", "top of what sounds", "by rules", "fitted"}

// tally is what a check has found out: the results by set and way, and how
// sure the fitted way was of what.
type tally struct {
	results map[[2]string]*result
	sure    reliability
}

// crossValidate finds every song's melody with forests fitted to songs of the
// other folds. After every fold it prints tables of what it has so far, those
// after the last one over all songs. What is made of the songs is found as
// well, as sets of its own.
func crossValidate(out io.Writer, songs []*song, how plan, folds int) {
	t := tally{results: map[[2]string]*result{}}
	for fold := range folds {
		var known, unknown []*song
		for _, s := range songs {
			if foldOf(s.id, folds) == fold {
				unknown = append(unknown, s)
			} else {
				known = append(known, s)
			}
		}
		forests := fitForests(learning(known), how)
		for i, s := range unknown {
			t.find(s, s.set, forests)
			for _, v := range variants {
				if made := v.of(s, i); made != nil {
					t.find(made, "made: "+v.name, forests)
				}
			}
		}
		fmt.Fprintf(out, "after fold %d of %d\n\n", fold+1, folds)
		t.print(out)
	}
}

// find finds the melody of s in all ways.
func (t *tally) find(s *song, set string, forests *model.Forests) {
	v := model.NewView(s.music)
	scores := v.Scores(forests)
	fitted, _ := v.Likeliest(scores)
	for k, found := range [][]int{tops(s, false), tops(s, true), v.Melody(v.ByRules(), 0), fitted} {
		r := t.results[[2]string{set, ways[k]}]
		if r == nil {
			r = &result{}
			t.results[[2]string{set, ways[k]}] = r
		}
		r.add(judge(s, found))
	}
	if set == s.set {
		t.sure.add(s, scores, fitted)
	}
}

func (t *tally) print(out io.Writer) {
	var sets []string
	for k := range t.results {
		sets = append(sets, k[0])
	}
	slices.Sort(sets)
	fmt.Fprintf(out, "| set | way | all | with melody |\n|---|---|---|---|\n")
	for _, set := range slices.Compact(sets) {
		for _, way := range ways {
			t.results[[2]string{set, way}].print(out, set, way)
		}
	}
	t.sure.print(out)
}

// tops are the highest notes of their groups; with held, only those above
// whatever still sounds.
func tops(s *song, held bool) []int {
	var found []int
	var sounding []int
	for _, g := range s.music.Groups {
		top := &s.music.Notes[g.Last-1]
		covered := slices.ContainsFunc(sounding, func(i int) bool {
			n := &s.music.Notes[i]
			return n.End > top.On && n.Pitch > top.Pitch
		})
		if !held || !covered {
			found = append(found, g.Last-1)
		}
		sounding = slices.DeleteFunc(sounding, func(i int) bool { return s.music.Notes[i].End <= top.On })
		for i := g.First; i < g.Last; i++ {
			sounding = append(sounding, i)
		}
	}
	return found
}
