package working

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"nodespan/solver/bvp"
	"nodespan/solver/nodes"
)

// Shown is the largest number of interior nodes whose matrices a page shows; New goes up to MaxNodes.
const (
	Shown    = 12
	MaxNodes = 40
)

// Reference is the interval of the reference variable s.
type Reference int

const (
	// Auto is Unit as long as powers on 0 … 1 are expected to lose at most four digits, else Symmetric.
	Auto      Reference = iota
	Unit                // 0 ≤ s ≤ 1
	Symmetric           // -1 ≤ s ≤ 1
	Own                 // s is x itself: no map
)

// Options says what to lay out.
type Options struct {
	// Nodes is the number of interior nodes, 1 to MaxNodes.
	Nodes  int
	Family nodes.Family
	// Reference is the reference interval.
	Reference Reference
	// Numbered calls the nodes x_1, x_2, … in labels, for those who are to find where they are.
	Numbered bool
	// Symbol is the name of the reference variable in labels; "" means s.
	Symbol string
	// Start writes a jet near the solution of a nonlinear problem, from which Newton's iteration
	// starts; nil says that the problem is linear. Parameters are the sought numbers that go with it.
	Start      func(x float64, jet []float64)
	Parameters []float64
}

// Working holds every number of the working. Matrices are found by name.
type Working struct {
	Problem *bvp.Problem
	Options Options // as used: Reference is never Auto, Symbol never empty
	// Origin and Scale map the reference interval to x = Origin + Scale·s; From and To are the ends in s.
	Origin, Scale, From, To float64
	// Polynomial holds the ascending coefficients in s of the polynomial whose zeros the nodes are (zeros of
	// more than 2^53 in size are rounded); its name is Root.
	Polynomial []float64
	Root       string
	Unknowns   []Unknown
	// Shared says that all unknowns have the same points.
	Shared bool
	// Linear says that the problem is linear. Else the matrices are those of the last step of Newton's
	// iteration, around the solution itself, and Iterations counts the steps that led there.
	Linear     bool
	Iterations int
	// Steps are the steps in order with the names of their matrices.
	Steps []Step
	// Matrices are in the order of the steps.
	Matrices []*Matrix
	// Replaced says for each condition which row it takes over.
	Replaced []Replaced
	// Parameters are the sought numbers as found.
	Parameters []float64
	// Columns and Rows are the node table: the variable, then each unknown with its derivatives below its order, at the
	// ends and the nodes.
	Columns []string
	Rows    [][]float64
	// Routes are the classroom route and the stable one.
	Routes [2]Route

	t      []float64 // the nodes on -1 … 1
	at     []float64 // the reference points where the equations are written
	where  [][]int   // unknown × at → place among the unknown's points
	size   int       // rows of A
	eq     []int     // unknown → equation
	byName map[string]*Matrix
	lin    *linearisation
	stable *stable
}

// Unknown is an unknown with its points.
type Unknown struct {
	Name string
	// ID is its name as a name of vectors; Suffix ends the names of its matrices: "" where all unknowns share them.
	ID, Suffix string
	Order      int
	// S and X are its points, ascending, in s and in x.
	S, X []float64
	// Nodes are the places of the nodes in S, Carriers the places of the points whose rows conditions take over.
	Nodes, Carriers []int
	// Offset is the place of its first value in the vector of all values.
	Offset int
}

// StepID names a step.
type StepID string

// The steps in order.
const (
	StepMap          StepID = "map"
	StepNodes        StepID = "nodes"
	StepPoints       StepID = "points"
	StepPowers       StepID = "powers"
	StepInverse      StepID = "inverse"
	StepDerivatives  StepID = "derivatives"
	StepLinearise    StepID = "linearise" // nonlinear problems only
	StepCoefficients StepID = "coefficients"
	StepOperator     StepID = "operator"
	StepConditions   StepID = "conditions"
	StepRows         StepID = "rows"
	StepSolution     StepID = "solution"
	StepPolynomial   StepID = "polynomial"
	StepTable        StepID = "table"
	StepCheck        StepID = "check"
	StepStable       StepID = "stable"
	StepDigits       StepID = "digits"
)

// Step is a step with the names of the matrices that it makes.
type Step struct {
	ID       StepID
	Matrices []string
}

// Replaced is the row that a condition takes over.
type Replaced struct {
	// Row is the row of A; Unknown and Point say whose carrier it was: Point is a place in the unknown's S. Both are -1
	// where the row is an extra one, which a sought number asks for.
	Row, Unknown, Point int
	// Own says that the condition is about that unknown and at that point itself.
	Own bool
}

// New lays out the working of a problem. The error is a sentence that says why there is none.
func New(p *bvp.Problem, o Options) (*Working, error) {
	w := &Working{Problem: p, Options: o, Linear: o.Start == nil, byName: map[string]*Matrix{}}
	if err := o.Check(p); err != nil {
		return nil, err
	}
	if w.Options.Symbol == "" {
		w.Options.Symbol = "s"
	}
	w.layPoints()
	w.pair()
	w.lin = newLinearisation(w)
	w.stable = newStable(w)
	if err := w.iterate(); err != nil {
		return nil, err
	}
	for _, step := range []func() error{
		w.stepMap, w.stepNodes, w.stepPowers, w.stepDerivatives, w.stepCoefficients, w.stepOperator,
		w.stepConditions, w.stepRows, w.stepSolution, w.stepPolynomial, w.stepTable, w.stepCheck, w.stepStable,
		w.stepDigits,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return w, nil
}

// Check says why the problem has no working with these options, nil where it has one. It costs nothing.
func (o Options) Check(p *bvp.Problem) error {
	switch {
	case o.Nodes < 1:
		panic("working: fewer than one node")
	case o.Nodes > MaxNodes:
		return fmt.Errorf("the working is laid out for at most %d interior nodes, not %d", MaxNodes, o.Nodes)
	case math.IsInf(p.A, 0) || math.IsInf(p.B, 0):
		return errors.New("the working needs a finite interval: one polynomial cannot reach to infinity")
	case len(p.Breaks) > 0:
		return errors.New("the working is that of one polynomial, and a coefficient of this problem jumps inside the " +
			"interval, where one polynomial cannot follow")
	case len(p.Conditions) != p.State()+len(p.Parameters):
		return fmt.Errorf("the working needs %d conditions, and there are %d: eigenvalue problems have no working here",
			p.State()+len(p.Parameters), len(p.Conditions))
	}
	return nil
}

// Matrix returns a matrix by name, nil where there is none.
func (w *Working) Matrix(name string) *Matrix { return w.byName[name] }

// add puts matrices into a step.
func (w *Working) add(id StepID, ms ...*Matrix) {
	s := Step{ID: id}
	for _, m := range ms {
		if m == nil {
			continue
		}
		if w.byName[m.Name] != nil {
			panic("working: two matrices are called " + m.Name)
		}
		w.byName[m.Name] = m
		w.Matrices = append(w.Matrices, m)
		s.Matrices = append(s.Matrices, m.Name)
	}
	if n := len(w.Steps); n > 0 && w.Steps[n-1].ID == id {
		w.Steps[n-1].Matrices = append(w.Steps[n-1].Matrices, s.Matrices...)
		return
	}
	w.Steps = append(w.Steps, s)
}

// variable is the name of the independent variable.
func (w *Working) variable() string {
	if w.Problem.Variable == "" {
		return "x"
	}
	return w.Problem.Variable
}

// reference returns s for x; the ends exactly.
//
//go:noinline
func (w *Working) reference(x float64) float64 {
	switch x {
	case w.Problem.A:
		return w.From
	case w.Problem.B:
		return w.To
	}
	return (x - w.Origin) / w.Scale
}

// x returns the point of s; the ends exactly.
//
//go:noinline
func (w *Working) x(s float64) float64 {
	switch s {
	case w.From:
		return w.Problem.A
	case w.To:
		return w.Problem.B
	}
	return w.Origin + w.Scale*s
}

// point calls a point by its number where the nodes are numbered and it is one of them, else by its value.
func (w *Working) point(x float64) string {
	if w.Options.Numbered && len(w.Unknowns) > 0 {
		u := &w.Unknowns[0]
		for i, k := range u.Nodes {
			if u.X[k] == x {
				return fmt.Sprintf("%s_%d", w.variable(), i+1)
			}
		}
	}
	return short(x)
}

// label labels a point: x = 0.1, or x_1.
func (w *Working) label(x float64) string {
	if p := w.point(x); p != short(x) {
		return p
	}
	return w.variable() + " = " + short(x)
}

// dense makes a matrix of gonum.
func dense(rows [][]float64) *mat.Dense {
	d := mat.NewDense(len(rows), len(rows[0]), nil)
	for i, r := range rows {
		d.SetRow(i, r)
	}
	return d
}

func undense(d *mat.Dense) [][]float64 {
	r, _ := d.Dims()
	out := make([][]float64, r)
	for i := range out {
		out[i] = d.RawRowView(i)
	}
	return out
}

//go:noinline
func table(r, c int) [][]float64 {
	flat := make([]float64, r*c)
	out := make([][]float64, r)
	for i := range out {
		out[i] = flat[i*c : (i+1)*c : (i+1)*c]
	}
	return out
}
