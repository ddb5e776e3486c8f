package instrument

// LowestThird is the lowest key, as a MIDI number, that bears a major third above
// it: middle C. No major triads in the low bells (Rensselaer, "Suggestions for
// Composing for Carillon"; T. Gurin, GCNA Bulletin 71).
const LowestThird = 60

// RoughThird tells whether two keys are a major third whose lower bell is below
// [LowestThird].
func RoughThird(a, b int) bool {
	return min(a, b) < LowestThird && max(a, b)-min(a, b) == 4
}
