package main

import (
	"io"
	"slices"

	"undersong/voicing/melody/internal/model"
)

// ways of finding a melody, for the table.
var ways = []string{"top of what is struck", "top of what sounds", "by rules", "fitted"}

// crossValidate finds every song's melody with forests fitted to songs of the
// other folds and prints a table. With only > 0 it leaves the other folds out.
func crossValidate(out io.Writer, songs []*song, how growth, folds, only int) error {
	results := map[string]map[string]*result{}
	if only == 0 {
		only = folds
	}
	for fold := range only {
		var known, unknown []*song
		for _, s := range songs {
			if foldOf(s.id, folds) == fold {
				unknown = append(unknown, s)
			} else {
				known = append(known, s)
			}
		}
		forests := fitForests(learning(known), how)
		for _, s := range unknown {
			v := model.NewView(s.music)
			record(results, s, "top of what is struck", tops(s, false))
			record(results, s, "top of what sounds", tops(s, true))
			byRules, _ := v.Melody(v.ByRules())
			record(results, s, "by rules", byRules)
			fitted, _ := v.Melody(v.Scores(forests))
			record(results, s, "fitted", fitted)
		}
	}
	var sets []string
	for set := range results {
		sets = append(sets, set)
	}
	slices.Sort(sets)
	for _, set := range sets {
		for _, way := range ways {
			if r := results[set][way]; r != nil {
				r.print(out, set, way)
			}
		}
	}
	return nil
}

func record(results map[string]map[string]*result, s *song, way string, found []int) {
	if results[s.set] == nil {
		results[s.set] = map[string]*result{}
	}
	if results[s.set][way] == nil {
		results[s.set][way] = &result{}
	}
	results[s.set][way].add(judge(s, found))
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
