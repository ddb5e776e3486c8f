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
	"introduzione": Intro, "introducción": Intro, "prelude": Intro, "prélude": Intro, "förspel": Intro,
	"verse": Verse, "stanza": Verse, "strophe": Verse, "vers": Verse, "couplet": Verse, "strofe": Verse, "strofa": Verse,
	"estrofa": Verse, "verso": Verse, "copla": Verse,
	"pre-chorus": PreChorus, "prechorus": PreChorus, "pré-refrain": PreChorus, "pre-refrain": PreChorus,
	"chorus": Chorus, "refrain": Chorus, "kehrreim": Chorus, "kehrvers": Chorus, "refrein": Chorus, "ritornello": Chorus,
	"estribillo": Chorus, "coro": Chorus, "refräng": Chorus,
	"bridge": Bridge, "brücke": Bridge, "pont": Bridge, "brug": Bridge, "puente": Bridge, "ponte": Bridge, "c-teil": Bridge,
	"interlude": Interlude, "zwischenspiel": Interlude, "tussenspel": Interlude, "interludio": Interlude, "interlúdio": Interlude,
	"mellanspel": Interlude, "instrumental": Interlude,
	"ending": Ending, "outro": Ending, "coda": Ending, "schluss": Ending, "nachspiel": Ending, "slot": Ending,
	"naspel": Ending, "finale": Ending, "final": Ending, "efterspel": Ending, "tag": Ending, "postlude": Ending,
}

// leading are words that may stand before the one that counts.
var leading = map[string]bool{
	"last": true, "final": true, "first": true, "second": true, "third": true, "1st": true, "2nd": true, "3rd": true,
	"letzter": true, "letzte": true, "dernier": true, "laatste": true, "ultimo": true, "último": true, "repeat": true,
	"le": true, "il": true, "het": true, "the": true,
}

// trailing are words that may stand after it, beside numbers and single
// letters.
var trailing = map[string]bool{"one": true, "two": true, "three": true, "four": true, "again": true, "repeat": true, "2x": true, "x2": true}

// longestHeading is how many words a heading has at most: more are a sentence.
const longestHeading = 3

// heading tells what a text over the staff heads; ok is false for one that is
// no heading of a section.
func heading(text string) (kind Kind, ok bool) {
	kind, _, ok = parseHeading(text)
	return kind, ok
}

// parseHeading is heading with what tells sections of one kind apart, such as
// "2" in "Verse 2".
func parseHeading(text string) (kind Kind, number string, ok bool) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '’' && r != '\''
	})
	if len(words) > longestHeading || strings.ContainsAny(text, "/,;") {
		return Other, "", false
	}
	for len(words) > 1 && (leading[words[0]] || isNumber(words[0])) && headings[words[0]] != Verse {
		if isNumber(words[0]) {
			number = words[0]
		}
		words = words[1:]
	}
	if len(words) == 0 || len(words) > 2 {
		return Other, "", false
	}
	first := strings.Trim(words[0], "-")
	if word := strings.TrimRight(first, "0123456789"); word != "" && word != first {
		first, number = word, first[len(word):]
	}
	if len(words) == 2 {
		if last := strings.Trim(words[1], "-"); isNumber(last) || trailing[last] {
			number = last
		} else {
			return Other, "", false
		}
	}
	kind, ok = headings[strings.Trim(first, "-")]
	return kind, number, ok
}

// isNumber tells whether a word is an arabic or roman number or one letter.
func isNumber(word string) bool {
	return len(word) == 1 || strings.Trim(word, "0123456789") == "" || strings.Trim(word, "ivx") == ""
}
