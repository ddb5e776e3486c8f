// Package form tells how a piece is built: its sections, from what the score
// says and from where its melody returns.
//
// It reads and changes nothing, and knows nothing of towers. It does not
// analyse forms by name: what it finds is sections in a row, some of them
// alike.
package form
