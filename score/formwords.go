package score

import (
	"regexp"
	"strings"
	"sync"
)

// formWords is what a direction says about the order of performance.
type formWords struct {
	jump, dalSegno bool
	aim            aim
	fine, toCoda   bool
	segno, coda    bool
	codaSign       bool // the sign, not the word
	times          bool // "3 times": how often a repeat is played
}

// any tells whether the direction is about the order at all.
func (w formWords) any() bool { return w != formWords{} }

// formSpellings are the spellings, in lower case. Dots or a closed-up spelling
// are asked for, because "D C" could be two chords. They are made when they are
// first needed: that takes longer than to read a small score.
var formSpellings = sync.OnceValue(func() spellings {
	return spellings{
		daCapo:   regexp.MustCompile(`^(d\. ?c\.?|dc|da ?capo)([^\pL\d]|$)`),
		dalSegno: regexp.MustCompile(`^(d\. ?s\.?|ds|dal ?segno|d(\.|al)? ?[𝄋§%])([^\pL\d]|$)`),
		alFine:   regexp.MustCompile(`(^| )(al|alla|to|until) (the )?fine`),
		alCoda:   regexp.MustCompile(`(^| )(al|alla|to|la|e) (the )?(coda|𝄌)`),
		toCoda:   regexp.MustCompile(`^(to|al|alla) (the )?(coda|𝄌)([^\pL\d]|$)`),
		times:    regexp.MustCompile(`^(play )?\d+ ?(x|×|times|mal|fois|volte)$`),
	}
})

type spellings struct{ daCapo, dalSegno, alFine, alCoda, toCoda, times *regexp.Regexp }

// readFormWords reads the words and signs of d, together and each alone:
// some programs write "To" and the coda sign apart.
func readFormWords(d *Direction) formWords {
	var w formWords
	var all []string
	for i := range d.Signs {
		s := &d.Signs[i]
		switch s.Name {
		case "segno":
			w.segno = true
		case "coda":
			w.codaSign = true
			all = append(all, "coda")
		case "words":
			all = append(all, s.Text)
			w.read(s.Text)
		}
	}
	if len(all) > 1 {
		w.read(strings.Join(all, " "))
	}
	return w
}

func (w *formWords) read(text string) {
	text = strings.Join(strings.Fields(strings.ToLower(text)), " ")
	text = strings.Trim(text, " ()[]{}:;,–-*\"'")
	like := formSpellings()
	switch {
	case like.daCapo.MatchString(text):
		w.jump = true
	case like.dalSegno.MatchString(text):
		w.jump, w.dalSegno = true, true
	case like.toCoda.MatchString(text):
		w.toCoda = true
	case like.times.MatchString(text):
		w.times = true
	}
	switch strings.TrimRight(text, ".") {
	case "fine":
		w.fine = true
	case "coda", "𝄌":
		w.coda = true
	case "segno", "𝄋":
		w.segno = true
	}
	switch {
	case !w.jump:
	case like.alFine.MatchString(text):
		w.aim = aimFine
	case like.alCoda.MatchString(text):
		w.aim = aimCoda
	}
}
