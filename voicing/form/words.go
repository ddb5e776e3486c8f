package form

import (
	"slices"
	"strconv"
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

// headings are the words with which scores head sections, and what is short for
// them, in the languages of the trade: English, German, French, Dutch, Italian,
// Spanish, Swedish, Danish, Norwegian, Portuguese, Polish. Common practice, no
// source. "Rit." is none: it slows down.
var headings = map[string]Kind{
	"intro": Intro, "introduction": Intro, "einleitung": Intro, "vorspiel": Intro, "inleiding": Intro, "voorspel": Intro,
	"introduzione": Intro, "introducción": Intro, "prelude": Intro, "prélude": Intro, "preludio": Intro, "förspel": Intro,
	"forspil": Intro, "forspill": Intro, "introdução": Intro, "wstęp": Intro,
	"verse": Verse, "verses": Verse, "stanza": Verse, "strophe": Verse, "vers": Verse, "couplet": Verse, "strofe": Verse, "strofa": Verse,
	"estrofa": Verse, "verso": Verse, "copla": Verse, "versen": Verse, "verset": Verse, "estrofe": Verse, "zwrotka": Verse,
	"pre-chorus": PreChorus, "prechorus": PreChorus, "pré-refrain": PreChorus, "pre-refrain": PreChorus, "pre-refrein": PreChorus,
	"pre-coro": PreChorus, "precoro": PreChorus, "pre-estribillo": PreChorus,
	"chorus": Chorus, "refrain": Chorus, "refr": Chorus, "ref": Chorus, "burden": Chorus,
	"kehrreim": Chorus, "kehrvers": Chorus, "chor": Chorus, "schlussrefrain": Chorus, "schlußrefrain": Chorus, "choeur": Chorus, "chœur": Chorus,
	"refrein": Chorus, "slotrefrein": Chorus, "eindrefrein": Chorus, "keervers": Chorus, "koor": Chorus, "slotkoor": Chorus,
	"ritornello": Chorus, "inciso": Chorus, "coro": Chorus, "estribillo": Chorus, "refrão": Chorus, "refren": Chorus,
	"refräng": Chorus, "refrängen": Chorus, "slutrefräng": Chorus, "omkväd": Chorus, "omkvädet": Chorus, "kör": Chorus,
	"omkvæd": Chorus, "omkvædet": Chorus, "omkved": Chorus, "omkvedet": Chorus, "refræn": Chorus, "refreng": Chorus, "refrenget": Chorus,
	"bridge": Bridge, "brücke": Bridge, "pont": Bridge, "brug": Bridge, "puente": Bridge, "ponte": Bridge, "c-teil": Bridge, "mittelteil": Bridge,
	"brygga": Bridge, "bryggan": Bridge, "sticket": Bridge, "bro": Bridge,
	"interlude": Interlude, "zwischenspiel": Interlude, "tussenspel": Interlude, "interludio": Interlude, "interlúdio": Interlude,
	"mellanspel": Interlude, "mellemspil": Interlude, "mellomspill": Interlude, "instrumental": Interlude,
	"ending": Ending, "outro": Ending, "coda": Ending, "schluss": Ending, "nachspiel": Ending, "slot": Ending,
	"naspel": Ending, "finale": Ending, "final": Ending, "efterspel": Ending, "efterspil": Ending, "etterspill": Ending,
	"tag": Ending, "postlude": Ending, "postludio": Ending,
}

// ordinals are words for which of several, in the same languages; -1 is the last.
var ordinals = map[string]int{
	"first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "4th": 4, "last": -1, "final": -1,
	"erste": 1, "erster": 1, "zweite": 2, "zweiter": 2, "dritte": 3, "dritter": 3, "vierte": 4, "vierter": 4, "letzte": -1, "letzter": -1,
	"premier": 1, "première": 1, "deuxième": 2, "troisième": 3, "quatrième": 4, "dernier": -1, "dernière": -1,
	"eerste": 1, "tweede": 2, "derde": 3, "vierde": 4, "laatste": -1,
	"primo": 1, "prima": 1, "secondo": 2, "seconda": 2, "terzo": 3, "terza": 3, "quarto": 4, "quarta": 4, "ultimo": -1, "ultima": -1, "finale": -1,
	"primer": 1, "primera": 1, "segundo": 2, "segunda": 2, "tercer": 3, "tercera": 3, "cuarto": 4, "cuarta": 4, "último": -1, "última": -1,
	"första": 1, "andra": 2, "tredje": 3, "fjärde": 4, "sista": -1,
	"første": 1, "anden": 2, "andre": 2, "fjerde": 4, "sidste": -1, "siste": -1,
	"primeiro": 1, "primeira": 1, "terceiro": 3, "terceira": 3,
	"pierwsza": 1, "druga": 2, "trzecia": 3, "ostatni": -1, "ostatnia": -1,
}

// articles may stand before all else.
var articles = map[string]bool{
	"the": true, "der": true, "die": true, "das": true, "le": true, "la": true, "les": true, "de": true, "het": true, "il": true, "el": true,
}

// Nth parts such words as "the last chorus", "2. Strophe" or "coro finale" into
// which of the sections is meant, counted from 1, and what they are called; -1 is
// the last, 0 all of them.
func Nth(text string) (n int, name string) {
	words := strings.Fields(text)
	if len(words) > 1 && articles[strings.ToLower(words[0])] {
		words = words[1:]
	}
	if len(words) < 2 {
		return 0, strings.Join(words, " ")
	}
	last := len(words) - 1
	if n := ordinal(words[0]); n != 0 {
		return n, strings.Join(words[1:], " ")
	}
	if n := ordinal(words[last]); n != 0 && headings[strings.ToLower(words[0])] != Other {
		return n, strings.Join(words[:last], " ")
	}
	return 0, strings.Join(words, " ")
}

// ordinal is the number that a word or such as "2.", "2e" or "2:a" stands for, 0 of
// none.
func ordinal(word string) int {
	word = strings.ToLower(word)
	end := strings.TrimLeft(word, "0123456789")
	if n, err := strconv.Atoi(word[:len(word)-len(end)]); err == nil && ordinalEnds[end] {
		return n
	}
	return ordinals[word]
}

// ordinalEnds stand behind digits in the languages of the headings.
var ordinalEnds = map[string]bool{
	".": true, "st": true, "nd": true, "rd": true, "th": true, "e": true, "er": true, "re": true, "ère": true, "ème": true, "de": true,
	"ste": true, ":a": true, ":e": true, "a": true, "o": true, "ª": true, "º": true, "°": true,
}

// leading tells whether a word may stand before the one that counts.
func leading(word string) bool { return ordinal(word) != 0 || articles[word] || word == "repeat" }

// trailing are words that may stand after it, beside numbers and single
// letters.
var trailing = map[string]bool{"one": true, "two": true, "three": true, "four": true, "again": true, "repeat": true, "2x": true, "x2": true}

// longestHeading is how many words a heading has at most: more are a sentence.
const longestHeading = 3

// heading tells what a text over the staff heads, and what tells sections of one
// kind apart, such as "2" in "Verse 2"; ok is false for one that is no heading of a
// section.
func heading(text string) (kind Kind, number string, ok bool) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '-' && r != '’' && r != '\''
	})
	if len(words) > longestHeading || strings.ContainsAny(text, "/,;") {
		return Other, "", false
	}
	for len(words) > 1 && (leading(words[0]) || isNumber(words[0])) && slices.ContainsFunc(words[1:], isHeading) {
		if isNumber(words[0]) {
			number = words[0]
		} else if n := ordinal(words[0]); n > 0 {
			number = strconv.Itoa(n)
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
		if last := strings.Trim(words[1], "-"); isNumber(last) || trailing[last] || ordinals[last] != 0 {
			number = last
		} else {
			return Other, "", false
		}
	}
	kind, ok = headings[strings.Trim(first, "-")]
	return kind, number, ok
}

// isHeading tells whether a word is one that heads sections: in "Final repeat"
// it is the first one, in "Final chorus" the second too.
func isHeading(word string) bool { return headings[strings.Trim(word, "-0123456789")] != Other }

// Number tells whether a section is numbered n by its heading, such as "Verse 2".
func Number(s Section, n int) bool {
	_, number, ok := heading(s.Name)
	return ok && n > 0 && (number == strconv.Itoa(n) || numerals[number] == n)
}

// numerals are numbers that are not written in digits.
var numerals = map[string]int{
	"i": 1, "ii": 2, "iii": 3, "iv": 4, "v": 5, "vi": 6, "vii": 7, "viii": 8, "ix": 9, "x": 10,
	"one": 1, "two": 2, "three": 3, "four": 4,
}

// isNumber tells whether a word is an arabic or roman number or one letter.
func isNumber(word string) bool {
	return len(word) == 1 || strings.Trim(word, "0123456789") == "" || strings.Trim(word, "ivx") == ""
}
