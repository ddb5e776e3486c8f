package study

// The limits of a verdict: within the first nothing speaks against inversion,
// beyond the second something does, between them care is asked for. What is
// weighed is a fact of the trade, named with its source; the figures are the
// project's own, since none are published.
const (
	// A foot plays one pedal, heavy clappers are slow to return (J. Gouwens,
	// "Playing the Carillon", App. B; City of Mechelen): the share of the
	// melody's strokes that come sooner than feet and bells allow. So few
	// strokes ask for care and no more.
	lateWell, lateBadly = 0.0, 0.05
	fewLate             = 2

	// Low bells ring longer and must be played slower (Rensselaer, "Suggestions
	// for Composing for Carillon"); fast melodies turn muddy low down (common
	// practice, no source): how many bells of the melody ring at once, on the
	// mean, within audible dB of the last. A chord in thirds has five notes at most
	// in common use (a ninth), so with more some do not belong together; eight are the
	// scale from end to end. A tune of fewer keys never gets there, however fast: it
	// is clash and feet that speak against it.
	ringsWell, ringsBadly = 5.0, 8.0
	audible               = 20.0

	// The same, by how they sound together: what still rings under a new stroke,
	// each as loud as it is by then, and as much rougher than one bell alone as
	// the two are together (Tower.Roughness; a semitone is least pleasant,
	// Harrison & MacConnachie, JASA 156(2), 2024); a semitone struck together is 1.
	// Up to calm, many bells that ring ask for no care: they are a chord.
	clashWell, clashBadly = 1.2, 2.0
	calm                  = 0.5

	// The share of phrases that lie in the pedals whole, in some octave.
	heldWell, heldBadly = 1.0, 0.6

	// Two octaves for the hands, less a fourth, and a fifth at least, which has room for
	// two notes of a chord: above so many of a hundred notes of the melody and
	// above middle C, as manual writing rarely ventures below that (Gouwens). In
	// semitones.
	roomWell, roomBadly = 19.0, 7.0
	roomOver            = 75

	// What runs above a melody that rings is muddled with it (common practice, no
	// source): strikes a second of all but the melody.
	handsWell = 4.0

	// Rapid changes of harmony blur, since nothing damps (Rensselaer): chord
	// changes while a bell of the melody is heard.
	chordsWell, chordsBadly = 3.0, 6.0

	// A melody in the low bells carries, and towers with weak small bells gain
	// most from it (common practice, no source): what it gains in dB of
	// strength. Less than this asks for care, so much more is named as a reason
	// to do it.
	gainWell, gainMuch = 3.0, 8.0
)
