// Package plan says which section of a piece is voiced how: plain for the
// verse, inverted for the last chorus.
//
// A [Plan] comes from a YAML file ([Read]), from the short forms of a command
// line ([Plan.Add]), or from what a study finds ([Auto]). [Plan.Resolve] finds
// the sections that it names in a score. It arranges nothing itself.
package plan
