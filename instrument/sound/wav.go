package sound

import (
	"bufio"
	"context"
	"encoding/binary"
	"io"
	"math"
	"runtime"
	"sync"
	"sync/atomic"
)

// Made is what was written.
type Made struct {
	Heard
	Peak float64 // dB under the largest number that the file can hold
	// Full is the level at the place, in dB above 20 µPa, of a tone that would
	// fill the file: what tells two recordings' scales apart.
	Full float64
}

// peak is how far the loudest sample stays under full scale, in dB.
const peak = -1.0

// WriteWAV writes the piece as a WAV file of one channel, 16 bits and [Rate]
// samples a second. It is rendered twice: first to find its peak, then scaled
// so that the peak is 1 dB under full scale, so that it cannot clip. How loud
// the place is in truth is in what is returned. The file does not depend on
// the number of processors, and the memory used not on its length.
//
// progress, unless nil, is called now and then with the part that is done, 0
// to 1. Errors are those of [Recording.Heard], of w, and of ctx.
func (r *Recording) WriteWAV(ctx context.Context, w io.Writer, progress func(done float64)) (Made, error) {
	h, err := r.Heard(ctx)
	if err != nil {
		return Made{}, err
	}
	if progress == nil {
		progress = func(float64) {}
	}
	x := &rendering{r, h.Loudest, h.blocks}
	largest, err := x.peak(ctx, progress)
	if err != nil {
		return Made{}, err
	}
	scale := math.Pow(10, peak/20) / largest
	out := bufio.NewWriterSize(w, 1<<16)
	if _, err := out.Write(header(x.blocks * blockSize)); err != nil {
		return Made{}, err
	}
	if err := x.write(ctx, out, scale, progress); err != nil {
		return Made{}, err
	}
	return Made{Heard: h, Peak: peak, Full: -20 * math.Log10(scale)}, out.Flush()
}

// peak is the largest sample.
func (x *rendering) peak(ctx context.Context, progress func(float64)) (float64, error) {
	largest := 0.0
	err := x.each(ctx, func(block int, samples []float64) error {
		for _, y := range samples {
			largest = max(largest, math.Abs(y))
		}
		progress(float64(block+1) / float64(2*x.blocks))
		return nil
	})
	return largest, err
}

func (x *rendering) write(ctx context.Context, w io.Writer, scale float64, progress func(float64)) error {
	total := x.blocks * blockSize
	bytes := make([]byte, 2*blockSize)
	return x.each(ctx, func(block int, samples []float64) error {
		for i, y := range samples {
			if left := total - block*blockSize - i; left < fade {
				y *= float64(left) / fade
			}
			binary.LittleEndian.PutUint16(bytes[2*i:], uint16(int16(math.Round(y*scale*math.MaxInt16))))
		}
		progress(0.5 + float64(block+1)/float64(2*x.blocks))
		_, err := w.Write(bytes)
		return err
	})
}

// header is that of a WAV file with so many samples: the RIFF form of Microsoft
// and IBM, "Multimedia Programming Interface and Data Specifications 1.0"
// (1991), which a library would write only to a file that it can go back in.
func header(samples int) []byte {
	const bytes, channels = 2, 1
	size := uint32(samples * bytes)
	h := make([]byte, 0, 44)
	h = append(h, "RIFF"...)
	h = binary.LittleEndian.AppendUint32(h, 36+size)
	h = append(h, "WAVEfmt "...)
	h = binary.LittleEndian.AppendUint32(h, 16) // the size of what follows
	h = binary.LittleEndian.AppendUint16(h, 1)  // plain numbers
	h = binary.LittleEndian.AppendUint16(h, channels)
	h = binary.LittleEndian.AppendUint32(h, Rate)
	h = binary.LittleEndian.AppendUint32(h, Rate*bytes*channels)
	h = binary.LittleEndian.AppendUint16(h, bytes*channels)
	h = binary.LittleEndian.AppendUint16(h, 8*bytes)
	h = append(h, "data"...)
	return binary.LittleEndian.AppendUint32(h, size)
}

// inParallel does all of 0 to count-1, on as many processors as there are.
func inParallel(count int, do func(i int)) {
	var next atomic.Int64
	var wait sync.WaitGroup
	for range min(count, runtime.GOMAXPROCS(0)) {
		wait.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= count {
					return
				}
				do(i)
			}
		})
	}
	wait.Wait()
}
