package model

// none marks a note without a link.
const none = -1

// links join each note to the one that most nearly carries it on and to the
// one it most nearly carries on: close in pitch, beginning where the other
// ends.
type links struct {
	next, prev []int // none where nothing is near
}

// reach is how far, in ticks, a line may rest and still be carried on.
const reach = 2 * quarter

// farLink is the cost from which two notes are strangers.
const farLink = 40

func noLinks(n int) links {
	l := links{next: make([]int, n), prev: make([]int, n)}
	for i := range n {
		l.next[i], l.prev[i] = none, none
	}
	return l
}

func (m *Music) links() links {
	n := len(m.Notes)
	l := noLinks(n)
	nextCost, prevCost := make([]int, n), make([]int, n)
	for i := range n {
		nextCost[i], prevCost[i] = farLink, farLink
	}
	for _, g := range m.Groups {
		for i := g.First; i < g.Last; i++ {
			a := &m.Notes[i]
			for j := g.Last; j < n && m.Notes[j].On <= a.End+reach && j < g.Last+40; j++ {
				cost := linkCost(a, &m.Notes[j])
				if cost < nextCost[i] {
					nextCost[i], l.next[i] = cost, j
				}
				if cost <= prevCost[j] {
					prevCost[j], l.prev[j] = cost, i
				}
			}
		}
	}
	return l
}

// linkCost is two for a semitone and one for a sixteenth of rest or overlap.
func linkCost(a, b *Note) int {
	rest := b.On - a.End
	if rest < 0 {
		// A note may ring on into the next one; most of it must be over.
		rest = -rest
		if 2*rest > a.Length() {
			return farLink
		}
	}
	return 2*distance(a.Pitch, b.Pitch) + 4*rest/quarter
}

// voiceLinks join each note to the note nearest in pitch of those that its
// voice strikes before and after.
func (m *Music) voiceLinks() links {
	l := noLinks(len(m.Notes))
	last := map[[2]int]Group{} // by staff and voice
	for _, g := range m.Groups {
		for i := g.First; i < g.Last; i++ {
			before, ok := last[m.Notes[i].place()]
			for j := before.First; ok && j < before.Last; j++ {
				if m.Notes[j].place() == m.Notes[i].place() {
					l.prev[i] = m.nearer(i, l.prev[i], j)
					l.next[j] = m.nearer(j, l.next[j], i)
				}
			}
		}
		for i := g.First; i < g.Last; i++ {
			last[m.Notes[i].place()] = g
		}
	}
	return l
}

// place is the staff and the voice that a note stands in.
func (n *Note) place() [2]int { return [2]int{n.Hand, n.Voice} }

// nearer is which of a, which may be none, and b is nearer to i in pitch; a if
// both are as near.
func (m *Music) nearer(i, a, b int) int {
	if a == none || distance(m.Notes[b].Pitch, m.Notes[i].Pitch) < distance(m.Notes[a].Pitch, m.Notes[i].Pitch) {
		return b
	}
	return a
}

// streams joins notes that are each other's best links. It returns the lines
// and the line of every note.
func (m *Music) streams(l links) (lines [][]int, of []int) {
	of = make([]int, len(m.Notes))
	for i := range m.Notes {
		p := l.prev[i]
		if p != none && l.next[p] == i {
			of[i] = of[p]
		} else {
			of[i] = len(lines)
			lines = append(lines, nil)
		}
		lines[of[i]] = append(lines[of[i]], i)
	}
	return lines, of
}

func distance(a, b int) int {
	if a < b {
		return b - a
	}
	return a - b
}
