package wire

import (
	"encoding/binary"
	"errors"
	"math"
	"reflect"
)

// The page and its worker are one compiled program, so the bytes between them need no names and no versions: the fields
// of a type stand one behind the other, in the order of its declaration. (encoding/gob sends a description of the types
// with every message, and JSON has no NaN and takes ten times as long for a curve of two thousand points.)

var errDamaged = errors.New("wire: damaged message")

// Encode writes a request.
func (q *Request) Encode() []byte { return appendValue(nil, reflect.ValueOf(q).Elem()) }

// Encode writes a reply.
func (r *Reply) Encode() []byte { return appendValue(nil, reflect.ValueOf(r).Elem()) }

// DecodeRequest reads what Encode wrote.
func DecodeRequest(data []byte) (*Request, error) { return decode[Request](data) }

// DecodeReply reads what Encode wrote.
func DecodeReply(data []byte) (*Reply, error) { return decode[Reply](data) }

func decode[T any](data []byte) (*T, error) {
	v := new(T)
	d := &decoder{data}
	if !d.value(reflect.ValueOf(v).Elem()) || len(d.data) > 0 {
		return v, errDamaged
	}
	return v, nil
}

// appendValue writes a value: whole numbers in as few bytes as they need, floating-point numbers in eight, strings and
// slices behind their lengths (nil and empty are one), pointers behind a byte that tells whether there is something.
func appendValue(out []byte, v reflect.Value) []byte {
	switch v.Kind() {
	case reflect.Int:
		return binary.AppendVarint(out, v.Int())
	case reflect.Bool:
		if v.Bool() {
			return append(out, 1)
		}
		return append(out, 0)
	case reflect.Float64:
		return binary.LittleEndian.AppendUint64(out, math.Float64bits(v.Float()))
	case reflect.String:
		return append(binary.AppendVarint(out, int64(v.Len())), v.String()...)
	case reflect.Slice:
		out = binary.AppendVarint(out, int64(v.Len()))
		if x, ok := v.Interface().([]float64); ok { // curves: without asking for each number's kind
			for _, f := range x {
				out = binary.LittleEndian.AppendUint64(out, math.Float64bits(f))
			}
			return out
		}
		for i := range v.Len() {
			out = appendValue(out, v.Index(i))
		}
		return out
	case reflect.Pointer:
		if v.IsNil() {
			return append(out, 0)
		}
		return appendValue(append(out, 1), v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			out = appendValue(out, v.Field(i))
		}
		return out
	}
	panic("wire: no way to write " + v.Type().String())
}

// decoder reads what is left of a message.
type decoder struct{ data []byte }

// value reads into v what appendValue wrote, and reports whether the message holds it.
func (d *decoder) value(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Int:
		n, ok := d.int()
		v.SetInt(n)
		return ok && !v.OverflowInt(n)
	case reflect.Bool:
		there, ok := d.bool()
		v.SetBool(there)
		return ok
	case reflect.Float64:
		if len(d.data) < 8 {
			return false
		}
		v.SetFloat(d.float())
		return true
	case reflect.String:
		n, ok := d.length()
		if ok {
			v.SetString(string(d.data[:n]))
			d.data = d.data[n:]
		}
		return ok
	case reflect.Slice:
		return d.slice(v)
	case reflect.Pointer:
		there, ok := d.bool()
		if !there || !ok {
			return ok
		}
		v.Set(reflect.New(v.Type().Elem()))
		return d.value(v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			if !d.value(v.Field(i)) {
				return false
			}
		}
		return true
	}
	panic("wire: no way to read " + v.Type().String())
}

func (d *decoder) slice(v reflect.Value) bool {
	n, ok := d.length()
	if !ok || n == 0 {
		return ok
	}
	if x, ok := v.Addr().Interface().(*[]float64); ok {
		if len(d.data) < 8*n {
			return false
		}
		*x = make([]float64, n)
		for i := range *x {
			(*x)[i] = d.float()
		}
		return true
	}
	v.Set(reflect.MakeSlice(v.Type(), n, n))
	for i := range n {
		if !d.value(v.Index(i)) {
			return false
		}
	}
	return true
}

// length reads that of a string or slice. Every entry takes at least one byte, which bounds it.
func (d *decoder) length() (int, bool) {
	n, ok := d.int()
	return int(n), ok && n >= 0 && n <= int64(len(d.data))
}

func (d *decoder) int() (int64, bool) {
	n, size := binary.Varint(d.data)
	if size <= 0 {
		return 0, false
	}
	d.data = d.data[size:]
	return n, true
}

func (d *decoder) bool() (there, ok bool) {
	if len(d.data) == 0 || d.data[0] > 1 {
		return false, false
	}
	there, d.data = d.data[0] == 1, d.data[1:]
	return there, true
}

func (d *decoder) float() float64 {
	f := math.Float64frombits(binary.LittleEndian.Uint64(d.data))
	d.data = d.data[8:]
	return f
}
