package study

// beside runs two functions that do not need each other side by side. A panic
// in either is one of the caller, who may recover from it.
func beside(f, g func()) {
	fault := make(chan any, 1)
	go func() {
		defer func() { fault <- recover() }()
		g()
	}()
	f()
	if r := <-fault; r != nil {
		panic(r)
	}
}
