package form

import (
	"strings"
	"unicode"
)

// Kind is what a section is in a song.
type Kind string

// The kinds of section; Other is none of them, or not known.
const (
	Other     Kind = ""
	Intro     Kind = "intro"
	Verse     Kind = "verse"
	PreChorus Kind = "pre-chorus"
	Chorus    Kind = "chorus"
	Bridge    Kind = "bridge"
	Interlude Kind = "interlude"
	Ending    Kind = "ending"
)

// headings are the words with which scores head sections, in the languages
// of the trade: English, German, French, Dutch, Italian, Spanish, Swedish.
// Common practice, no source.
var headings = map[string]Kind{
	"intro": Intro, "introduction": Intro, "einleitung": Intro, "vorspiel": Intro, "inleiding": Intro, "voorspel": Intro,
	"introduzione": Intro, "introducción": Intro, "prelude": Intro, "förspel": Intro,
	"verse": Verse, "stanza": Verse, "strophe": Verse, "vers": Verse, "couplet": Verse, "strofe": Verse, "strofa": Verse,
	"estrofa": Verse, "verso": Verse,
	"pre-chorus": PreChorus, "prechorus": PreChorus,
	"chorus": Chorus, "refrain": Chorus, "kehrreim": Chorus, "refrein": Chorus, "ritornello": Chorus, "estribillo": Chorus,
	"coro": Chorus, "refräng": Chorus,
	"bridge": Bridge, "brücke": Bridge, "pont": Bridge, "brug": Bridge, "puente": Bridge, "middle": Bridge, "c-teil": Bridge,
	"interlude": Interlude, "zwischenspiel": Interlude, "interlude:": Interlude, "tussenspel": Interlude, "interludio": Interlude,
	"mellanspel": Interlude, "solo": Interlude, "instrumental": Interlude,
	"ending": Ending, "outro": Ending, "coda": Ending, "schluss": Ending, "nachspiel": Ending, "fin": Ending, "slot": Ending,
	"naspel": Ending, "finale": Ending, "final": Ending, "efterspel": Ending, "tag": Ending,
}

// leading are words that may stand before the one that counts.
var leading = map[string]bool{
	"last": true, "final": true, "first": true, "second": true, "third": true, "1st": true, "2nd": true, "3rd": true,
	"letzter": true, "letzte": true, "dernier": true, "laatste": true, "ultimo": true, "último": true, "repeat": true,
}

// longestHeading is how many words a heading has at most: more are a sentence.
const longestHeading = 3

// heading tells what a text over the staff heads; ok is false for one that is
// no heading of a section.
func heading(text string) (kind Kind, ok bool) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-'
	})
	if len(words) > longestHeading || len(words) == 0 || strings.ContainsAny(text, "/,;") {
		return Other, false
	}
	first := words[0]
	if leading[first] && len(words) > 1 {
		first = words[1]
	}
	kind, ok = headings[first]
	if strings.EqualFold(strings.TrimSpace(text), "fine") || strings.HasPrefix(strings.ToLower(text), "to coda") {
		return Other, false
	}
	return kind, ok
}
