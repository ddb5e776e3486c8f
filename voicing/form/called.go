package form

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Found is a pass through a section that was asked for, and why it is the one.
type Found struct {
	Pass
	How string
}

// Last is the last pass through a section of a kind or a name, such as
// "chorus", "refrain" or "Verse 2", as [Called] and [Times] have it. ok is false
// where there is none, or nothing returns.
func Last(sections []Section, passes []Pass, what string) (found Found, ok bool) {
	of, how := Called(sections, what)
	times := Times(sections, passes, of)
	if len(times) == 0 {
		return Found{}, false
	}
	pass := passes[times[len(times)-1]]
	return Found{pass, cmp.Or(how, sections[pass.Section].Because)}, true
}

// same tells whether two names are, whatever the case and the kind of apostrophe: A'
// is easier to type than A′.
func same(a, b string) bool {
	return strings.EqualFold(apostrophes.Replace(a), apostrophes.Replace(b))
}

var apostrophes = strings.NewReplacer("'", "′", "’", "′")

// where are the sections, by index, of which something is true.
func where(sections []Section, is func(s *Section) bool) (of []int) {
	for i := range sections {
		if is(&sections[i]) {
			of = append(of, i)
		}
	}
	return of
}

// Named are the sections, by index, that have just this name, whatever the case.
func Named(sections []Section, name string) []int {
	return where(sections, func(s *Section) bool { return same(s.Name, name) })
}

// Called are the sections, by index, of a name or of a kind, in any language
// that headings are known in and whatever the case; where there is none, those of
// a letter. Where a chorus is asked for and no section is one, they are what is
// played most often, of equals the higher, then the later one: how says so then. A
// "return" is the same.
func Called(sections []Section, what string) (of []int, how string) {
	what = strings.TrimSpace(what)
	if same(what, "return") && len(Named(sections, what)) == 0 {
		what = string(Chorus)
	}
	kind, number, heads := heading(what)
	of = where(sections, func(s *Section) bool { return same(s.Name, what) || heads && number == "" && kind == s.Kind })
	if len(of) == 0 {
		of = where(sections, func(s *Section) bool { return s.Letter != "" && same(s.Letter, what) })
	}
	if len(of) > 0 || kind != Chorus || number != "" {
		return of, ""
	}
	var best *kin
	_, more := tunesOf(sections)
	for _, family := range families(sections) {
		if family.played < 2 || more && !family.again {
			continue
		}
		if best == nil || family.played > best.played ||
			family.played == best.played && sections[family.sections[0]].height >= sections[best.sections[0]].height {
			best = family
		}
	}
	if best == nil {
		return nil, ""
	}
	names, verb := best.letter, "is"
	if slices.ContainsFunc(best.sections, func(i int) bool { return sections[i].Letter != best.letter }) {
		names, verb = names+" and the like", "are"
	}
	return best.sections, fmt.Sprintf("no section is a chorus; %s %s played most often, %d times", names, verb, best.played)
}

// Times are the passes, by index, through any of some sections. Those in which
// the melody rests count only where there are no others.
func Times(sections []Section, passes []Pass, of []int) []int {
	var sung, all []int
	for i, p := range passes {
		if !slices.Contains(of, p.Section) {
			continue
		}
		all = append(all, i)
		if sections[p.Section].Letter != "" {
			sung = append(sung, i)
		}
	}
	if len(sung) > 0 {
		return sung
	}
	return all
}
