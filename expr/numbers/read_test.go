package numbers

import (
	"math"
	"slices"
	"strings"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver/slips"
)

func TestRead(t *testing.T) {
	for _, c := range []struct {
		name, text string
		header     []string
		x          []float64
		y          [][]float64
	}{
		{"tabs", "0\t1\n0.5\t2.25\n", nil, []float64{0, 0.5}, [][]float64{{1, 2.25}}},
		{"tabs, decimal comma", "0\t1\n0,5\t2,25\n", nil, []float64{0, 0.5}, [][]float64{{1, 2.25}}},
		{"semicolons, decimal comma, header", "x;y;z\n0;1;-1\n0,5;2,25;3e-2\n", []string{"x", "y", "z"},
			[]float64{0, 0.5}, [][]float64{{1, 2.25}, {-1, 0.03}}},
		{"commas", "x, y\n0, 1\n0.5, 2.25\n", []string{"x", "y"}, []float64{0, 0.5}, [][]float64{{1, 2.25}}},
		{"commas, whole numbers", "0,1\n1,3\n", nil, []float64{0, 1}, [][]float64{{1, 3}}},
		{"blanks", "  0   1\n .5   2.25  \n", nil, []float64{0, 0.5}, [][]float64{{1, 2.25}}},
		{"blanks, decimal comma", "x y\n0 1\n0,5 2,25\n", []string{"x", "y"}, []float64{0, 0.5},
			[][]float64{{1, 2.25}}},
		{"comma and blank after it", "0, 1\n1, 3\n", nil, []float64{0, 1}, [][]float64{{1, 3}}},
		{"Markdown", "| x | y |\n|---|--:|\n| 0 | 1 |\n| 0.5 | 2.25 |\n", []string{"x", "y"}, []float64{0, 0.5},
			[][]float64{{1, 2.25}}},
		{"LaTeX", "0 & 1 \\\\\n0.5 & $2.25$ \\\\\n\\hline\n", nil, []float64{0, 0.5}, [][]float64{{1, 2.25}}},
		{"comments, empty lines, Windows, real minus", "# mine\r\n\r\n0 −1\r\n1 2\r\n", nil, []float64{0, 1},
			[][]float64{{-1, 2}}},
		{"a title is no header", "my numbers of Tuesday\n0 1\n1 2\n", nil, []float64{0, 1}, [][]float64{{1, 2}}},
		{"units", "x T\n0 m 20 °C\n0.5 m 22.25 °C\n", []string{"x", "T"}, []float64{0, 0.5}, [][]float64{{20, 22.25}}},
		{"units, glued and with commas", "0mm, 20K\n5mm, 22.25K\n", nil, []float64{0, 5}, [][]float64{{20, 22.25}}},
		{"compound units", "0 m\t1 W/m^2\n1 m\t2.5 W/m^2\n", nil, []float64{0, 1}, [][]float64{{1, 2.5}}},
		{"units in the names", "x [mm]\tT (°C)\n0\t1\n5\t2\n", []string{"x", "T"}, []float64{0, 5},
			[][]float64{{1, 2}}},
		{"units in the names, blanks", "x [mm] T [K]\n0 1\n5 2\n", []string{"x", "T"}, []float64{0, 5},
			[][]float64{{1, 2}}},
		{"names in cells", "x = 0, y = 1\nx = 0.5, y = 2.25\n", []string{"x", "y"}, []float64{0, 0.5},
			[][]float64{{1, 2.25}}},
		{"names in cells, blanks", "x = 0 y = 1\nx = 0.5 m y = 2.25\n", []string{"x", "y"}, []float64{0, 0.5},
			[][]float64{{1, 2.25}}},
		{"a name in the first column", "x=0\t1\nx=0,5\t2,25\n", nil, []float64{0, 0.5}, [][]float64{{1, 2.25}}},
		{"values at points", "T(0) = 20 °C\nT(0.5) = 22.25 °C\n", nil, []float64{0, 0.5}, [][]float64{{20, 22.25}}},
		{"values at points in a line", "T(0) = 20, T(0.5) = 22.25", nil, []float64{0, 0.5}, [][]float64{{20, 22.25}}},
		{"powers of ten", "0 1.5×10^-3\n1 2·10⁻⁴\n", nil, []float64{0, 1}, [][]float64{{1.5e-3, 2e-4}}},
		{"names in the cells of one row", "x = 0, y = 1", []string{"x", "y"}, []float64{0}, [][]float64{{1}}},
		{"commas between blanks", "0 , 1\n1 , 3\n", nil, []float64{0, 1}, [][]float64{{1, 3}}},
		{"blanks, decimal comma, a point in a name", "x T.\n0 1\n0,5 2,25\n", []string{"x", "T."}, []float64{0, 0.5},
			[][]float64{{1, 2.25}}},
		{"tabs, both marks of decimals", "0.0\t1,5\n0.5\t2,25\n", nil, []float64{0, 0.5}, [][]float64{{1.5, 2.25}}},
		{"semicolons at the ends", "0;1;\n1;3;\n", nil, []float64{0, 1}, [][]float64{{1, 3}}},
		{"blanks within dollars", "0 & $ 1.5 $ \\\\\n1 & $ 3 $ \\\\\n", nil, []float64{0, 1}, [][]float64{{1.5, 3}}},
		{"quoted", "\"x\",\"y\"\n\"0\",\"1.5\"\n", []string{"x", "y"}, []float64{0}, [][]float64{{1.5}}},
	} {
		got, err := Read(c.text)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		values := func(cells []slips.Cell) (v []float64) {
			for _, c := range cells {
				v = append(v, c.Value)
			}
			return v
		}
		if !slices.Equal(got.Header, c.header) || !slices.Equal(values(got.X), c.x) || len(got.Y) != len(c.y) {
			t.Errorf("%s: %+v", c.name, got)
			continue
		}
		for i := range c.y {
			if !slices.Equal(values(got.Y[i]), c.y[i]) {
				t.Errorf("%s: column %d: %v", c.name, i, values(got.Y[i]))
			}
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"", "there are no numbers; a table has a column x and a column y"},
		{"x y\n", "there are names of columns and no numbers below them"},
		{"0 1\n1 two\n", "line 2: “two” is not a number"},
		{"0 1\n1 2 3\n", "line 2 has 3 columns and the lines before it have 2"},
		{"# only x\n0\n1\n", "line 2 has one number; a row has an x and a y"},
		{"0,5,1,25\n1,5,2,25\n", "commas both part the columns and mark decimals here; put a tab or a semicolon " +
			"between the columns"},
		{"x, y\n0,5,1,25\n1,5,2,25\n", "commas both part the columns and mark decimals here; put a tab or a " +
			"semicolon between the columns"},
		{"x,y\n0,2,0,11\n0,4,0,12\n", "commas both part the columns and mark decimals here; put a tab or a semicolon " +
			"between the columns"},
		{"0 1 m\n1 2 cm\n", "line 2 has the unit cm where a line before it has m; write one unit in each column"},
		{"0 1\n1 2 apples\n", "line 2: “apples” is not a number"},
		{"0 1\n1 inf\n", "line 2: “inf” is not a number"},
		{"0 1\na 2\n", "line 2: “a” is not a number"},
		{"0\t1\n1\t--1\n", "line 2: “--1” is not a number"},
		{"; ;\n0;1\n", "line 1 has one number; a row has an x and a y"},
		{"| |\n| 0 | 1 |\n", "line 1 has one number; a row has an x and a y"},
		{strings.Repeat("0 1\n", mostRows+1), "the table has more than 10000 rows"},
		{"0 1\n1 1e999\n", "line 2: “1e999” is not a number"},
	} {
		if _, err := Read(c.text); err == nil || err.Error() != c.want {
			t.Errorf("%q: %v", c.text, err)
		}
	}
}

// What a sheet tells of its formulas is handed on: its slips, its named numbers, its balances.
func TestOptions(t *testing.T) {
	sh := sheettest.Read(t, "(k T')' = -q; k = 2; q = 3; T(0) = 0; T(1) = 1")
	o := Options(sh)
	variants, quantities := sh.Variants(), sh.Quantities()
	if len(o.Variants) != len(variants) || len(o.Quantities) != len(quantities) || len(variants) < 3 ||
		len(quantities) < 2 || o.Balanced == nil {
		t.Fatalf("%+v", o)
	}
	for i, v := range o.Variants {
		if v.Name != string(variants[i].Change) || v.Sentence != variants[i].Sentence || v.Problem == nil {
			t.Errorf("%+v", v)
		}
	}
	for i, q := range o.Quantities {
		if q != slips.Quantity(quantities[i]) {
			t.Errorf("%+v", q)
		}
	}
	if got, err := Read(strings.Repeat("0 1\n", mostRows)); err != nil || len(got.X) != mostRows {
		t.Errorf("%d rows: %v", mostRows, err)
	}
}

// What was written of a number: the place of its last digit and how many digits are significant.
func TestDigits(t *testing.T) {
	for _, c := range []struct {
		text              string
		decimals, figures int
	}{
		{"0.125", 3, 3}, {"12.500", 3, 5}, {"-0.00123457", 8, 6}, {"123457", 0, 6}, {"1.5e3", -2, 2}, {"2E-1", 1, 1},
		{"+0", 0, 0}, {"12e2", -2, 2},
		{".5", 1, 1}, {"5.", 0, 1}, {"1,25", 2, 3},
	} {
		got, err := Read("0; " + c.text)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		if y := got.Y[0][0]; y.Decimals != c.decimals || y.Figures != c.figures {
			t.Errorf("%s: %+v, want %d decimals and %d figures", c.text, y, c.decimals, c.figures)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"x = 0 m, T(0) = 1·10⁻³\n", "T(0)=1", "0\t1\n",
		"x;y\n0,5;1\n", "0,5,1,5\n", "| a |\n|---|\n", "1e5 &2\\\\\n", "\"\n\"",
		"-,\n"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		got, err := Read(s)
		if err != nil {
			return
		}
		for _, y := range got.Y {
			if len(y) != len(got.X) {
				t.Fatalf("%q: columns of %d and %d rows", s, len(got.X), len(y))
			}
			for i, c := range y {
				if math.IsNaN(c.Value) || math.IsInf(c.Value, 0) || c.Value != 0 && c.Figures < 1 {
					t.Fatalf("%q: row %d is %+v", s, i, c)
				}
			}
		}
	})
}
