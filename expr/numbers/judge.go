package numbers

import (
	"nodespan/expr/sheet"
	"nodespan/solver/slips"
)

// Tolerance is that of the solution which a table is compared with, at most: people give up to eight digits or so.
const Tolerance = 1e-9

// Options are what a sheet tells of its formulas to those who look for a slip: the problems that it would state with a
// slip in them, its named numbers and its balances.
func Options(sh *sheet.Sheet) slips.Options {
	o := slips.Options{Balanced: sh.Balanced()}
	for _, v := range sh.Variants() {
		o.Variants = append(o.Variants, slips.Variant{Name: string(v.Change), Sentence: v.Sentence, Problem: v.Problem})
	}
	for _, q := range sh.Quantities() {
		o.Quantities = append(o.Quantities, slips.Quantity(q))
	}
	return o
}
