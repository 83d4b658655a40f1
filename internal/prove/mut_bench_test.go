package prove

import "testing"

func BenchmarkMutate(b *testing.B) {
	lib := shipped(b)
	for b.Loop() {
		Library(lib, nil, Options{Mutate: true})
	}
}
