package voicing

// pass is one step of arranging. Its fields are its parameters.
type pass interface {
	// Name is the pass's, in reports: a verb, such as "accompany".
	Name() string
	// Apply changes the arrangement and records every change and refusal.
	Apply(a *arrangement)
}

// steps is the one table of passes, in order, each with the reason for its
// place. What a voicing does differently is in the table ways.
var steps = []struct {
	pass
	why string
}{
	{setAside{}, "what is not played must not count in anything later"},
	{placeMelody{}, "the melody chooses first: all else gives way to it"},
	{placeBass{}, "the bass leaves the hands before they are filled"},
	{spread{}, "a chord is spread before its strikes are thinned"},
	{thinRunning{}, "what is even has to be known before strikes are thinned one by one"},
	{accompany{}, "needs to know where melody and bass are, to keep clear of them"},
	{settle{}, "only when all keys are chosen is it known what hands and feet can share"},
	{unblur{}, "only of what can be played is it known what rings into what"},
	{relength{}, "lengths follow from the strokes that are left"},
	{signs{}, "what follows a note goes where the note has gone, or not at all"},
	{balance{}, "levels are written last, over whatever is there to be played"},
}
