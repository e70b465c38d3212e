package slips_test

import (
	"math"
	"os"
	"strings"
	"testing"

	"nodespan/expr/numbers"
	"nodespan/solver/slips"
)

// TestConstantUponLowOrder: an offset or a factor upon the numbers of a right method of low order is named, with the
// method. The tables are those of testdata/slips/low_order.json, with a constant added or multiplied.
func TestConstantUponLowOrder(t *testing.T) {
	all := readLowOrder(t)
	sheets := map[string]posed{}
	tried, named, alone := 0, 0, 0
	for i, w := range all.Tables {
		if i%9 != 0 || os.Getenv("PART") != "" && i%45 != 0 {
			continue
		}
		if _, ok := sheets[w.Sheet]; !ok {
			sheets[w.Sheet] = pose(t, all.Sheets[w.Sheet])
		}
		for _, c := range []struct {
			slip, what string
			of         func(y float64) float64
			places     int // more decimals
		}{
			{slips.Offset, "273.15 is added to every value", func(y float64) float64 { return y + 273.15 }, 0},
			{slips.Factor, "every value is multiplied by 1/10", func(y float64) float64 { return y / 10 }, 1},
			{slips.Factor, "every value has the opposite sign", func(y float64) float64 { return -y }, 0},
		} {
			table, err := numbers.Read(w.Table)
			if err != nil {
				t.Fatal(err)
			}
			if len(table.Y) != 1 || table.Y[0][0].Decimals < 2 {
				continue
			}
			for k := range table.Y[0] {
				y := &table.Y[0][k]
				y.Decimals += c.places
				f := math.Pow10(y.Decimals)
				y.Value = math.Round(c.of(y.Value)*f) / f
			}
			v, err := sheets[w.Sheet].Judge(table)
			if err != nil {
				t.Fatal(err)
			}
			tried++
			upon := strings.Contains(v.Sentence, "a right method")
			switch {
			case v.Slip == c.slip && strings.Contains(v.Sentence, c.what) && upon:
				named++
			case v.Slip == c.slip && strings.Contains(v.Sentence, c.what):
				alone++ // the table is that of the solution, to the digits given
			default:
				t.Logf("%s, %s, %d steps, %s: %s\n%s", w.Sheet, w.Method, w.Steps, c.what, v.Sentence, w.Table)
			}
		}
	}
	t.Logf("%d tables: %d named with the method, %d upon the solution", tried, named, alone)
	if named+alone < tried*9/10 || named < tried/2 {
		t.Error("too few")
	}
}
