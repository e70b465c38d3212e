package table

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"nodespan/solver"
)

// Options says how a table is written. The zero value writes honest digits and a decimal point.
type Options struct {
	// Digits is the number of significant digits of every number, 1 to 17; 0 means honest digits, those that the error
	// supports. With 17 every number is given back exactly.
	Digits int
	// Comma writes a decimal comma. CSV then has semicolons between its columns, as spreadsheets of those countries
	// expect.
	Comma bool
	// Errors adds a column with the estimated error after each column that has one.
	Errors bool
}

// AllDigits are as many significant digits as tell any two numbers apart.
const AllDigits = 17

// Fixed prints a number with so many significant digits, 1 to 17, all of them firm. Sizes are written as [Honest]
// writes them.
func Fixed(value float64, digits int) Digits {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return Honest(value, 0)
	}
	if value == 0 {
		return Digits{Firm: "0"}
	}
	mantissa, size := scientific(value, digits-1) // rounded: 9.96 may have become 10.0
	if place := size - digits + 1; place <= 0 && size >= -5 && size < 15 {
		return Digits{Firm: strconv.FormatFloat(value, 'f', -place, 64)}
	}
	return Digits{Firm: mantissa, Exponent: "e" + strconv.Itoa(size)}
}

// MostSpaced is the largest number of equally spaced points that a table is asked for.
const MostSpaced = 100_000

// Spaced returns n equally spaced points from one end of the problem's interval to the other, n at least 2. The
// interval must be finite.
func Spaced(p *solver.Problem, n int) []float64 {
	if n < 2 || math.IsInf(p.A, 0) || math.IsInf(p.B, 0) {
		panic("table: no such points")
	}
	at := make([]float64, n)
	for i := range at {
		at[i] = p.A + (p.B-p.A)*(float64(i)/float64(n-1))
	}
	at[n-1] = p.B
	return at
}

// CellWith prints one entry as the options say.
func (t *Table) CellWith(row, column int, f Format, o Options) Digits {
	d := t.Cell(row, column)
	if o.Digits > 0 && !t.blank(row, column) {
		d = Fixed(t.Rows[row][column], o.Digits)
	}
	return o.Point(d, f)
}

// ErrorCell prints the error of one entry: two digits say enough of an estimate. Column 0 has none.
func (t *Table) ErrorCell(row, column int, f Format, o Options) Digits {
	if t.blank(row, column) {
		return Digits{}
	}
	if e := t.Errors[row][column-1]; !math.IsInf(e, 0) && !math.IsNaN(e) {
		return o.Point(Fixed(e, 2), f)
	}
	return Digits{Doubtful: "?"}
}

// Point turns the decimal point of a number into what the options say.
func (o Options) Point(d Digits, f Format) Digits {
	if !o.Comma {
		return d
	}
	comma := ","
	if f == LaTeX {
		comma = "{,}" // a plain comma in mathematics is followed by space
	}
	d.Firm, d.Doubtful = strings.Replace(d.Firm, ".", comma, 1), strings.Replace(d.Doubtful, ".", comma, 1)
	return d
}

// Check says what is wrong with the options, nil for nothing.
func (o Options) Check() error {
	if o.Digits < 0 || o.Digits > AllDigits {
		return fmt.Errorf("%d digits: between 1 and %d are printed", o.Digits, AllDigits)
	}
	return nil
}
