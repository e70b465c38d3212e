package numbers

import (
	"nodespan/expr/sheet"
	"nodespan/solver/slips"
)

// Tolerance is that of the solution which a table is compared with, at most: people give up to eight digits or so.
const Tolerance = 1e-9

// Variants are the problems that a sheet would state with a slip in its formulas, as package slips takes them.
func Variants(sh *sheet.Sheet) []slips.Variant {
	var all []slips.Variant
	for _, v := range sh.Variants() {
		all = append(all, slips.Variant{Name: string(v.Change), Sentence: v.Sentence, Problem: v.Problem})
	}
	return all
}
