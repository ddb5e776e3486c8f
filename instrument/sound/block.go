package sound

import "math"

// blockSize is how many samples are rendered at once.
const blockSize = 4096

// piece is a stretch of a block in which a bell rings without a new stroke.
type piece struct {
	from, to int
	tones    []tone
	state    []complex128 // at from; a tone that does not sound has 0
}

// render fills samples with what sounds in the pieces. It depends on nothing
// else, so blocks can be rendered at once, in any order.
func render(pieces []piece, samples []float64) {
	clear(samples)
	var four [4]oscillator // of one stretch
	n, from, to := 0, 0, 0
	flush := func() {
		for i := range n {
			four[i].ring(samples[from:to])
		}
		n = 0
	}
	for _, p := range pieces {
		if p.from != from || p.to != to {
			flush()
			from, to = p.from, p.to
		}
		for i, z := range p.state {
			if z == 0 {
				continue
			}
			four[n] = newOscillator(z, &p.tones[i])
			if n++; n == len(four) {
				ringFour(&four, samples[from:to])
				n = 0
			}
		}
	}
	flush()
}

// oscillator is a dying tone as a recurrence of the second order,
// y[n] = a·y[n-1] + b·y[n-2].
type oscillator struct{ y, before, a, b float64 }

func newOscillator(z complex128, t *tone) oscillator {
	size := math.Exp(t.shrink)
	sin, cos := math.Sincos(t.turn)
	// The sample before the first, by one step back.
	before := (real(z)*cos + imag(z)*sin) / size
	return oscillator{y: real(z), before: before, a: 2 * size * cos, b: -size * size}
}

func (o oscillator) ring(samples []float64) {
	y, before := o.y, o.before
	for i := range samples {
		samples[i] += y
		y, before = o.a*y+o.b*before, y
	}
}

// ringFour is four times ring at once, which the processor does in little more
// than the time of one.
func ringFour(o *[4]oscillator, samples []float64) {
	y0, x0, a0, b0 := o[0].y, o[0].before, o[0].a, o[0].b
	y1, x1, a1, b1 := o[1].y, o[1].before, o[1].a, o[1].b
	y2, x2, a2, b2 := o[2].y, o[2].before, o[2].a, o[2].b
	y3, x3, a3, b3 := o[3].y, o[3].before, o[3].a, o[3].b
	for i := range samples {
		samples[i] += (y0 + y1) + (y2 + y3)
		y0, x0 = a0*y0+b0*x0, y0
		y1, x1 = a1*y1+b1*x1, y1
		y2, x2 = a2*y2+b2*x2, y2
		y3, x3 = a3*y3+b3*x3, y3
	}
}
