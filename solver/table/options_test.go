package table

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"
)

func TestFixed(t *testing.T) {
	for _, c := range []struct {
		value  float64
		digits int
		want   string
	}{
		{1.0 / 3, 5, "0.33333"},
		{2, 5, "2.0000"},
		{0, 5, "0"},
		{-9.996, 3, "-10.0"}, // rounded up: still three digits
		{9.996e14, 3, "1.00e15"},
		{123456, 3, "1.23e5"},
		{123456, 6, "123456"},
		{123456, 8, "123456.00"},
		{0.00001234, 2, "0.000012"},
		{0.000001234, 2, "1.2e-6"},
		{123, 2, "1.2e2"},
		{123, 3, "123"},
		{1e14, 15, "100000000000000"},
		{1e15, 16, "1.000000000000000e15"},
		{0.1, AllDigits, "0.10000000000000001"},
		{-0.04, 1, "-0.04"},
		{math.Inf(-1), 4, "-inf"},
		{math.NaN(), 4, "nan"},
	} {
		if got := Fixed(c.value, c.digits).String(); got != c.want {
			t.Errorf("%v with %d digits: %s, want %s", c.value, c.digits, got, c.want)
		}
	}
}

// TestAllDigits: 17 digits give every number back (D. W. Matula, Comm. ACM 11, 1968, 47–50: 17 are enough for 53 bits).
func TestAllDigits(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 20000 {
		v := math.Float64frombits(random.Uint64())
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		s := Fixed(v, AllDigits).String()
		if got, err := strconv.ParseFloat(s, 64); err != nil || got != v {
			t.Fatalf("%v is printed as %s", v, s)
		}
	}
}

func TestWriteWith(t *testing.T) {
	tab := build(pair, exponential{1e-4}, []float64{0, 0.5})
	for _, c := range []struct {
		f    Format
		o    Options
		want string
	}{
		{TSV, Options{Digits: 3}, "x\tT_s\tT_s'\ttheta\n0\t1.00\t1.00\t1.00\n0.500\t1.65\t1.65\t1.65\n"},
		{CSV, Options{Comma: true}, "x;T_s;T_s';theta\r\n0;1;1,0000;1,0000\r\n0,5;1,648721270700128;1,6487;1,6487\r\n"},
		{CSV, Options{Digits: 2, Errors: true}, "x,T_s,error of T_s,T_s',error of T_s',theta,error of " +
			"theta\r\n0,1.0,0,1.0,0.00010,1.0,0.00030\r\n0.50,1.6,0,1.6,0.00010,1.6,0.00030\r\n"},
		{Markdown, Options{Comma: true, Digits: 2}, "| x | T\\_s | T\\_s' | theta |\n| ---: | ---: | ---: | ---: " +
			"|\n| 0 | 1,0 | 1,0 | 1,0 |\n| 0,50 | 1,6 | 1,6 | 1,6 |\n"},
		{LaTeX, Options{Comma: true, Digits: 2}, "\\begin{tabular}{rrrr}\n\\hline\n$x$ & $T_{s}$ & $T_{s}'$ & " +
			"$\\theta$ \\\\\n\\hline\n" +
			"$0$ & $1{,}0$ & $1{,}0$ & $1{,}0$ \\\\\n$0{,}50$ & $1{,}6$ & $1{,}6$ & $1{,}6$ " +
			"\\\\\n\\hline\n\\end{tabular}\n"},
	} {
		var b bytes.Buffer
		if err := tab.WriteWith(&b, c.f, c.o); err != nil {
			t.Fatal(err)
		}
		if b.String() != c.want {
			t.Errorf("%s %+v\n%q\nwant\n%q", c.f, c.o, b.String(), c.want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("18 digits did not panic")
		}
	}()
	_ = tab.WriteWith(&bytes.Buffer{}, TSV, Options{Digits: 18})
}

func TestSpaced(t *testing.T) {
	if got, want := Spaced(pair, 5), []float64{0, 0.25, 0.5, 0.75, 1}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v", got)
	}
	p := *pair
	p.A, p.B = -0.1, 0.7
	if got := Spaced(&p, 4); got[0] != p.A || got[3] != p.B || len(got) != 4 {
		t.Errorf("%v", got)
	}
}

func TestReportSet(t *testing.T) {
	set := ReportSet{
		{Name: "z", Value: Value{1.5, 1e-9}},
		{Name: "a <b>", Value: Value{Number(math.NaN()), Number(math.Inf(1))}, Message: "it has no finite value"},
	}
	data, err := json.Marshal(set)
	if err != nil {
		t.Fatal(err)
	}
	want := `{"z":{"value":1.5,"error":1e-9},` +
		`"a \u003cb\u003e":{"value":null,"error":null,"message":"it has no finite value"}}`
	if string(data) != want {
		t.Errorf("%s", data)
	}
	var back ReportSet
	if err := json.Unmarshal(data, &back); err != nil || len(back) != 2 || back[0] != set[0] ||
		back[1].Name != set[1].Name || back[1].Message != set[1].Message {
		t.Errorf("%+v %v", back, err)
	}
	for _, bad := range []string{`[1]`, `{"z":3}`} {
		if err := new(ReportSet).UnmarshalJSON([]byte(bad)); err == nil {
			t.Errorf("%s was read", bad)
		}
	}
	if data, err := json.Marshal(Reply{}); err != nil || strings.Contains(string(data), "reports") {
		t.Errorf("%s %v", data, err)
	}
}
