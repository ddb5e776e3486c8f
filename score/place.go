package score

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// Place is where in a score something is. Empty fields are not known.
type Place struct {
	File    string `json:"file,omitempty"`
	Part    string `json:"part,omitempty"`
	Measure string `json:"measure,omitempty"`
	// Beat counts from 1 in the measure's own beats: "1", "2 1/2".
	Beat string `json:"beat,omitempty"`
}

// String is "song.musicxml, part P1, measure 12, beat 3", of what is known, in
// one line whatever the names hold.
func (p Place) String() string {
	var words []string
	for _, w := range []struct {
		name, value string
		most        int // bytes; no path has more
	}{{"", p.File, 4096}, {"part ", p.Part, 60}, {"measure ", p.Measure, 60}, {"beat ", p.Beat, 60}} {
		if len(w.value) > w.most {
			w.value = strings.ToValidUTF8(w.value[:w.most], "") + "…"
		}
		if w.value != "" {
			words = append(words, w.name+OneLine(w.value))
		}
	}
	return strings.Join(words, ", ")
}

// Count is so many of something in words: "1 note", "2 notes".
func Count(n int, what string) string {
	if n != 1 {
		what += "s"
	}
	return strconv.Itoa(n) + " " + what
}

// MeasureSpan is measures by the numbers of the first and the last: "3", "3–5".
func MeasureSpan(first, last string) string {
	if first == last {
		return first
	}
	return first + "–" + last
}

// Measures names measures by their numbers and spans: "measure 3", "measures 3–5",
// "measures 1, 3–5".
func Measures(spans ...string) string {
	if len(spans) == 1 && !strings.Contains(spans[0], "–") {
		return "measure " + spans[0]
	}
	return "measures " + strings.Join(spans, ", ")
}

// OneLine is a name from outside as it can stand in a line of text: control
// characters are escaped, "\n" for a new line.
func OneLine(name string) string {
	if !strings.ContainsFunc(name, breaksLine) {
		return name
	}
	quoted := strconv.Quote(name)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}

// breaksLine tells whether a character begins a line or steers a terminal.
func breaksLine(c rune) bool { return unicode.IsControl(c) || c == '\u2028' || c == '\u2029' }

// Error is something wrong with a score, at its place.
type Error struct {
	Place
	Problem string // what is wrong and what to do; "" when Err says it
	Err     error  // the cause, or nil
}

// Error is "place: problem: cause".
func (e *Error) Error() string {
	text := e.Problem
	switch {
	case text == "" && e.Err != nil:
		text = e.Err.Error()
	case e.Err != nil:
		text += ": " + e.Err.Error()
	}
	if at := e.Place.String(); at != "" {
		text = at + ": " + text
	}
	return text
}

// Unwrap is the cause.
func (e *Error) Unwrap() error { return e.Err }

// BeatName is the name of the beat at onset in a measure whose beats are as
// listed: "3", or "3 1/2" half-way to the next.
func BeatName(onset Time, beats []Time) string {
	n, length := 1, Quarter
	for i, b := range beats {
		if onset.Less(b) || i == len(beats)-1 {
			length = b
			break
		}
		onset, n = onset.Sub(b), n+1
	}
	part := onset.Mul(length.Den(), length.Num())
	whole := part.Floor(Quarter)
	n += int(whole.Num())
	if part = part.Sub(whole); part.Sign() == 0 {
		return fmt.Sprint(n)
	}
	return fmt.Sprintf("%d %s", n, part)
}

// BeatOnset is the onset of the beat of a name, the inverse of [BeatName]; false
// where that is none.
func BeatOnset(name string, beats []Time) (onset Time, ok bool) {
	var n int
	num, den := int64(0), int64(1)
	if k, _ := fmt.Sscanf(name, "%d %d/%d", &n, &num, &den); k != 1 && k != 3 || n < 1 || den < 1 {
		return Time{}, false
	}
	length := Quarter
	for i := range n {
		if i < len(beats) {
			length = beats[i]
		}
		if i < n-1 {
			onset = onset.Add(length)
		}
	}
	return onset.Add(length.Mul(num, den)), true
}
