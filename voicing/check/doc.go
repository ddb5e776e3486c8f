// Package check tells what a tower and its player cannot do of a carillon
// score, and what of it will sound poor: notes without a key, what no hand or
// foot can play, bells struck too fast, too much at once, blur, a melody that
// does not stand clear, and major thirds low down.
//
// It takes any score: one that this project made, or another's. Notes are keys
// as written, whatever a part transposes by. Which staff is played where is
// worked out by a rule, see [Keyboards]. Measures are taken once, in the order
// in which they are written, at the tempo of the score.
//
// The package changes nothing, and it judges no arrangement against the music
// that it was made from.
package check
