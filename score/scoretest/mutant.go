package scoretest

import (
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
)

// Mutant is a file of MusicXML with one to three random changes, always the
// same of one seed: bytes, tags, numbers, words and whole elements. Two in
// three are well-formed still, so that they come further than the reader.
func Mutant(text string, seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 0))
	for range 1 + r.IntN(3) {
		before := text
		for tries := 0; text == before && tries < 20; tries++ {
			text = mutations[r.IntN(len(mutations))](r, text)
		}
	}
	return text
}

// mutations are all as likely.
var mutations = []func(*rand.Rand, string) string{
	changeByte, changeTag,
	changeNumber, changeNumber, changeNumber, changeWord,
	moveElement, changeElement, swapElements,
}

// oddNumbers are where readers stumble.
var oddNumbers = []string{
	"0", "-1", "1", "2", "7", "9", "10", "127", "128", "255", "256", "65536", "-32768", "2147483647", "2147483648",
	"4294967296", "9223372036854775807", "9223372036854775808", "-9223372036854775808", "1e9", "1e308", "1e-308",
	"0.1", "0.333333333333", "-0", "NaN", "Inf", "", " 3 ", "+4", "0x10", "1/3", "99999999999999999999999999",
}

var (
	tags    = regexp.MustCompile(`<[^>]*>`)
	starts  = regexp.MustCompile(`<[A-Za-z][^>]*>`)
	numbers = regexp.MustCompile(`>\s*-?\d+(\.\d+)?\s*<|="-?\d+(\.\d+)?"`)
	words   = regexp.MustCompile(`>[^<>]*[^<>\s][^<>]*<|="[^"<>]*"`)
)

// anyOf is one of the places where a pattern matches, false where none is.
func anyOf(r *rand.Rand, pattern *regexp.Regexp, text string) (at []int, ok bool) {
	all := pattern.FindAllStringIndex(text, -1)
	if len(all) == 0 {
		return nil, false
	}
	return all[r.IntN(len(all))], true
}

// between puts something in place of text[from:to].
func between(text string, from int, in string, to int) string { return text[:from] + in + text[to:] }

func changeByte(r *rand.Rand, text string) string {
	if text == "" {
		return text
	}
	i := r.IntN(len(text))
	switch r.IntN(4) {
	case 0:
		return between(text, i, "", i+1)
	case 1:
		return between(text, i, string([]byte{byte(r.IntN(256))}), i)
	case 2:
		if r.IntN(20) == 0 {
			return text[:i]
		}
		fallthrough
	default:
		return between(text, i, string([]byte{byte(r.IntN(256))}), i+1)
	}
}

func changeTag(r *rand.Rand, text string) string {
	a, ok := anyOf(r, tags, text)
	if !ok {
		return text
	}
	b, _ := anyOf(r, tags, text)
	switch tag := text[a[0]:a[1]]; {
	case r.IntN(3) == 0:
		return between(text, a[0], "", a[1])
	case r.IntN(2) == 0:
		return between(text, a[0], tag+tag, a[1])
	case a[1] <= b[0]:
		return text[:a[0]] + text[b[0]:b[1]] + text[a[1]:b[0]] + tag + text[b[1]:]
	}
	return text
}

func changeNumber(r *rand.Rand, text string) string {
	at, ok := anyOf(r, numbers, text)
	if !ok {
		return text
	}
	head, tail := quotes(text[at[0]:at[1]])
	return between(text, at[0], head+oddNumbers[r.IntN(len(oddNumbers))]+tail, at[1])
}

// quotes are what stands around a text or a value.
func quotes(found string) (head, tail string) {
	if found[0] == '>' {
		return ">", "<"
	}
	return `="`, `"`
}

// changeWord puts a text or a value of the file where another one was.
func changeWord(r *rand.Rand, text string) string {
	a, ok := anyOf(r, words, text)
	if !ok {
		return text
	}
	b, _ := anyOf(r, words, text)
	head, tail := quotes(text[a[0]:a[1]])
	other := strings.Trim(strings.TrimPrefix(text[b[0]:b[1]], "="), `"<>`)
	return between(text, a[0], head+other+tail, a[1])
}

// element is one with all that is in it, false where it does not end.
func element(r *rand.Rand, text string) (from, to int, ok bool) {
	at, ok := anyOf(r, starts, text)
	if !ok {
		return 0, 0, false
	}
	if strings.HasSuffix(text[at[0]:at[1]], "/>") {
		return at[0], at[1], true
	}
	end := "</" + name(text[at[0]:at[1]]) + ">"
	i := strings.Index(text[at[1]:], end) // few elements of MusicXML hold one of their own name
	return at[0], at[1] + i + len(end), i >= 0
}

// name is that of the element that begins a text.
func name(text string) string {
	return strings.FieldsFunc(text+" ", func(c rune) bool { return strings.ContainsRune("<> /\t\r\n", c) })[0]
}

func moveElement(r *rand.Rand, text string) string {
	from, to, ok := element(r, text)
	if !ok {
		return text
	}
	rest := between(text, from, "", to)
	at, ok := anyOf(r, tags, rest)
	if !ok {
		return text
	}
	return between(rest, at[1], text[from:to], at[1])
}

// changeElement drops an element, empties it, or has it several times.
func changeElement(r *rand.Rand, text string) string {
	from, to, ok := element(r, text)
	if !ok {
		return text
	}
	whole := text[from:to]
	switch r.IntN(3) {
	case 0:
		return between(text, from, "", to)
	case 1:
		return between(text, from, "<"+name(whole)+"/>", to)
	default:
		times := []int{2, 2, 3, 50}[r.IntN(4)]
		if len(whole)*times > 1<<20 {
			times = 2
		}
		return between(text, from, strings.Repeat(whole, times), to)
	}
}

func swapElements(r *rand.Rand, text string) string {
	a, b, okA := element(r, text)
	c, d, okB := element(r, text)
	at := []int{a, b, c, d}
	if !okA || !okB || b > c || !slices.IsSorted(at) {
		return text
	}
	return text[:a] + text[c:d] + text[b:c] + text[a:b] + text[d:]
}

var lineNumbers = regexp.MustCompile(`-?\d+(\.\d+)?`)

// MutantLines is a file of lines, such as a tower or a plan, with one to three
// random changes, always the same of one seed: bytes, numbers, lines.
func MutantLines(text string, seed uint64) string {
	r := rand.New(rand.NewPCG(seed, 2))
	for range 1 + r.IntN(3) {
		switch r.IntN(4) {
		case 0:
			text = changeByte(r, text)
		case 1:
			text = changeLine(r, text)
		default:
			if at, ok := anyOf(r, lineNumbers, text); ok {
				text = between(text, at[0], oddNumbers[r.IntN(len(oddNumbers))], at[1])
			}
		}
	}
	return text
}

// changeLine drops a line, has it again, or swaps it with another.
func changeLine(r *rand.Rand, text string) string {
	lines := strings.SplitAfter(text, "\n")
	i, k := r.IntN(len(lines)), r.IntN(len(lines))
	switch r.IntN(3) {
	case 0:
		lines = slices.Delete(lines, i, i+1)
	case 1:
		lines = slices.Insert(lines, k, lines[i])
	default:
		lines[i], lines[k] = lines[k], lines[i]
	}
	return strings.Join(lines, "")
}
