package notation

import "testing"

func TestTuplets(t *testing.T) {
	testShown(t, []shownCase{
		{"triplet", "2/4", "C4:1/3 C4:1/3 C4:1/3 C4:1", "[e3:2( e3:2- e3:2)] q"},
		{"two, one a beat", "2/4", "C4:1/3 C4:2/3 C4:2/3 C4:1/3", "[e3:2 q3:2] [q3:2 e3:2]"},
		{"of half a beat", "1/4", "C4:1/6 C4:1/6 C4:1/6 C4:1/2", "[s3:2(( s3:2-- s3:2))] e"},
		{"over two beats", "2/4", "C4:2/3 C4:2/3 C4:2/3", "[q3:2 q3:2 q3:2]"},
		{"over the second and third beat", "4/4", "C4:1 C4:2/3 C4:2/3 C4:2/3 C4:1", "q [q3:2 q3:2 q3:2] q"},
		{"four in a measure of three need none", "3/4", "C4:3/4 C4:3/4 C4:3/4 C4:3/4", "e.( e.) e. e."},
		{"across the beat", "2/4", "C4:1/3 C4:1/3 C4:2/3 C4:1/3 C4:1/3", "[e3:2( e3:2) q3:2 e3:2( e3:2)]"},
		{"with a rest", "2/4", "C4:1/3 -:1/3 C4:1/3 C4:1", "[e3:2 re3:2 e3:2] q"},
		{"what is left of one", "2/4", "C4:1/3 -:5/3", "[e3:2 re3:2 re3:2] rq"},
		{"the end of one", "2/4", "-:5/3 C4:1/3", "rq [rq3:2 e3:2]"},
		{"the ends of one", "2/4", "C4:1/3 -:1/3 C4:1/3 -:1", "[e3:2 re3:2 e3:2] rq"},
		{"dotted", "1/4", "C4:1/2@3:2 C4:1/6@3:2 C4:1/3@3:2", "[e.3:2( s3:2-< e3:2)]"},
		{"tied out of it", "4/4", "C4:1/3 C4:1/3 D4:7/3 -:1", "[e3:2( e3:2- e3:2~)] h rq"},
		{"tied into it", "4/4", "C4:7/3 D4:2/3 E4:1", "h~ [e3:2 q3:2] q"},
		{"quintuplet", "1/4", "C4:1/5 C4:1/5 C4:1/5 C4:1/5 C4:1/5", "[s5:4(( s5:4-- s5:4-- s5:4-- s5:4))]"},
		{"quintuplet with a tie", "1/4", "C4:4/5 C4:1/5", "[q5:4 s5:4]"},
		{"quintuplet in a dotted beat", "3/8", "C4:3/10 C4:3/10 C4:3/10 C4:3/10 C4:3/10", "[e5:3( e5:3- e5:3- e5:3- e5:3)]"},
		{"septuplet in a dotted beat", "3/8", "C4:3/14 C4:3/14 C4:3/14 C4:3/14 C4:3/14 C4:3/14 C4:3/14", "[s7:6(( s7:6-- s7:6-- s7:6-- s7:6-- s7:6-- s7:6))]"},
		{"triplet in two thirds of a dotted beat", "6/8", "C4:1/2 D4:1/3 D4:1/3 D4:1/3 C4:3/2", "e [e3:2( e3:2- e3:2)] q."},
		{"nine", "1/4", "C4:1/9 C4:8/9", "[t9:8 q9:8]"},
		{"two ratios in one beat", "1/4", "C4:1/6 C4:1/6 C4:1/6 C4:1/10 C4:1/10 C4:1/10 C4:1/10 C4:1/10",
			"[s3:2(( s3:2-- s3:2))] [t5:4((( t5:4--- t5:4--- t5:4--- t5:4)))]"},
	})
}

// TestKeptTuplets: what the score has as a tuplet stays as it is.
func TestKeptTuplets(t *testing.T) {
	testShown(t, []shownCase{
		{"sextuplet", "1/4", "C4:1/6@6:4 C4:1/6@6:4 C4:1/6@6:4 C4:1/6@6:4 C4:1/6@6:4 C4:1/6@6:4", "[s6:4(( s6:4-- s6:4-- s6:4-- s6:4-- s6:4))]"},
		{"a broken sextuplet", "1/4", "C4:1/6@6:4 -:1/2 C4:1/3@6:4", "[s6:4 rs6:4 re6:4 e6:4]"},
		{"duplet", "6/8", "C4:3/4@2:3 C4:3/4@2:3 C4:3/2", "[e2:3( e2:3)] q."},
		{"quadruplet", "6/8", "C4:3/8@4:3 C4:3/8@4:3 C4:3/8@4:3 C4:3/8@4:3 C4:3/2", "[e4:3( e4:3- e4:3- e4:3)] q."},
		{"half a duplet is plain", "6/8", "C4:3/4@2:3 -:3/4 C4:3/2", "e. rs re q."},
		{"off the beat", "2/4", "C4:1/2 C4:1/3@3:2 C4:1/3@3:2 C4:1/3@3:2 C4:1/2", "e [e3:2( e3:2- e3:2)] e"},
		{"two in a beat", "1/4", "C4:1/6@3:2 C4:1/6@3:2 C4:1/6@3:2 C4:1/6@3:2 C4:1/3@3:2", "[s3:2(( s3:2-- s3:2))] [s3:2(> e3:2)]"},
		{"a ratio that does not fit", "1/4", "C4:1/3@5:4 C4:1/3@5:4 C4:1/3@5:4", "[e3:2( e3:2- e3:2)]"},
		{"a ratio that is not needed", "2/4", "C4:1@3:2 C4:1", "q q"},
		{"tremolo", "2/4", "C4:1@2:1 E4:1@2:1", "h2:1 h2:1"},
		{"four for two", "2/4", "C4:1/2@4:2 C4:1/2@4:2 C4:1/2@4:2 C4:1/2@4:2", "[q4:2 q4:2 q4:2 q4:2]"},
		{"four for one", "1/4", "C4:1/4@4:1 C4:1/4@4:1 C4:1/4@4:1 C4:1/4@4:1", "[q4:1 q4:1 q4:1 q4:1]"},
		{"over a measure of three", "3/4", "C4:3/4@4:3 C4:3/4@4:3 C4:3/4@4:3 C4:3/4@4:3", "[q4:3 q4:3 q4:3 q4:3]"},
	})
}

// TestNestedTuplets: what the score nests stays nested where it is whole, else
// it is written as any lengths are.
func TestNestedTuplets(t *testing.T) {
	const inner = " C4:2/9@9:4/3:2 C4:2/9@9:4/3:2 C4:2/9@9:4/3:2"
	testShown(t, []shownCase{
		{"triplet in the middle", "2/4", "C4:2/3@3:2" + inner + " C4:2/3@3:2", "[q3:2 {e9:4( e9:4- e9:4)} q3:2]"},
		{"triplet at the start", "2/4", inner + " C4:2/3@3:2 C4:2/3@3:2", "[{e9:4( e9:4- e9:4)} q3:2 q3:2]"},
		{"three triplets", "2/4", inner + inner + inner, "[{e9:4( e9:4- e9:4)} {e9:4( e9:4- e9:4)} {e9:4( e9:4- e9:4)}]"},
		{"with a rest", "2/4", "C4:2/3@3:2 C4:2/9@9:4/3:2 r:2/9@9:4/3:2 C4:2/9@9:4/3:2 C4:2/3@3:2", "[q3:2 {e9:4 re9:4 e9:4} q3:2]"},
		{"uneven", "2/4", "C4:2/3@3:2 C4:4/9@9:4/3:2 C4:2/9@9:4/3:2 C4:2/3@3:2", "[q3:2 {q9:4 e9:4} q3:2]"},
		{"quintuplet in a triplet", "1/4", "C4:1/3@3:2 C4:1/15@15:8/3:2 C4:1/15@15:8/3:2 C4:1/15@15:8/3:2 C4:1/15@15:8/3:2 C4:1/15@15:8/3:2 C4:1/3@3:2",
			"[e3:2 {t15:8((( t15:8--- t15:8--- t15:8--- t15:8)))} e3:2]"},
		{"what is left of one", "2/4", "C4:2/3@3:2 C4:2/9@9:4/3:2 -:4/9 C4:2/3@3:2", "[e.9:8( s9:8)< re9:8 e.9:8]"},
		{"an outer ratio that does not fit", "1/4", "C4:1/3@3:2/5:4 C4:1/3@3:2/5:4 C4:1/3@3:2/5:4", "[e3:2( e3:2- e3:2)]"},
		{"one in itself is one", "1/4", "C4:1/3@3:2/3:2 C4:1/3@3:2/3:2 C4:1/3@3:2/3:2", "[e3:2( e3:2- e3:2)]"},
	})
}
