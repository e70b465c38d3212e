package notation

import (
	"fmt"
	"strings"
)

// show prints a tree fully bracketed, the canonical form of the tables in testdata.
func show(n Node) string {
	switch n := n.(type) {
	case *Number:
		return n.Text
	case *Name:
		return n.Name
	case *Jet:
		s := n.Name + strings.Repeat("'", n.Order)
		if n.At != nil {
			s += "@" + show(n.At)
		}
		return s
	case *Diff:
		return fmt.Sprintf("D%d[%s]", n.Order, show(n.X))
	case *Call:
		var args []string
		for _, a := range n.Args {
			args = append(args, show(a))
		}
		return n.Func + "[" + strings.Join(args, ", ") + "]"
	case *Negate:
		return "(-" + show(n.X) + ")"
	case *Binary:
		return "(" + show(n.X) + " " + string(n.Op) + " " + show(n.Y) + ")"
	case *Compare:
		return show(n.X) + " " + n.Op + " " + show(n.Y)
	}
	return fmt.Sprintf("%T", n)
}

func showRelation(r *Relation) string {
	var b strings.Builder
	for i, side := range r.Sides {
		if i > 0 {
			b.WriteString(" " + r.Ops[i-1] + " ")
		}
		b.WriteString(show(side))
	}
	if r.Sought {
		b.WriteString(" = ?")
	}
	if r.Near != nil {
		b.WriteString(" near " + show(r.Near))
	}
	if r.Range != nil {
		fmt.Fprintf(&b, " in %s .. %s", show(r.Range[0]), show(r.Range[1]))
	}
	return strings.TrimSpace(b.String())
}
