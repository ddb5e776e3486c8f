package page

import (
	"strings"
	"testing"

	"undersong/score/scoretest"
)

const drawing = `<svg viewBox="0 0 10 10" id="one" onload="alert(1)"><desc>made by</desc>
<defs><g id="E0A4-one"><path d="M0 0"/></g></defs>
<style>#one g.tempo { font-weight: bold; } @font-face { font-family: 'Signs'; src: url(data:application/font-woff2;charset=utf-8;base64,AAAA) format('woff2'); }</style>
<g class="measure" id="x1"><g id="melody-1" class="note melody"><use href="#E0A4-one" transform="scale(2)" style="fill:red"/></g></g>
<g class="tempo"><text x="1" fill="url(elsewhere)" stroke="URL(http://x)" stroke-width="u\72l(x)">fast &lt;script&gt; &amp; loud</text></g></svg>`

const copied = `<svg viewBox="0 0 10 10">` +
	`<defs><g id="glyph-E0A4"><path d="M0 0"/></g></defs>` +
	`<style>@font-face{font-family:Signs;src:url(data:application/font-woff2;charset=utf-8;base64,AAAA)}</style>` +
	`<g class="melody"><use transform="scale(2)" href="#glyph-E0A4"/></g>` +
	`<g class="tempo"><text x="1">fast &lt;script&gt; &amp; loud</text></g></svg>`

// TestDrawingIsCopied: only what is known to be harmless stays of a drawing,
// glyphs and the font once for all systems, and what is something else is told.
func TestDrawingIsCopied(t *testing.T) {
	s := &scribe{glyphs: map[string]bool{}}
	if err := s.copy(drawing); err != nil {
		t.Fatal(err)
	}
	first := s.out.String()
	if first != copied {
		t.Errorf("%s\nwant\n%s", first, copied)
	}
	if err := s.copy(strings.ReplaceAll(drawing, "one", "two")); err != nil {
		t.Fatal(err)
	}
	again := strings.TrimPrefix(s.out.String(), first)
	if strings.Contains(again, "font-face") || strings.Contains(again, `id="glyph-`) || !strings.Contains(again, `href="#glyph-E0A4"`) {
		t.Errorf("the second system: %s", again)
	}
	for _, c := range []struct{ svg, error string }{
		{`<svg><script>alert(1)</script></svg>`, "it has a <script>"},
		{`<svg><foreignObject><img src="x"/></foreignObject></svg>`, "it has a <foreignObject>"},
		{`<svg><image href="far.png"/></svg>`, "it has a <image>"},
		{`<svg><use href="far.svg#a"/></svg>`, "a glyph that it does not have"},
		{`<svg><g></svg>`, "not an SVG picture"},
		{`<svg>`, "not an SVG picture"},
	} {
		if err := s.copy(c.svg); err == nil || !strings.Contains(err.Error(), c.error) {
			t.Errorf("%s: %v, want %q", c.svg, err, c.error)
		}
	}
}

// TestEngraved: the drawn score is in the page, each system with a link to its
// first measure where the measures are those of the score, or the line that
// says why it is not.
func TestEngraved(t *testing.T) {
	v := voiced(t, scoretest.Score(t, song))
	v.EngravedNote = "no engraver & no score"
	if text := written(t, v); !strings.Contains(text, "no engraver &amp; no score") {
		t.Error("the line is not there")
	}
	v.EngravedNote = ""
	n := v.Result.MeasureCount()
	for _, c := range []struct {
		systems []System
		want    string // "" for an error
	}{
		{[]System{{drawing, 4}, {drawing, n - 4}}, `<a href="#m4">measures 5–60</a>`},
		{[]System{{drawing, 1}, {drawing, n - 1}}, `<a href="#m0">measure 1</a>`},
		{[]System{{drawing, 4}, {drawing, 0}}, `aria-label="system 2"`},
		{[]System{{drawing, 4}, {"<p/>", n - 4}}, ""},
		{nil, ""},
	} {
		v.engraved = nil
		err := v.Engrave(c.systems)
		if text := written(t, v); (err == nil) != (c.want != "") || !strings.Contains(text, c.want) || (err != nil) != (v.engraved == nil) {
			t.Errorf("%d systems: %v, want %s", len(c.systems), err, c.want)
		}
	}
}
