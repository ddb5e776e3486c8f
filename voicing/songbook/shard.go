package songbook

import (
	"fmt"
	"hash/fnv"
)

// Shard is one of several parts of a list; its zero value is all of it.
type Shard struct{ K, N int } // the Kth of N, from 1

// ParseShard reads "K/N".
func ParseShard(text string) (Shard, error) {
	var s Shard
	if _, err := fmt.Sscanf(text, "%d/%d", &s.K, &s.N); err != nil || s.String() != text || s.K < 1 || s.K > s.N {
		return Shard{}, fmt.Errorf("%q: the Kth of N shards is K/N, from 1/N to N/N", text)
	}
	return s, nil
}

// Has tells whether the score of a name is in the shard, which depends on
// nothing else.
func (s Shard) Has(name string) bool {
	h := fnv.New64a()
	h.Write([]byte(name))
	return s.N == 0 || h.Sum64()%uint64(s.N) == uint64(s.K-1)
}

// Suffix is what the names of the shard's files have added; "" of all.
func (s Shard) Suffix() string {
	if s.N == 0 {
		return ""
	}
	return fmt.Sprintf("-%d-of-%d", s.K, s.N)
}

func (s Shard) String() string {
	if s.N == 0 {
		return ""
	}
	return fmt.Sprintf("%d/%d", s.K, s.N)
}
