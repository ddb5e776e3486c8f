package model

import (
	"runtime"
	"sync"
)

// fewest is how many things are worth a part of their own.
const fewest = 256

// inParts calls f for parts of 0 to n-1 that together are all of it, one after
// the other or at once: f must not write what another part reads or writes.
func inParts(n int, f func(from, to int)) {
	parts := min(runtime.GOMAXPROCS(0), 1+n/fewest)
	var wg sync.WaitGroup
	for k := 1; k < parts; k++ {
		wg.Go(func() { f(k*n/parts, (k+1)*n/parts) })
	}
	f(0, n/parts)
	wg.Wait()
}
