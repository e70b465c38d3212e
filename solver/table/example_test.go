package table_test

import (
	"fmt"
	"strings"

	"nodespan/solver/table"
)

// Digits that stand, and the doubtful ones after a bar.
func ExampleHonest() {
	for _, v := range []struct{ value, err float64 }{
		{1.23456789012, 3e-9},
		{1.23456789012, 6e-5},
		{-0.0000012345, 2e-10},
		{4.2e-9, 1e-6},
		{123456, 2000},
		{0.5, 0},
	} {
		d := table.Honest(v.value, v.err)
		fmt.Printf("%v ± %v is %s|%s%s\n", v.value, v.err, d.Firm, d.Doubtful, d.Exponent)
	}
	// Output:
	// 1.23456789012 ± 3e-09 is 1.23456789|0
	// 1.23456789012 ± 6e-05 is 1.234|57
	// -1.2345e-06 ± 2e-10 is -1.234|5e-6
	// 4.2e-09 ± 1e-06 is 0.00000|0
	// 123456 ± 2000 is 1.2|3e5
	// 0.5 ± 0 is 0.5|
}

func ExampleDigits_Prose() {
	d := table.Honest(-12345.678901, 2e-5).Prose()
	fmt.Println(strings.ReplaceAll(d.String(), "\u202f", "_")) // the thin space made visible
	// Output:
	// −12_345.678_90
}
