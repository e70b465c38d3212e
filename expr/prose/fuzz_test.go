package prose

import "testing"

// FuzzRead reads any text: the edits are in order, lie in the text and do not overlap, and so do faults and remarks.
func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"Hi Jo,\nhere is Tuesday's fin (planar, mu = 1), time 2:\n  T'' = 4 T\nCheers,\nAna",
		"\\section{A} \\newcommand{\\e}{x} \\text{for } \\boxed{y''=1} \\intertext{and} $y(0)=1$ % no",
		"**Equation:** `u'' = 9 u`\n- left: y(0) = 1 (2)\n> (i) y(1) = 2 {3}\n```\n",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		res := Read(text)
		at := 0
		for _, e := range res.Edits {
			if e.From < at || e.To < e.From || e.To > len(text) {
				t.Fatalf("edit %+v after %d", e, at)
			}
			at = e.To
		}
		for _, x := range res.Faults {
			if x.From < 0 || x.To <= x.From || x.To > len(text) || x.Msg == "" {
				t.Fatalf("fault %+v", x)
			}
		}
		for _, x := range res.Remarks {
			if x.From < 0 || x.To <= x.From || x.To > len(text) {
				t.Fatalf("remark %+v", x)
			}
		}
	})
}
