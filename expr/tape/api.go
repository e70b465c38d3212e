package tape

// Compile turns trees into a tape with numbered inputs.
//
// leaf says what each leaf of the trees is: for a *notation.Name or *notation.Jet it returns either the index of an
// input (constant false) or a constant value (constant true); ok false makes Compile fail with a positioned error.
//
//	type Leaf struct { Index int; Value float64; Constant bool }
//	func Compile(roots []notation.Node, inputs int, leaf func(notation.Node) (Leaf, bool)) (*Tape, error)
//
// Eval writes the value of each root; Jacobian also the exact partial derivatives (len(roots) × inputs, row-major).
// Neither allocates. A Tape has scratch space of its own: Clone it for another goroutine.
//
//	func (t *Tape) Eval(in, out []float64)
//	func (t *Tape) Jacobian(in, out, jac []float64)
//	func (t *Tape) Clone() *Tape
//
// Total returns d/dx of a tree as a tree: the variable's derivative is 1, that of Jet{y,k} is Jet{y,k+1}, other names are constants.
//
//	func Total(n notation.Node, variable string) notation.Node
//
// Partial returns the partial derivative with respect to one leaf as a tree (others held).
//
// Govaluate evaluates a tree through the govaluate library (fully bracketed printing); this is the second way to each value.
//
//	func Govaluate(n notation.Node, value func(notation.Node) (float64, bool)) (float64, error)
