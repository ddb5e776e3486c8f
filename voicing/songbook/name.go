package songbook

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Name is a file's name as data, which is text and a file's name need not be: the
// same, but one that is no UTF-8, or begins with a quotation mark, stands in quotes,
// as Go writes it.
func Name(file string) string {
	if !utf8.ValidString(file) || strings.HasPrefix(file, `"`) {
		return strconv.Quote(file)
	}
	return file
}

// File is the file's name of a [Name].
func File(name string) string {
	if file, err := strconv.Unquote(name); err == nil && strings.HasPrefix(name, `"`) {
		return file
	}
	return name
}

// Shown is a [Name] that can be told in a line: one with characters that are not
// printed stands in quotes too. Different names are shown differently.
func Shown(name string) string {
	odd := func(r rune) bool { return !unicode.IsPrint(r) }
	if strings.ContainsFunc(name, odd) { // what is in quotes has none
		return strconv.Quote(name)
	}
	return name
}
