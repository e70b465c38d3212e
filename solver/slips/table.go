package slips

import "math"

// Cell is a number as it was written.
type Cell struct {
	Value float64
	// Decimals is the place of the last digit written: 3 for 0.125 and 12.500, -2 for 12e2.
	Decimals int
	// Figures is the number of significant digits written.
	Figures int
}

// Table is a table to be judged: a column x and one or more columns of values.
type Table struct {
	// Header holds the names of all columns, x first; nil without a header.
	Header []string
	X      []Cell
	// Y holds the columns of values; each has as many entries as X.
	Y [][]Cell
}

// units returns the size of the last digit that each number of a column was worked out to. Spreadsheets drop zeros at
// the end, so 0.5 among 0.4794 and 0.5646 is 0.5000: a number has as many decimals as the longest of its column, unless
// all have one number of significant digits.
func units(cells []Cell) []float64 {
	decimals, figures := math.MinInt, 0
	for _, c := range cells {
		decimals, figures = max(decimals, c.Decimals), max(figures, c.Figures)
	}
	out := make([]float64, len(cells))
	for i, c := range cells {
		out[i] = math.Pow10(-decimals)
		if c.Value != 0 {
			byFigures := math.Pow10(int(math.Floor(math.Log10(math.Abs(c.Value)))) + 1 - figures)
			out[i] = math.Max(out[i], byFigures)
		}
		out[i] = math.Min(out[i], math.Pow10(-c.Decimals))
	}
	return out
}
