package main

// slowPhone is how many times as long a cheap phone takes as this machine.
const slowPhone = 4

// questionSets measures how long whoever taps "Questions" waits until they are made, in WebAssembly on a cheap phone: the set of
// the longest procedure, and those of all that the demo kitchen has written down.
func questionSets() ([]figure, error) {
	one, err := inWasm("questions", "BenchmarkSet")
	if err != nil {
		return nil, err
	}
	all, err := inWasm("questions", "BenchmarkAll")
	if err != nil {
		return nil, err
	}
	return []figure{
		most("a question set in wasm, on a phone a quarter as fast", one*slowPhone, "ms", 20),
		scale("the sets of all procedures and the equipment, likewise", all*slowPhone, "ms"),
	}, nil
}
