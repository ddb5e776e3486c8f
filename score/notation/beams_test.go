package notation

import "testing"

func TestBeams(t *testing.T) {
	testShown(t, []shownCase{
		{"four of 4/4", "4/4", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1 C4:1/2 C4:1/2", "e( e- e- e) q e( e)"},
		{"not over the middle", "4/4", "C4:1 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1", "q e( e) e( e) q"},
		{"four only when plain", "4/4", "C4:1/2 C4:1/2 C4:1/2 C4:1/4 C4:1/4 C4:2", "e( e) e( s-( s)) h"},
		{"beats of 3/4", "3/4", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", "e( e) e( e) e( e)"},
		{"beats of 2/4", "2/4", "C4:1/2 C4:1/2 C4:1/2 C4:1/2", "e( e) e( e)"},
		{"halves of 2/2", "2/2", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1", "e( e- e- e) e( e) q"},
		{"6/8", "6/8", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1 ", "e( e- e) e q"},
		{"3/8", "3/8", "C4:1/2 C4:1/2 C4:1/2", "e( e- e)"},
		{"6/16", "6/16", "C4:1/4 C4:1/4 C4:1/4 C4:1/4 C4:1/4 C4:1/4", "s(( s-- s)) s(( s-- s))"},
		{"5/8", "5/8", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", "e( e- e) e( e)"},
		{"7/8", "7/8", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", "e( e) e( e) e( e- e)"},
		{"sum", "2+3/8", "C4:1/2 C4:1/2 C4:1/2 C4:1/2 C4:1/2", "e( e) e( e- e)"},
		{"hooks", "2/4", "C4:3/4 C4:1/4 C4:1/4 C4:3/4", "e.( s)< s(> e.)"},
		{"hook inside", "1/4", "C4:1/4 C4:1/2 C4:1/4", "s(> e- s)<"},
		{"hook back inside", "3/8", "C4:3/4 C4:1/4 C4:1/2", "e.( s-< e)"},
		{"hook ahead inside", "3/8", "C4:1/2 C4:1/4 C4:3/4", "e( s-> e.)"},
		{"third level", "1/4", "C4:1/4 C4:1/8 C4:1/8 C4:1/2", "s(( t--( t-)) e)"},
		{"ends at a rest", "1/4", "C4:1/4 -:1/4 C4:1/4 C4:1/4", "s rs s(( s))"},
		{"alone", "2/4", "C4:1/2 C4:1 C4:1/2", "e q e"},
		{"grace notes", "2/4", "D4:g E4:g C4:1/2 D4:g C4:1/2 C4:1", "gs(( gs)) e( ge e) q"},
	})
}
