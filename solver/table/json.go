package table

import (
	"bufio"
	"io"
	"maps"
	"math"
	"slices"
	"strconv"
)

// The reply is written by hand: package encoding/json would add 0.14 MB to the packed page. It is read, and held to, by that package.

// WriteJSON writes the reply on one line. An error is the writer's.
func (r *Reply) WriteJSON(w io.Writer) error {
	j := &jsonWriter{bufio.NewWriter(w)}
	j.raw(`{"status":`).text(string(r.Status)).raw(`,"message":`).text(r.Message).raw(`,"method":`).text(string(r.Method))
	j.raw(`,"degree":` + strconv.Itoa(r.Degree) + `,"elements":` + strconv.Itoa(r.Elements))
	j.raw(`,"columns":`)
	list(j, r.Columns, func(s string) { j.text(s) })
	j.raw(`,"rows":`)
	list(j, r.Rows, j.row)
	j.raw(`,"errors":`)
	list(j, r.Errors, j.row)
	j.raw(`,"found":{`)
	if r.Found.Eigenvalues != nil {
		j.raw(`"eigenvalues":`)
		list(j, r.Found.Eigenvalues, func(v Value) { j.raw("{").value(v).raw("}") })
	}
	for i, name := range slices.Sorted(maps.Keys(r.Found.Named)) {
		j.comma(i).text(name).raw(":{").value(r.Found.Named[name]).raw("}")
	}
	j.raw("}")
	if len(r.Reports) > 0 {
		j.raw(`,"reports":{`)
		for i, n := range r.Reports {
			j.comma(i).text(n.Name).raw(":{").value(n.Value)
			if n.Message != "" {
				j.raw(`,"message":`).text(n.Message)
			}
			j.raw("}")
		}
		j.raw("}")
	}
	if r.ExactError != nil {
		j.raw(`,"exactError":`).number(*r.ExactError)
	}
	j.raw(`,"seconds":`).number(Number(r.Seconds)).raw("}\n")
	return j.Flush()
}

// jsonWriter writes JSON; the first error stays with the bufio.Writer until Flush.
type jsonWriter struct{ *bufio.Writer }

func (j *jsonWriter) raw(s string) *jsonWriter { j.WriteString(s); return j }

func (j *jsonWriter) comma(i int) *jsonWriter {
	if i > 0 {
		j.WriteByte(',')
	}
	return j
}

func list[T any](j *jsonWriter, v []T, each func(T)) {
	if v == nil {
		j.raw("null")
		return
	}
	j.raw("[")
	for i, e := range v {
		j.comma(i)
		each(e)
	}
	j.raw("]")
}

func (j *jsonWriter) row(row []Number) { list(j, row, func(n Number) { j.number(n) }) }

func (j *jsonWriter) value(v Value) *jsonWriter {
	return j.raw(`"value":`).number(v.Value).raw(`,"error":`).number(v.Error)
}

// number writes the shortest decimal that gives the number back, null for NaN and infinities.
func (j *jsonWriter) number(n Number) *jsonWriter {
	v := float64(n)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return j.raw("null")
	}
	format := byte('f')
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e21) {
		format = 'e'
	}
	s := strconv.FormatFloat(v, format, -1, 64)
	if n := len(s); format == 'e' && n >= 4 && s[n-4] == 'e' && s[n-3] == '-' && s[n-2] == '0' {
		s = s[:n-2] + s[n-1:] // e-9 and not e-09
	}
	return j.raw(s)
}

// text writes a string (RFC 8259, section 7).
func (j *jsonWriter) text(s string) *jsonWriter {
	j.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			j.WriteByte('\\')
			j.WriteByte(byte(r))
		case r == '\n':
			j.raw(`\n`)
		case r == '\r':
			j.raw(`\r`)
		case r == '\t':
			j.raw(`\t`)
		case r < 0x20 || r == 0x2028 || r == 0x2029: // the two line separators trouble old readers of JavaScript
			h := "000" + strconv.FormatInt(int64(r), 16)
			j.raw(`\u` + h[len(h)-4:])
		default:
			j.WriteString(string(r)) // what is no UTF-8 has become U+FFFD
		}
	}
	j.WriteByte('"')
	return j
}
