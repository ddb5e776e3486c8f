package model

// numbers number keys from 0, in the order in which they are first seen: a hash
// table that costs less than a map.
type numbers struct {
	key    []uint64
	number []int // from 1; 0 in a free place
	used   int
}

func newNumbers(keys int) *numbers {
	size := 4
	for size < 2*keys {
		size *= 2
	}
	return &numbers{key: make([]uint64, size), number: make([]int, size)}
}

func (n *numbers) forget() {
	clear(n.number)
	n.used = 0
}

func (n *numbers) of(key uint64) int {
	last := len(n.key) - 1
	at := int(key>>32) & last
	for n.number[at] != 0 && n.key[at] != key {
		at = (at + 1) & last
	}
	if n.number[at] == 0 {
		n.used++
		n.key[at], n.number[at] = key, n.used
	}
	return n.number[at] - 1
}

// mixed is a key in one number. That two keys fall together is too rare to
// matter, and the same everywhere.
func mixed(key [4]int) uint64 {
	h := uint64(len(key))
	for _, k := range key {
		h = (h ^ uint64(k)) * 0x9e3779b97f4a7c15
		h ^= h >> 29
	}
	return h
}
