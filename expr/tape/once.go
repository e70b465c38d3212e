package tape

import (
	"fmt"
	"sync"

	"nodespan/expr/notation"
)

// once is a tree compiled with its leaves as inputs.
type once struct {
	mu      sync.Mutex
	tape    *Tape
	leaves  []notation.Node
	in, out []float64
}

var compiled = struct {
	sync.Mutex
	of map[notation.Node]*once
}{of: map[notation.Node]*once{}}

// maxCompiled bounds the trees whose tapes are kept.
const maxCompiled = 256

// byTape evaluates a tree through a tape, with the interface of Govaluate. The tape of a tree is kept, so that further
// calls with the same tree are cheaper. It may be called from several goroutines.
func byTape(n notation.Node, value func(notation.Node) (float64, bool)) (float64, error) {
	o, err := onceOf(n)
	if err != nil {
		return 0, err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	for i, l := range o.leaves {
		v, ok := value(l)
		if !ok {
			return 0, fault(l, fmt.Sprintf("“%s” has no value here", leafName(l)), "")
		}
		o.in[i] = v
	}
	o.tape.Eval(o.in, o.out)
	return o.out[0], nil
}

func onceOf(n notation.Node) (*once, error) {
	compiled.Lock()
	defer compiled.Unlock()
	if o, ok := compiled.of[n]; ok {
		return o, nil
	}
	o := &once{out: make([]float64, 1)}
	index := map[string]int{}
	notation.Walk(n, func(m notation.Node) bool {
		switch m.(type) {
		case *notation.Name, *notation.Jet:
			if key := leafKey(m); index[key] == 0 {
				o.leaves = append(o.leaves, m)
				index[key] = len(o.leaves) // counted from 1
			}
			return false
		}
		return true
	})
	o.in = make([]float64, len(o.leaves))
	t, err := Compile([]notation.Node{n}, len(o.leaves), func(m notation.Node) (Leaf, bool) {
		i := index[leafKey(m)]
		return Leaf{Index: i - 1}, i > 0
	})
	if err != nil {
		return nil, err
	}
	o.tape = t
	if len(compiled.of) >= maxCompiled {
		clear(compiled.of)
	}
	compiled.of[n] = o
	return o, nil
}

// leafKey tells leaves apart.
func leafKey(n notation.Node) string {
	switch n := n.(type) {
	case *notation.Name:
		return n.Name
	case *notation.Jet:
		key := fmt.Sprintf("%s'%d", n.Name, n.Order)
		if n.At != nil {
			key += fmt.Sprintf("@%p", n.At) // the same point twice costs a parameter, no more
		}
		return key
	}
	return ""
}

func leafName(n notation.Node) string {
	switch n := n.(type) {
	case *notation.Name:
		return n.Name
	case *notation.Jet:
		return n.Name
	}
	return ""
}
