package table

import (
	"bytes"
	"encoding/json"
	"math"
	"testing"
)

// The writer is held to encoding/json, byte for byte.
func TestWriteJSON(t *testing.T) {
	e := Number(3e-9)
	value := Value{1.5, Number(math.Inf(1))}
	for i, r := range []*Reply{
		{},
		{Status: "solved", Message: "a \"quoted\" <T> \\ λ\n\t\r\x01\u2028 end", Method: "one", Degree: 7, Elements: 1,
			Columns: []string{"x", "y'"},
			Rows: [][]Number{{0, -1e-7}, {1e21, 123456789.25}, {5e-4, 1e-6, 9.5e-7, 1e20},
				{Number(math.NaN()), 5e-324}},
			Errors: [][]Number{{1e-300}, {}}, Seconds: 1.25e-7},
		{Found: FoundSet{Named: map[string]Value{"omega": value, "lambda": {2, 1e-10}}}, ExactError: &e,
			Rows: [][]Number{}},
		{Found: FoundSet{Eigenvalues: []Value{value, {1, 2}}}, Reports: ReportSet{{Name: "mean", Value: value},
			{Name: "none", Value: value, Message: "no \"sign\" changes"}}},
		{Found: FoundSet{Eigenvalues: []Value{}}},
	} {
		var got, want bytes.Buffer
		if err := r.WriteJSON(&got); err != nil {
			t.Fatal(err)
		}
		encoder := json.NewEncoder(&want)
		encoder.SetEscapeHTML(false)
		if err := encoder.Encode(r); err != nil {
			t.Fatal(err)
		}
		if got.String() != want.String() {
			t.Errorf("reply %d:\n%swant\n%s", i, got.String(), want.String())
		}
	}
}
