package musicxml

import (
	"slices"

	"github.com/beevik/etree"

	"undersong/score"
)

// header is what stands before the parts: the document's, with a part list
// for the parts of s and undersong among the encoders. Of the layout only the
// page stays, with its credits; systems and staves are laid out anew.
func (d *Document) header(s *score.Score) []*etree.Element {
	var all []*etree.Element
	var identified bool
	for _, tag := range []string{"work", "movement-number", "movement-title", "identification", "defaults", "credit"} {
		for _, e := range d.tree.Root.SelectElements(tag) {
			e = e.Copy()
			if tag == "identification" {
				identify(e, s.Made)
				identified = true
			}
			if tag == "defaults" {
				keepPage(e)
			}
			all = append(all, e)
		}
		if tag == "identification" && !identified {
			e := etree.NewElement("identification")
			identify(e, s.Made)
			all = append(all, e)
		}
	}
	return append(all, d.partList(s))
}

// keepPage leaves of the defaults the size of page and staff.
func keepPage(defaults *etree.Element) {
	for _, c := range defaults.ChildElements() {
		if c.Tag != "scaling" && c.Tag != "page-layout" {
			defaults.RemoveChild(c)
		}
	}
}

// identify adds undersong to the encoders of an identification, and how the score
// was made, and takes away what the source's program claimed to have written in
// full.
func identify(id *etree.Element, made string) {
	encoding := child(id, "encoding")
	if encoding == nil {
		encoding = etree.NewElement("encoding")
		// The order is fixed: creator, rights, encoding, source, relation, …
		at := len(id.Child)
		for _, tag := range []string{"source", "relation", "miscellaneous"} {
			if e := child(id, tag); e != nil {
				at = min(at, e.Index())
			}
		}
		id.InsertChildAt(at, encoding)
	}
	remove(encoding, "supports")
	if made != "" {
		remove(encoding, description)
		encoding.CreateElement(description).SetText(made)
	}
	for _, e := range encoding.SelectElements("software") {
		if e.Text() == Software {
			return // a second run says no more than the first
		}
	}
	encoding.CreateElement("software").SetText(Software)
}

// description is the element that says how a file came to be.
const description = "encoding-description"

// layoutAttributes place a thing on a page that is not the one to come.
var layoutAttributes = map[string]bool{
	"default-x": true, "default-y": true, "relative-x": true, "relative-y": true,
	"bezier-x": true, "bezier-y": true, "bezier-x2": true, "bezier-y2": true, "bezier-offset": true, "bezier-offset2": true,
	"placement": true, "orientation": true, "id": true,
}

// unplace removes layout attributes from e and everything in it.
func unplace(e *etree.Element) {
	e.Attr = slices.DeleteFunc(e.Attr, func(a etree.Attr) bool { return layoutAttributes[a.FullKey()] })
	for _, c := range e.ChildElements() {
		unplace(c)
	}
}

// unplaced is a copy of the element of a Source without its place on the page.
func (d *Document) unplaced(s score.Source) *etree.Element {
	e := d.element(s).Copy()
	unplace(e)
	return e
}
