package tape

import (
	"math"

	"nodespan/expr/function"
)

// opcode is what an instruction does to its operands a, b, c (registers) and n (a literal).
type opcode uint8

const (
	opAdd opcode = iota
	opSub
	opMul
	opDiv
	opNegate
	opSquare
	opPower       // a^n, n whole, |n| <= maxProduct
	opPow         // a^b
	opMin         // of a and b
	opMax         // of a and b
	opLess        // 1 where a < b, else 0; NaN where either is NaN
	opLessOrEqual // likewise
	opChoose      // a where c is 1, b where c is 0, NaN where c is NaN
	opFunction    // the first of the functions of a; see functions
)

// maxProduct is the largest whole exponent that is worked out as a product; beyond it math.Pow, which
// keeps track of the exponent separately, is as good.
const maxProduct = 32

// functions are those that have a value by themselves; the opcode of functions[i] is opFunction + i, with their order
// as n.
var functions, opOf = func() (list []*function.Function, ops map[string]opcode) {
	ops = map[string]opcode{}
	for _, f := range function.All() {
		if f.HasValue() && f.Of == nil {
			ops[f.Name] = opFunction + opcode(len(list))
			list = append(list, f)
		}
	}
	return list, ops
}()

// unaries are the values and slopes of those without an order, at hand for the inner loop.
var unaries = func() []unary {
	list := make([]unary, len(functions))
	for i, f := range functions {
		list[i] = unary{f.Value, f.Slope}
	}
	return list
}()

type unary struct {
	value func(x float64) float64
	slope func(x, v float64) float64
}

// The functions that powers may be.
var opExp, opSqrt = opOf["exp"], opOf["sqrt"]

// functionOf is the function of an instruction; nil where that is an operation.
func functionOf(op opcode) *function.Function {
	if op < opFunction {
		return nil
	}
	return functions[op-opFunction]
}

// apply works out one instruction.
func apply(op opcode, n int, a, b, c float64) float64 {
	switch op {
	case opAdd:
		return a + b
	case opSub:
		return a - b
	case opMul:
		return a * b
	case opDiv:
		return a / b
	case opNegate:
		return -a
	case opSquare:
		return a * a
	case opPower:
		return function.Power(a, n)
	case opPow:
		return math.Pow(a, b)
	case opMin:
		return least(a, b)
	case opMax:
		return -least(-a, -b)
	case opLess:
		return truth(a < b, a, b)
	case opLessOrEqual:
		return truth(a <= b, a, b)
	case opChoose:
		switch c {
		case 1:
			return a
		case 0:
			return b
		}
		return math.NaN()
	}
	if f := unaries[op-opFunction].value; f != nil {
		return f(a)
	}
	return functions[op-opFunction].Ordered(n, a)
}

// slopes returns the derivatives of one instruction by a and by b where its value is v. That by the
// exponent of a power is left out (0) where the exponent is a constant, as it costs a logarithm.
func slopes(op opcode, n int, a, b, c, v float64, constantExponent bool) (da, db float64) {
	switch op {
	case opAdd:
		return 1, 1
	case opSub:
		return 1, -1
	case opMul:
		return b, a
	case opDiv:
		return 1 / b, -v / b
	case opNegate:
		return -1, 0
	case opSquare:
		return 2 * a, 0
	case opPower:
		return float64(n) * function.Power(a, n-1), 0
	case opPow:
		return powSlopes(a, b, v, constantExponent)
	case opMin:
		return pick(a <= b, a, b)
	case opMax:
		return pick(a >= b, a, b)
	case opLess, opLessOrEqual:
		return 0, 0
	case opChoose:
		switch c {
		case 1:
			return 1, 0
		case 0:
			return 0, 1
		}
		return math.NaN(), math.NaN()
	}
	f := unaries[op-opFunction].slope
	switch {
	case f == nil:
		return functions[op-opFunction].SlopeAt(n, a, v), 0
	case v != v:
		return v, 0
	}
	return f(a, v), 0
}

// powSlopes returns the derivatives of v = a^b by a and by b. As a^0 is 1 for every a, its derivative by a is 0;
// and as 0^b is 0 for every b > 0, that derivative by b is 0.
func powSlopes(a, b, v float64, constantExponent bool) (da, db float64) {
	if v != v {
		return v, v
	}
	if b != 0 {
		da = b * math.Pow(a, b-1)
	}
	switch {
	case constantExponent:
	case a == 0 && b > 0:
	default:
		db = v * math.Log(a)
	}
	return da, db
}

func pick(first bool, a, b float64) (da, db float64) {
	switch {
	case a != a || b != b:
		return math.NaN(), math.NaN()
	case first:
		return 1, 0
	}
	return 0, 1
}

// least is the smaller number; NaN if either is, unlike math.Min, which returns -Inf for -Inf and NaN.
func least(a, b float64) float64 {
	switch {
	case a <= b:
		return a
	case b < a:
		return b
	}
	return math.NaN()
}

func truth(holds bool, a, b float64) float64 {
	switch {
	case holds:
		return 1
	case a != a || b != b:
		return math.NaN()
	}
	return 0
}
