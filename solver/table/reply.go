package table

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"

	"nodespan/solver"
)

// Reply is an answer as other programs read it: one JSON object. The native command prints it and
// the page's worker sends it.
type Reply struct {
	// Status is solved, short-of-tolerance or failed.
	Status  solver.Status `json:"status"`
	Message string        `json:"message"`
	Method  solver.Method `json:"method"`
	// Degree is that of the polynomials, the largest one.
	Degree   int `json:"degree"`
	Elements int `json:"elements"`
	// Columns, Rows and Errors are those of [Table]: numbers as they were computed, not rounded.
	Columns []string   `json:"columns"`
	Rows    [][]Number `json:"rows"`
	Errors  [][]Number `json:"errors"`
	Found   FoundSet   `json:"found"`
	// Reports are the numbers that the sheet asks for; left out where it asks for none.
	Reports ReportSet `json:"reports,omitempty"`
	// ExactError is the largest difference to the exact solution; nil, and left out, where none is known.
	ExactError *Number `json:"exactError,omitempty"`
	// Seconds is the time of the solve alone.
	Seconds float64 `json:"seconds"`
}

// Number is a float64 that JSON can always hold: NaN and infinities are written as null, and null is read as NaN.
type Number float64

// MarshalJSON writes the shortest decimal that gives the number back.
func (n Number) MarshalJSON() ([]byte, error) {
	if v := float64(n); !math.IsNaN(v) && !math.IsInf(v, 0) {
		return json.Marshal(v)
	}
	return []byte("null"), nil
}

// UnmarshalJSON reads what MarshalJSON writes.
func (n *Number) UnmarshalJSON(data []byte) error {
	if bytes.Equal(data, []byte("null")) {
		*n = Number(math.NaN())
		return nil
	}
	return json.Unmarshal(data, (*float64)(n))
}

// Value is a sought number with its estimated error.
type Value struct {
	Value Number `json:"value"`
	Error Number `json:"error"`
}

// FoundSet holds the sought numbers by name, or the eigenvalues in ascending order. In JSON it is one object,
// {"lambda": {"value": …, "error": …}} or {"eigenvalues": [{"value": …, "error": …}, …]}.
type FoundSet struct {
	Named       map[string]Value
	Eigenvalues []Value
}

// MarshalJSON writes the object.
func (f FoundSet) MarshalJSON() ([]byte, error) {
	if f.Eigenvalues != nil {
		return json.Marshal(map[string][]Value{"eigenvalues": f.Eigenvalues})
	}
	if f.Named == nil {
		return []byte("{}"), nil
	}
	return json.Marshal(f.Named)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (f *FoundSet) UnmarshalJSON(data []byte) error {
	var list struct{ Eigenvalues []Value }
	if json.Unmarshal(data, &list) == nil && list.Eigenvalues != nil {
		*f = FoundSet{Eigenvalues: list.Eigenvalues}
		return nil
	}
	*f = FoundSet{}
	return json.Unmarshal(data, &f.Named)
}

// Reported is a number that the sheet asks for. Where there is none, Value and Error are NaN and Message says why.
type Reported struct {
	Name string
	Value
	Message string
}

// ReportSet holds reported numbers in the order of the sheet. In JSON it is one object in that order, {"mean":
// {"value": …, "error": …}}; where there is no number, {"value": null, "error": null, "message": …}.
type ReportSet []Reported

type reportedJSON struct {
	Value
	Message string `json:"message,omitempty"`
}

// MarshalJSON writes the object.
func (r ReportSet) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, n := range r {
		if i > 0 {
			b.WriteByte(',')
		}
		name, err := json.Marshal(n.Name)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(reportedJSON{n.Value, n.Message})
		if err != nil {
			return nil, err
		}
		b.Write(name)
		b.WriteByte(':')
		b.Write(value)
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// UnmarshalJSON reads what MarshalJSON writes, in the same order.
func (r *ReportSet) UnmarshalJSON(data []byte) error {
	*r = nil
	d := json.NewDecoder(bytes.NewReader(data))
	if _, err := d.Token(); err != nil {
		return err
	}
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return err
		}
		key, ok := name.(string)
		if !ok {
			return errors.New("table: reports are an object")
		}
		var v reportedJSON
		if err := d.Decode(&v); err != nil {
			return err
		}
		*r = append(*r, Reported{key, v.Value, v.Message})
	}
	return nil
}

// NewReply puts a solution and its table together. exactError is nil where no exact solution is known.
func NewReply(s *solver.Solution, t *Table, exactError *float64) *Reply {
	r := &Reply{
		Status: s.Status, Message: s.Message, Method: s.Method, Degree: s.Degree, Elements: s.Elements,
		Columns: t.Columns, Rows: numbers(t.Rows), Errors: numbers(t.Errors), Seconds: s.Seconds,
	}
	if s.Eigenvalues != nil {
		r.Found.Eigenvalues = []Value{}
		for _, e := range s.Eigenvalues {
			r.Found.Eigenvalues = append(r.Found.Eigenvalues, Value{Number(e.Value), Number(e.Error)})
		}
	} else if len(s.Found) > 0 {
		r.Found.Named = map[string]Value{}
		for _, p := range s.Found {
			r.Found.Named[p.Name] = Value{Number(p.Value), Number(p.Error)}
		}
	}
	if exactError != nil {
		e := Number(*exactError)
		r.ExactError = &e
	}
	return r
}

// numbers copies rows; none at all is an empty list, not null.
func numbers(rows [][]float64) [][]Number {
	out := make([][]Number, len(rows))
	for i, row := range rows {
		out[i] = make([]Number, len(row))
		for j, v := range row {
			out[i][j] = Number(v)
		}
	}
	return out
}

// Table returns the reply's table.
func (r *Reply) Table() *Table {
	t := &Table{Columns: r.Columns}
	for i := range r.Rows {
		t.Rows = append(t.Rows, floats(r.Rows[i]))
		t.Errors = append(t.Errors, floats(r.Errors[i]))
	}
	return t
}

func floats(row []Number) []float64 {
	out := make([]float64, len(row))
	for j, v := range row {
		out[j] = float64(v)
	}
	return out
}
