package score

import (
	"regexp"
	"strings"
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

// The spellings, in lower case. Dots or a closed-up spelling are asked for,
// because "D C" could be two chords.
var (
	daCapoWords   = regexp.MustCompile(`^(d\. ?c\.?|dc|da ?capo)([^\pL\d]|$)`)
	dalSegnoWords = regexp.MustCompile(`^(d\. ?s\.?|ds|dal ?segno|d(\.|al)? ?[𝄋§%])([^\pL\d]|$)`)
	alFineWords   = regexp.MustCompile(`(^| )(al|alla|to|until) (the )?fine`)
	alCodaWords   = regexp.MustCompile(`(^| )(al|alla|to|la|e) (the )?(coda|𝄌)`)
	toCodaWords   = regexp.MustCompile(`^(to|al|alla) (the )?(coda|𝄌)([^\pL\d]|$)`)
	timesWords    = regexp.MustCompile(`^(play )?\d+ ?(x|×|times|mal|fois|volte)$`)
)

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
	switch {
	case daCapoWords.MatchString(text):
		w.jump = true
	case dalSegnoWords.MatchString(text):
		w.jump, w.dalSegno = true, true
	case toCodaWords.MatchString(text):
		w.toCoda = true
	case timesWords.MatchString(text):
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
	case alFineWords.MatchString(text):
		w.aim = aimFine
	case alCodaWords.MatchString(text):
		w.aim = aimCoda
	}
}
