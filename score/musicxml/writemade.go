package musicxml

import (
	"io"

	"github.com/beevik/etree"

	"undersong/score"
	"undersong/score/musicxml/internal/xmltree"
)

// Write writes a score that was made, not read, as MusicXML 4.0 in UTF-8: with
// its titles, composers, rights and parts. Every Source in it is 0; whatever
// was read is written with its own [Document.Write]. The error is that of w or
// a [score.Error] of what cannot be written, before anything is.
func Write(w io.Writer, s *score.Score) error {
	return made(s).Write(w, s)
}

// made is a document of nothing but the header for s.
func made(s *score.Score) *Document {
	root := etree.NewElement("score-partwise")
	if s != nil {
		addTitles(root, s)
		addNames(root, s)
	}
	return newDocument(&xmltree.Tree{Root: root})
}

// addTitles names the work, and the movement where it has a title of its own.
func addTitles(root *etree.Element, s *score.Score) {
	if s.Title != "" {
		root.CreateElement("work").CreateElement("work-title").SetText(s.Title)
	}
	if s.Movement != "" {
		root.CreateElement("movement-title").SetText(s.Movement)
	}
}

func addNames(root *etree.Element, s *score.Score) {
	id := root.CreateElement("identification")
	for _, name := range s.Composers {
		e := id.CreateElement("creator")
		e.CreateAttr("type", "composer")
		e.SetText(name)
	}
	for _, text := range s.Rights {
		id.CreateElement("rights").SetText(text)
	}
}
