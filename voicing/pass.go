package voicing

// steps are the passes of arranging, in order, by the names that reports give them: each
// changes the arrangement and records every change and refusal. What a voicing does
// differently is in the table ways.
var steps = []struct {
	name  string
	apply func(*arrangement)
}{
	{"set aside", (*arrangement).setAside},               // what is not played must not count in anything later
	{"place melody", (*arrangement).placeMelody},         // the melody chooses first: all else gives way to it
	{"place bass", (*arrangement).placeBass},             // the bass leaves the hands before they are filled
	{"spread", (*arrangement).spreadChords},              // a chord is spread before its strikes are thinned
	{"thin running figures", (*arrangement).thinRunning}, // what is even has to be known before strikes are thinned one by one
	{"accompany", (*arrangement).accompany},              // needs to know where melody and bass are, to keep clear of them
	{"settle", (*arrangement).settle},                    // only when all keys are chosen is it known what hands and feet can share
	{"unblur", (*arrangement).unblur},                    // only of what can be played is it known what rings into what
	{"relength", (*arrangement).relength},                // lengths follow from the strokes that are left
	{"signs", (*arrangement).carrySigns},                 // what follows a note goes where the note has gone, or not at all
	{"balance", (*arrangement).balance},                  // levels are written last, over whatever is there to be played
}
