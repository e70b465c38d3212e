package report

import (
	"maps"
	"strconv"

	"nodespan/expr/sheet"
	"nodespan/solver"
)

// Against returns the function that works out a formula from a solution of a sheet with a value of one of its
// constants: as a report of the sheet with that value.
func Against(text, formula, constant string, o sheet.Options) (
	func(s *solver.Solution, value float64) (result, err float64), error) {
	text += "\nreport " + formula
	read := func(v string) (*sheet.Sheet, error) {
		with := o
		with.Set = maps.Clone(o.Set)
		if v != "" {
			if with.Set == nil {
				with.Set = map[string]string{}
			}
			with.Set[constant] = v
		}
		return sheet.Read(text, with)
	}
	whole, err := read("")
	if err != nil {
		return nil, err
	}
	return func(s *solver.Solution, value float64) (result, err float64) {
		sh, fault := read(strconv.FormatFloat(value, 'g', -1, 64))
		if fault != nil {
			sh = whole
		}
		all := All(sh, s)
		return all[len(all)-1].Value, all[len(all)-1].Error
	}, nil
}
