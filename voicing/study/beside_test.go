package study

import (
	"testing"
	"time"
)

// TestBesidePanics: whoever recovers from a panic of one function finds the other ended.
func TestBesidePanics(t *testing.T) {
	fail := func() { panic("fault") }
	for _, first := range []bool{true, false} {
		ended := false
		slow := func() {
			time.Sleep(20 * time.Millisecond)
			ended = true
		}
		f, g := fail, slow
		if !first {
			f, g = slow, fail
		}
		func() {
			defer func() {
				if fault := recover(); fault != "fault" || !ended {
					t.Errorf("recovered from %v, the other has ended: %v", fault, ended)
				}
			}()
			beside(f, g)
		}()
	}
}
