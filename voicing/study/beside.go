package study

// beside runs two functions that do not need each other side by side. A panic
// in either is one of the caller, who may recover from it: both have ended by then.
func beside(f, g func()) {
	fault := make(chan any, 1)
	go func() {
		defer func() { fault <- recover() }()
		g()
	}()
	defer func() {
		if r := <-fault; r != nil {
			panic(r)
		}
	}()
	f()
}
