package plot

// Figure is what is to be drawn: the numbers, without sizes or colours.
//
// Points that are not finite are gaps in a line and are otherwise left out.
type Figure struct {
	// Variable is the symbol of the independent variable as the sheet writes it: x, r, eta.
	Variable string
	// Unit is that of the variable, as it is printed; empty for none.
	Unit string
	// A and B are the ends of the interval that the figure covers, finite, A < B.
	A, B float64
	// Series are the unknowns, and derivatives of them where asked for.
	Series []Series
	// Panels groups the series by index, from the top panel down, at most five in one.
	// Nil lets Group do it.
	Panels [][]int
	// Mesh are the ends of the elements, ascending; nil or only two of them draw no ticks.
	Mesh []float64
	// Residual is the strip below; nil for none.
	Residual *Residual
	// Shades are intervals of the variable to be drawn on a tinted ground.
	Shades [][2]float64
	// Dimmed draws everything faintly: the last good figure while the sheet is faulty.
	Dimmed bool
}

// Series is one curve with what belongs to it.
type Series struct {
	// Name is the symbol as the sheet writes it: y, T_s, theta, y'.
	Name string
	// Unit is that of its values, as it is printed; empty for none.
	Unit string
	// Line holds the curve, as Sample makes it.
	Line Curve
	// Nodes are the points of the node table, drawn as open markers.
	Nodes Curve
	// Exact is the exact solution, drawn thin and dashed over the curve.
	Exact Curve
	// Own are the reader's own numbers, drawn as crosses.
	Own Curve
	// Band is the band of estimated error about the curve.
	Band Band
}

// Curve holds points: X and Y of equal length, X ascending (for Own in any order).
type Curve struct{ X, Y []float64 }

// Band holds a region between two curves: three slices of equal length, X ascending.
type Band struct{ X, Lo, Hi []float64 }

// Residual is the size of what is left of the equation when the solution is put in.
type Residual struct {
	// Name says what is shown: "residual" when empty.
	Name string
	// Line holds the absolute values; zeros count as below everything.
	Line Curve
}
