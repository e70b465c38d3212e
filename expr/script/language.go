package script

import (
	"fmt"
	"strconv"
	"strings"

	"nodespan/expr/lesson"
	"nodespan/expr/typeset"
)

// Language is a programming language: a table of how it writes what the programs consist of. Texts in it are patterns
// of package fmt; their arguments stand behind them.
type Language struct {
	Name          string // as it is asked for
	Ending, Media string // of a file's name, behind the point; the type by which browsers know it
	typeset.Dialect

	needs  string // what a program needs
	start  string // the first lines
	quiet  string // no warnings of divisions by zero
	indent string
	end    string // of a statement
	remark string // what a comment begins with
	// powers and integrals define the functions powers(points, derivative, count), and integrals and stable of the
	// stable route, with their docstrings.
	powers, integrals string

	// Numbers and names.
	base        int    // the place of the first entry of a vector
	power       string // of scales
	elementwise string // of vectors, elementwise
	first       string // entry of roots
	last        string
	count       [3]string // the vectors 1 … n, 1 … n-1 and 0 … n-1
	ones        string    // a vector to be as long as
	nothing     string    // likewise, of zeros
	nans        string    // rows, columns
	nanRow      string    // of length total
	zeros       string    // rows, columns
	zeroRow     string    // columns, %d or the name total
	identity    string    // its size
	copied      string    // a matrix

	// Parts of matrices and vectors: the place of the first entry counts from base, and to is that of the last counted
	// from 1.
	rows   string // matrix, from, to
	part   string // vector, from, to
	rowOf  string // matrix, row
	entry  string // vector, place
	entry2 string // matrix, row, column

	// Algebra.
	inverse, diagonal string // names of functions
	offDiagonal       string // vector, +1 or -1
	product           string // two factors
	scaled            string // a vector and a matrix: row i of the matrix times entry i
	column            string // a vector as a column
	solved            string // matrix, right side
	eigenvalues       string // a symmetric matrix
	polynomial        string // its leading coefficient: the coefficients of the polynomial with the zeros roots
	monic             string // the same with the leading coefficient 1
	oneRow            string // a point, derivative, number of powers: the row of powers
	vectorOf          string // one number
	firstRow          string // a matrix
	largest           string // absolute value of a vector

	// Lists.
	beside  series // matrices
	below   series // matrices
	stack   series // rows
	join    series // vectors
	list    series // numbers
	columns series // vectors
	ends    series // numbers in a row of vectors and numbers

	// Statements.
	loop, loopEnd string // how often
	breakIf       string // a condition
	failIf        string // a condition, a message
	// printer prints the table below the names of its columns, which stand in quotes with between between them.
	printer, between string
}

// series is how a list is written.
type series struct {
	around string // the whole; nothing: as it is
	single string // a list of one, where that is written otherwise
	sign   string // between the entries
	more   string // at the end of a line that goes on
}

func (s series) of(list []string) string {
	if len(list) == 1 && s.single != "" {
		return fmt.Sprintf(s.single, list[0])
	}
	text := lines(list, s.sign, s.more)
	if s.around == "" {
		return text
	}
	return fmt.Sprintf(s.around, text)
}

// lines joins a list by a sign, on lines of their own where it is long. more is what a line that goes on ends with.
func lines(list []string, sign, more string) string {
	long := 0
	for _, s := range list {
		long += len(s)
	}
	if long < 80 || len(list) < 2 {
		return strings.Join(list, sign+" ")
	}
	if more != "" {
		more = " " + more
	}
	return more + "\n        " + strings.Join(list, sign+more+"\n        ")
}

// languages are those that a program can be written in.
var languages = []*Language{&python, &octave}

// Languages lists the names of the languages.
func Languages() []string {
	var names []string
	for _, l := range languages {
		names = append(names, l.Name)
	}
	return names
}

// ByName returns the language of a name.
func ByName(name string) (*Language, bool) {
	for _, l := range languages {
		if l.Name == name {
			return l, true
		}
	}
	return nil, false
}

// Write returns a program in the language. The error says what cannot be written as one.
func (l *Language) Write(lesson *lesson.Lesson) (string, error) { return write(lesson, l) }

// concat joins numbers, a vector and numbers.
func (l *Language) concat(before []string, middle string, after []string) string {
	var parts []string
	if len(before) > 0 {
		parts = append(parts, l.ends.of(before))
	}
	parts = append(parts, middle)
	if len(after) > 0 {
		parts = append(parts, l.ends.of(after))
	}
	return fmt.Sprintf(l.join.around, strings.Join(parts, l.join.sign+" "))
}

//go:noinline
func (l *Language) rowsOf(m string, from, to int) string {
	return fmt.Sprintf(l.rows, m, from+l.base, to)
}

//go:noinline
func (l *Language) partOf(v string, from, to int) string {
	return fmt.Sprintf(l.part, v, from+l.base, to)
}

//go:noinline
func (l *Language) row(m string, row int) string { return fmt.Sprintf(l.rowOf, m, row+l.base) }

//go:noinline
func (l *Language) at(v string, place int) string { return fmt.Sprintf(l.entry, v, place+l.base) }

//go:noinline
func (l *Language) at2(m string, row, column int) string {
	return fmt.Sprintf(l.entry2, m, row+l.base, column+l.base)
}

//go:noinline
func (l *Language) productOf(a, b string) string { return fmt.Sprintf(l.product, a, b) }

// header writes the names of columns.
func (l *Language) header(columns []string) string {
	var names []string
	for _, c := range columns {
		names = append(names, strings.Trim(strconv.Quote(c), `"`))
	}
	return `"` + strings.Join(names, l.between) + `"`
}
