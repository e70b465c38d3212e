package differences

import (
	"fmt"
	"testing"
)

func BenchmarkOn(b *testing.B) {
	s := samples()[2]
	for _, n := range []int{100, 1000, 10_000, 100_000} {
		for _, order := range []int{2, 4} {
			b.Run(fmt.Sprintf("points=%d/order=%d", n, order), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					On(s.p, n, order, nil, nil)
				}
			})
		}
	}
}
