package slips_test

import (
	"encoding/json"
	"os"
	"testing"
)

// lowOrder are the tables of testdata/slips/low_order.json: right methods of low order, worked out by a program that
// shares nothing with this one (Python, numpy).
type lowOrder struct {
	Sheets map[string]string
	Tables []struct {
		Sheet, Method string
		Order, Steps  int
		Table         string
	}
}

func readLowOrder(t testing.TB) *lowOrder {
	data, err := os.ReadFile("../../testdata/slips/low_order.json")
	if err != nil {
		t.Fatal(err)
	}
	all := &lowOrder{}
	if err := json.Unmarshal(data, all); err != nil {
		t.Fatal(err)
	}
	return all
}

// TestLowOrder: numbers of right methods of low order are recognised as such, with the order of the method, or are
// right to the few digits given. They accuse nobody.
func TestLowOrder(t *testing.T) {
	all := readLowOrder(t)
	if len(all.Tables) < 400 {
		t.Fatalf("%d tables", len(all.Tables))
	}
	sheets := map[string]posed{}
	right, named := 0, 0
	for i, w := range all.Tables {
		if os.Getenv("PART") != "" && i%9 != 0 {
			continue
		}
		if _, ok := sheets[w.Sheet]; !ok {
			sheets[w.Sheet] = pose(t, all.Sheets[w.Sheet])
		}
		v := sheets[w.Sheet].judge(t, w.Table)
		switch {
		case v.Slip != "":
			t.Errorf("%s, %s, %d steps: %s\n%s", w.Sheet, w.Method, w.Steps, v.Sentence, w.Table)
		case v.Right:
			right++
		case v.Order == w.Order:
			named++
		default:
			t.Errorf("%s, %s of order %d, %d steps: %s\n%s", w.Sheet, w.Method, w.Order, w.Steps, v.Sentence, w.Table)
		}
	}
	t.Logf("%d recognised with their order, %d right to the digits given", named, right)
}
