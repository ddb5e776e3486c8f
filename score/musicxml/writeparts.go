package musicxml

import (
	"cmp"
	"slices"

	"github.com/beevik/etree"

	"undersong/score"
)

// partList names the parts of s: those that were read as the document has
// them, in its groups where these still make sense.
func (d *Document) partList(s *score.Score) *etree.Element {
	list := etree.NewElement("part-list")
	old := map[string]*etree.Element{}
	for _, e := range d.tree.Root.FindElements("part-list/score-part") {
		old[attr(e, "id")] = e
	}
	groups := d.partGroups(s)
	for i, p := range s.Parts {
		for _, g := range groups {
			if g.first == i {
				list.AddChild(g.start.Copy())
			}
		}
		if e := old[p.ID]; e != nil && p.Source != 0 {
			e = e.Copy()
			if label(text(e, "part-name")) != p.Name {
				rename(e, p.Name)
			}
			list.AddChild(e)
		} else {
			e := list.CreateElement("score-part")
			e.CreateAttr("id", p.ID)
			e.CreateElement("part-name").SetText(p.Name)
		}
		addStops(list, groups, i)
	}
	return list
}

// rename gives a part of the document another name, and takes away what stands
// for the old one.
func rename(part *etree.Element, name string) {
	remove(part, "part-name-display", "part-abbreviation", "part-abbreviation-display")
	if e := child(part, "part-name"); e != nil {
		e.SetText(name)
	}
}

// addStops ends the groups whose last part is part i, in the order in which
// the document ends them.
func addStops(list *etree.Element, groups []partGroup, i int) {
	var ending []partGroup
	for _, g := range groups {
		if g.last == i {
			ending = append(ending, g)
		}
	}
	slices.SortStableFunc(ending, func(a, b partGroup) int { return cmp.Compare(a.stopsAt, b.stopsAt) })
	for _, g := range ending {
		stop := list.CreateElement("part-group")
		stop.CreateAttr("type", "stop")
		stop.CreateAttr("number", cmp.Or(attr(g.start, "number"), "1"))
	}
}

// partGroup is a bracket or brace before some parts.
type partGroup struct {
	start       *etree.Element
	parts       map[string]bool // by ID
	stopsAt     int             // where it ends among the children of the part list
	first, last int             // its parts in a score, as indexes
}

// partGroups are the document's groups that still make sense in s, by their
// start: all the parts that are left of one stand together, and they are two
// or more unless it never had more.
func (d *Document) partGroups(s *score.Score) []partGroup {
	var kept []partGroup
	for _, g := range d.readPartGroups() {
		left := 0
		for i, p := range s.Parts {
			if g.parts[p.ID] && p.Source != 0 {
				if left == 0 {
					g.first = i
				}
				g.last = i
				left++
			}
		}
		if left > 0 && left == g.last-g.first+1 && (left > 1 || len(g.parts) == 1) {
			kept = append(kept, g)
		}
	}
	return kept
}

// readPartGroups finds the groups of the document. One that nothing ends goes
// to the end of the list.
func (d *Document) readPartGroups() []partGroup {
	var groups []partGroup
	open := map[string]int{} // index by number
	list := child(d.tree.Root, "part-list")
	if list == nil {
		return nil
	}
	for at, e := range list.ChildElements() {
		number := cmp.Or(attr(e, "number"), "1")
		switch {
		case e.Tag == "score-part":
			for _, i := range open {
				groups[i].parts[attr(e, "id")] = true
			}
		case e.Tag == "part-group" && attr(e, "type") == "start":
			open[number] = len(groups)
			groups = append(groups, partGroup{start: e, parts: map[string]bool{}, stopsAt: len(list.Child)})
		case e.Tag == "part-group":
			if i, known := open[number]; known {
				groups[i].stopsAt = at
				delete(open, number)
			}
		}
	}
	return groups
}
