package wire

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"testing"
)

// populate gives every field of a value something other than its zero, so that a field which the
// coder forgets is seen. Recursive types end at depth 0.
func populate(v reflect.Value, n *int, depth int) {
	*n++
	switch v.Kind() {
	case reflect.Int:
		v.SetInt(int64(*n) * -7)
	case reflect.Float64:
		v.SetFloat([]float64{0.1 * float64(*n), math.Inf(1), -5e-324}[*n%3])
	case reflect.Bool:
		v.SetBool(true)
	case reflect.String:
		v.SetString(fmt.Sprintf("λ′ %d", *n))
	case reflect.Struct:
		for i := range v.NumField() {
			populate(v.Field(i), n, depth)
		}
	case reflect.Pointer:
		if depth > 0 {
			v.Set(reflect.New(v.Type().Elem()))
			populate(v.Elem(), n, depth-1)
		}
	case reflect.Slice:
		if depth > 0 {
			v.Set(reflect.MakeSlice(v.Type(), 2, 2))
			populate(v.Index(0), n, depth-1)
			populate(v.Index(1), n, depth-1)
		}
	default:
		panic("populate: " + v.Kind().String())
	}
}

func TestRoundTrip(t *testing.T) {
	n := 0
	var q Request
	populate(reflect.ValueOf(&q).Elem(), &n, 6)
	gotQ, err := DecodeRequest(q.Encode())
	if err != nil || !reflect.DeepEqual(*gotQ, q) {
		t.Errorf("request: %v\n got %+v\nwant %+v", err, *gotQ, q)
	}
	var r Reply
	populate(reflect.ValueOf(&r).Elem(), &n, 6)
	gotR, err := DecodeReply(r.Encode())
	if err != nil || !reflect.DeepEqual(*gotR, r) {
		t.Errorf("reply: %v\n got %+v\nwant %+v", err, *gotR, r)
	}
	empty, err := DecodeReply((&Reply{}).Encode())
	if err != nil || !reflect.DeepEqual(*empty, Reply{}) {
		t.Errorf("empty reply: %v, %+v", err, *empty)
	}
}

// A message that is cut short anywhere is refused, never half read, and never makes Decode panic or
// reserve more than the message could hold.
func TestCutShort(t *testing.T) {
	n := 0
	var r Reply
	populate(reflect.ValueOf(&r).Elem(), &n, 5)
	whole := r.Encode()
	for i := range whole {
		if _, err := DecodeReply(whole[:i]); err == nil {
			t.Fatalf("the first %d of %d bytes were taken for a message", i, len(whole))
		}
	}
	if _, err := DecodeReply(append(bytes.Clone(whole), 0)); err == nil {
		t.Error("a message with a byte too many was taken")
	}
}

func FuzzDecodeReply(f *testing.F) {
	n := 0
	var r Reply
	populate(reflect.ValueOf(&r).Elem(), &n, 4)
	f.Add(r.Encode())
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := DecodeReply(data)
		if err != nil {
			return
		}
		again, err := DecodeReply(r.Encode())
		if err != nil {
			t.Fatalf("own bytes refused: %v", err)
		}
		if !bytes.Equal(again.Encode(), r.Encode()) {
			t.Fatal("not the same the second time")
		}
	})
}

func BenchmarkReply(b *testing.B) {
	x := make([]float64, 2000)
	for i := range x {
		x[i] = math.Sin(float64(i))
	}
	r := &Reply{Answer: &Answer{Curves: &Curves{X: x, Columns: []Column{{Y: x}, {Y: x}}, ResidualX: x, Residual: x}}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DecodeReply(r.Encode()); err != nil {
			b.Fatal(err)
		}
	}
}
