package page

import (
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"io"
	"regexp"
	"slices"
	"strings"
)

// shapes are the elements that a drawing may have. Those that hold nothing to
// look at are dropped; any other is an error, since nothing may go missing
// unseen.
var shapes = map[string]bool{
	"svg": true, "g": true, "defs": true, "use": true, "path": true, "rect": true, "ellipse": true, "circle": true, "line": true,
	"polygon": true, "polyline": true, "text": true, "tspan": true, "style": true,
	"desc": false, "title": false, "metadata": false,
}

// looks are the attributes that stay, and classes the classes: those that
// page.css knows.
var (
	looks = strings.Fields("viewBox d points x y x1 y1 x2 y2 cx cy r rx ry dx dy width height transform fill fill-opacity " +
		"stroke-width stroke-linecap stroke-linejoin stroke-dasharray text-anchor font-family font-size font-style font-weight")
	classes = strings.Fields("melody ring ending fing reh tempo dir dynam mNum label")
)

// glyphID is the ID of a glyph: its code point in SMuFL, and what tells
// drawings apart.
var glyphID = regexp.MustCompile(`^#?([0-9A-F]{4,6})-\w+$`)

// fontFace is a font that is in a style itself.
var fontFace = regexp.MustCompile(`@font-face\s*\{\s*font-family:\s*["']?(\w+)["']?;\s*src:\s*url\(["']?(data:[a-z0-9/-]+;(?:charset=[a-z0-9-]+;)?base64,[A-Za-z0-9+/=]+)["']?\)`)

// scribe copies drawings of one program into one page, each glyph and the font
// once.
type scribe struct {
	out    strings.Builder
	glyphs map[string]bool // that are in the page
	font   bool            // is in the page
	open   []string        // elements that are not closed; "" for one without its tags
	bare   bool            // nothing is in the last of them yet
}

// write writes what is in the open element.
func (s *scribe) write(markup string) {
	if s.bare {
		s.out.WriteString(">")
	}
	s.bare = false
	s.out.WriteString(markup)
}

// copy copies a drawing. IDs and groups that say nothing are left out.
func (s *scribe) copy(svg string) error {
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := d.Token()
		switch {
		case err == io.EOF:
			return nil
		case err != nil:
			return fmt.Errorf("not an SVG picture: %w", err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			err = s.start(d, token)
		case xml.EndElement:
			s.end()
		case xml.CharData:
			if n := len(s.open); n > 0 && (s.open[n-1] == "text" || s.open[n-1] == "tspan") {
				s.write(html.EscapeString(string(token)))
			}
		}
		if err != nil {
			return err
		}
	}
}

func (s *scribe) start(d *xml.Decoder, e xml.StartElement) error {
	name := e.Name.Local
	keeps, known := shapes[name]
	switch {
	case !known:
		return fmt.Errorf("not a picture of music: it has a <%s>", name)
	case !keeps:
		return d.Skip()
	case name == "style":
		return s.style(d, e)
	}
	attrs := shown(e)
	if name == "g" && slices.Contains(s.open, "defs") {
		code := glyph(value(e, "id"))
		if code == "" || s.glyphs[code] {
			return d.Skip()
		}
		s.glyphs[code] = true
		attrs += ` id="glyph-` + code + `"`
	}
	if name == "use" {
		code := glyph(value(e, "href"))
		if !s.glyphs[code] {
			return errors.New("not a picture of music: it shows a glyph that it does not have")
		}
		attrs += ` href="#glyph-` + code + `"`
	}
	if name == "g" && attrs == "" {
		name = ""
	} else {
		s.write("<" + name + attrs)
		s.bare = true
	}
	s.open = append(s.open, name)
	return nil
}

func (s *scribe) end() {
	switch name := s.open[len(s.open)-1]; {
	case name == "":
	case s.bare:
		s.out.WriteString("/>")
		s.bare = false
	default:
		s.out.WriteString("</" + name + ">")
	}
	s.open = s.open[:len(s.open)-1]
}

// style keeps of a style the font for signs in text.
func (s *scribe) style(d *xml.Decoder, e xml.StartElement) error {
	var text string
	if err := d.DecodeElement(&text, &e); err != nil {
		return fmt.Errorf("not an SVG picture: %w", err)
	}
	if m := fontFace.FindStringSubmatch(text); m != nil && !s.font {
		s.font = true
		s.write("<style>@font-face{font-family:" + m[1] + ";src:url(" + m[2] + ")}</style>")
	}
	return nil
}

// harmless tells whether an attribute names nothing elsewhere, in any spelling.
func harmless(text string) bool {
	return plain.MatchString(text) && !strings.Contains(strings.ToLower(text), "url")
}

var plain = regexp.MustCompile(`^[-+.,#%()\w\s]*$`)

// shown are the attributes of an element that stay, as markup.
func shown(e xml.StartElement) string {
	var b strings.Builder
	for _, a := range e.Attr {
		text := a.Value
		if a.Name.Local == "class" {
			text = strings.Join(slices.DeleteFunc(strings.Fields(text), func(c string) bool { return !slices.Contains(classes, c) }), " ")
		} else if !slices.Contains(looks, a.Name.Local) || !harmless(text) {
			continue
		}
		if text != "" {
			b.WriteString(" " + a.Name.Local + `="` + html.EscapeString(text) + `"`)
		}
	}
	return b.String()
}

func value(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// glyph is the code point of a glyph's ID or of a link to it; "" where it is
// none.
func glyph(id string) string {
	m := glyphID.FindStringSubmatch(id)
	if m == nil {
		return ""
	}
	return m[1]
}
