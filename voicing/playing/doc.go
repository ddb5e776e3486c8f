// Package playing says which hand or foot strikes what on a carillon, and
// names what no player within a tower's limits can strike, with the reason.
//
// A [Player] knows the rules of one tower: how many notes a hand takes, how far
// it reaches, how soon it gets from key to key, how soon a bell can be struck
// again. [Player.Assign] decides over a whole piece at once.
//
// The package changes no music: it does not thin, spread or move what cannot
// be played, and it does not judge how that sounds. It knows strokes and keys,
// no scores.
package playing
