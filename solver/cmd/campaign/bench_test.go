package main

import "testing"

// BenchmarkTruth makes cases of every family without solving them.
func BenchmarkTruth(b *testing.B) {
	for i := range families {
		f := &families[i]
		b.Run(f.Name, func(b *testing.B) {
			for k := range b.N {
				f.caseOf(1, k)
			}
		})
	}
}
