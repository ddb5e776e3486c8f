package playing

import "undersong/instrument"

// BrokenRule is rules.broken for the tests of results, which need package
// voicing and so stand outside of this one.
func BrokenRule(tower *instrument.Tower, strokes []Stroke, limbs []Limb) string {
	return rules{tower}.broken(strokes, limbs)
}
