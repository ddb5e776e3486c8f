// Package page writes what the other packages found as one self-contained page
// of HTML: pictures of time and pitch before and after, the keyboards beside
// them, sections, findings at their measures, loudness and blur along the piece,
// and an audition on the model of the bells.
//
// It works nothing out about the music that [undersong/voicing],
// [undersong/voicing/study], [undersong/voicing/check] and
// [undersong/voicing/compare] do not tell, opens no files and asks the network
// for nothing: the page's security policy forbids it to.
package page
