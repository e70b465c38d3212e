package wire

import (
	"encoding/binary"
	"errors"
	"math"

	"nodespan/expr/typeset"
)

// The page and its worker are one compiled program, so the bytes between them need no names and no
// versions: each type lists its fields once, in code, for both directions. A curve of two thousand
// points takes microseconds this way, and encoding/json would add 0.14 MB to the packed module.

// coder writes values to its bytes, or reads them from there.
type coder struct {
	data    []byte
	at      int // where reading goes on
	reading bool
	err     error // the first fault of reading
}

var errDamaged = errors.New("wire: damaged message")

// Encode writes a request.
func (q *Request) Encode() []byte { c := &coder{}; q.code(c); return c.data }

// Encode writes a reply.
func (r *Reply) Encode() []byte { c := &coder{}; r.code(c); return c.data }

// DecodeRequest reads what Encode wrote.
func DecodeRequest(data []byte) (*Request, error) {
	var q Request
	c := &coder{data: data, reading: true}
	q.code(c)
	return &q, c.end()
}

// DecodeReply reads what Encode wrote.
func DecodeReply(data []byte) (*Reply, error) {
	var r Reply
	c := &coder{data: data, reading: true}
	r.code(c)
	return &r, c.end()
}

func (c *coder) end() error {
	if c.err == nil && c.at != len(c.data) {
		c.err = errDamaged
	}
	return c.err
}

func (c *coder) fail() { c.err, c.at = errDamaged, len(c.data) }

func (c *coder) int(v *int) {
	if !c.reading {
		c.data = binary.AppendVarint(c.data, int64(*v))
		return
	}
	n, size := binary.Varint(c.data[c.at:])
	if size <= 0 || int64(int(n)) != n {
		c.fail()
		return
	}
	*v, c.at = int(n), c.at+size
}

func (c *coder) bool(v *bool) {
	n := 0
	if *v {
		n = 1
	}
	c.int(&n)
	*v = n != 0
}

func (c *coder) float(v *float64) {
	if !c.reading {
		c.data = binary.LittleEndian.AppendUint64(c.data, math.Float64bits(*v))
		return
	}
	if len(c.data)-c.at < 8 {
		c.fail()
		return
	}
	*v = math.Float64frombits(binary.LittleEndian.Uint64(c.data[c.at:]))
	c.at += 8
}

func (c *coder) string(v *string) {
	n := len(*v)
	c.int(&n)
	if !c.reading {
		c.data = append(c.data, *v...)
		return
	}
	if n < 0 || n > len(c.data)-c.at {
		c.fail()
		return
	}
	*v = string(c.data[c.at : c.at+n])
	c.at += n
}

// list codes a slice; nil and empty are one. Every entry takes at least one byte, which bounds its length.
func list[T any](c *coder, v *[]T, each func(*T)) {
	n := len(*v)
	c.int(&n)
	if c.reading {
		if n < 0 || n > len(c.data)-c.at {
			c.fail()
			return
		}
		if *v = nil; n > 0 {
			*v = make([]T, n)
		}
	}
	for i := range *v {
		each(&(*v)[i])
	}
}

// optional codes a pointer that may be nil.
func optional[T any](c *coder, v **T, each func(*T)) {
	there := *v != nil
	c.bool(&there)
	if !there {
		*v = nil
		return
	}
	if c.reading {
		*v = new(T)
	}
	each(*v)
}

func (c *coder) floats(v *[]float64) { list(c, v, c.float) }

func (q *Request) code(c *coder) {
	c.int(&q.ID)
	c.string((*string)(&q.Kind))
	c.string(&q.Sheet)
	c.method(&q.Method)
	c.float(&q.From)
	c.float(&q.To)
	c.string(&q.Point)
	c.bool(&q.Brief)
	c.bool(&q.Others)
	c.string(&q.Numbers)
	optional(c, &q.Entry, func(v *Entry) { v.code(c) })
	optional(c, &q.Taking, func(v *Taking) { v.code(c) })
}

func (r *Reply) code(c *coder) {
	c.int(&r.ID)
	c.string((*string)(&r.Kind))
	c.bool(&r.Last)
	c.string(&r.Words)
	optional(c, &r.Reading, func(v *Reading) { v.code(c) })
	optional(c, &r.Answer, func(v *Answer) { v.code(c) })
	optional(c, &r.Curves, func(v *Curves) { v.code(c) })
	optional(c, &r.Value, func(v *Point) {
		c.runs(&v.Runs)
		c.string(&v.Fault)
	})
	c.string(&r.Text)
	c.int(&r.Rows)
	optional(c, &r.Ladder, func(v *Ladder) { v.code(c) })
	optional(c, &r.Agreement, func(v *Agreement) { v.code(c) })
	optional(c, &r.Exactness, func(v *Exactness) { v.code(c) })
	optional(c, &r.Comparison, func(v *Comparison) { v.code(c) })
	optional(c, &r.Lesson, func(v *Lesson) { v.code(c) })
	optional(c, &r.Came, func(v *Came) { v.code(c) })
}

func (r *Reading) code(c *coder) {
	list(c, &r.Lines, func(v *Line) {
		c.span(&v.Span)
		c.string(&v.Kind)
		optional(c, &v.Math, c.element)
	})
	list(c, &r.Inferences, func(v *Inference) {
		c.string(&v.Text)
		c.span(&v.Span)
	})
	list(c, &r.Faults, func(v *Fault) {
		c.span(&v.Span)
		c.int(&v.Line)
		c.int(&v.Column)
		c.string(&v.Message)
		c.string(&v.Hint)
	})
	c.bool(&r.Incomplete)
}

func (c *coder) span(v *Span) { c.int(&v.From); c.int(&v.To) }

func (c *coder) element(v *Element) {
	c.string(&v.Tag)
	list(c, &v.Attrs, func(a *typeset.Attr) { c.string(&a.Name); c.string(&a.Value) })
	c.string(&v.Text)
	c.int(&v.From)
	c.int(&v.To)
	list(c, &v.Children, func(e **Element) { optional(c, e, c.element) })
}

func (c *coder) runs(v *[]Run) {
	list(c, v, func(r *Run) {
		c.string(&r.Text)
		c.string(&r.Style)
		optional(c, &r.Math, c.element)
	})
}

func (a *Answer) code(c *coder) {
	c.string(&a.Status)
	c.runs(&a.Headline)
	list(c, &a.Notes, c.runs)
	c.string(&a.Chosen)
	c.bool(&a.Usable)
	optional(c, &a.Curves, func(v *Curves) { v.code(c) })
	optional(c, &a.Table, func(v *Table) {
		list(c, &v.Columns, c.runs)
		list(c, &v.Rows, func(row *[]Cell) {
			list(c, row, func(cell *Cell) { c.string(&cell.Sure); c.string(&cell.Doubtful); c.string(&cell.Power) })
		})
	})
	c.runs(&a.Variable)
	c.method(&a.Used)
	list(c, &a.Modes, c.string)
	c.bool(&a.HasExact)
}

func (v *Curves) code(c *coder) {
	c.string(&v.Variable)
	c.float(&v.WholeA)
	c.float(&v.WholeB)
	c.floats(&v.X)
	list(c, &v.Columns, func(k *Column) {
		c.string(&k.Label)
		c.int(&k.Derivative)
		c.floats(&k.Y)
		c.floats(&k.Exact)
		c.floats(&k.Nodes)
	})
	c.floats(&v.ResidualX)
	c.floats(&v.Residual)
	c.floats(&v.Nodes)
	c.floats(&v.Mesh)
	c.floats(&v.Worst)
}
