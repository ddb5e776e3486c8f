// Package voicing arranges a score for a tower: it finds the melody, gives
// every note of the source a key, a pedal or a reason for leaving it out, and
// lays the result out as a carillon score.
//
// [Voice] does all of it. Inside, analyses read the score; passes, listed in
// one table with the reason for their order, change an arrangement; layout
// writes the arrangement down. Every change is in the [Report].
//
// The package reads and writes no files and knows no file format.
package voicing
