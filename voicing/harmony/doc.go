// Package harmony tells which chords a score has, beat by beat, and its keys.
//
// A chord comes from the score's own symbol, or from the notes that sound.
// [Tones] says what a chord of any kind of MusicXML 4.0 is made of, and so
// which of its tones is the third or the fifth; [Find] names the harmony of a
// whole score, [FindKey] its key, [LocalKeys] the keys that it goes through.
//
// The package judges no progression, names no function of a chord in its key,
// and decides nothing about which notes to play: that is for package voicing.
// Where there is a tune and nothing else, its chords are a guess.
package harmony
