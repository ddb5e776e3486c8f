package songbook

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Summary is what became of all scores. As JSON its fields are stable.
type Summary struct {
	Version int      `json:"version"` // of this form: 1
	Program string   `json:"program"` // the version of undersong
	Source  string   `json:"source"`  // the folder or list, as given
	With    []string `json:"with"`    // the options that were given
	Shard   string   `json:"shard,omitempty"`
	Scores  int      `json:"scores"`
	Failed  int      `json:"failed"` // scores with an error, for any tower
	ToLook  int      `json:"toLook"` // other scores with a reason to look at them
	// Closed are the folders under Source that could not be read, see [Name].
	Closed []string `json:"closed,omitempty"`
	Rows   []Row    `json:"rows"` // what needs a person's eye first
}

// New sums up rows.
func New(rows []Row, with []string) *Summary {
	type ranked struct {
		Row
		share float64 // of the score that its first reason concerns
	}
	order := make([]ranked, len(rows))
	for i, r := range rows {
		order[i].Row = r
		order[i].Look, order[i].share = r.look()
	}
	slices.SortFunc(order, func(x, y ranked) int {
		return cmp.Or(cmp.Compare(y.share, x.share), strings.Compare(x.Name, y.Name), strings.Compare(x.Tower, y.Tower))
	})
	s := &Summary{Version: 1, With: with, Rows: []Row{}}
	all, failed, look := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, r := range order {
		s.Rows = append(s.Rows, r.Row)
		all[r.Name] = true
		switch {
		case r.Error != "":
			failed[r.Name] = true
		case r.Look != "" && !failed[r.Name]: // failures stand first
			look[r.Name] = true
		}
	}
	s.Scores, s.Failed, s.ToLook = len(all), len(failed), len(look)
	return s
}

// Read reads a summary that was written as JSON.
func Read(r io.Reader, name string) (*Summary, error) {
	s := &Summary{}
	if json.NewDecoder(r).Decode(s) != nil {
		return nil, fmt.Errorf("%s: it is not the summary of a songbook as JSON", name)
	}
	if s.Version != 1 {
		return nil, fmt.Errorf("%s: it has version %d; this program reads version 1", name, s.Version)
	}
	return s, nil
}

// Merge puts the summaries of all shards of a list together.
func Merge(shards []*Summary) (*Summary, error) {
	var errs []error
	var rows []Row
	var closed []string
	given := map[Shard]bool{}
	first, _ := ParseShard(shards[0].Shard)
	for _, s := range shards {
		shard, err := ParseShard(s.Shard)
		switch {
		case err != nil:
			errs = append(errs, err)
		case shard.N != first.N:
			errs = append(errs, fmt.Errorf("shards %v and %v are not of one division", first, shard))
		case given[shard]:
			errs = append(errs, fmt.Errorf("shard %v is given twice", shard))
		case !slices.Equal(s.With, shards[0].With):
			errs = append(errs, fmt.Errorf("shards %v and %v were voiced with other options: %q and %q", first, shard, shards[0].With, s.With))
		}
		given[shard] = true
		rows, closed = append(rows, s.Rows...), append(closed, s.Closed...)
	}
	for k := 1; k <= first.N; k++ {
		if want := (Shard{k, first.N}); !given[want] {
			errs = append(errs, fmt.Errorf("shard %v is missing", want))
		}
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	all := New(rows, shards[0].With)
	slices.Sort(closed)
	all.Program, all.Source, all.Closed = shards[0].Program, shards[0].Source, slices.Compact(closed)
	return all, nil
}

// towers tells whether there are several.
func (s *Summary) towers() bool {
	return slices.ContainsFunc(s.Rows, func(r Row) bool { return r.Tower != s.Rows[0].Tower })
}
