package prose

import "strings"

// Derivatives as programs spell them.

// dotted reads xdot and xddot as x' and x” where the text has an x as well, and D2y as y with two primes where it has
// a y and no D; then Dy is its first derivative.
func (r *reader) dotted() {
	var list map[string]bool
	for i := range r.items {
		it := &r.items[i]
		name, primes := spelled(r.text[it.from:it.to])
		if name == "" || it.kind != letters && it.kind != symbol {
			continue
		}
		if list == nil {
			list = map[string]bool{}
			for _, other := range r.items {
				list[r.text[other.from:other.to]] = true
			}
		}
		if i+2 < len(r.items) && r.items[i+1].text == "=" && r.items[i+2].kind == number && r.over(i+3) {
			continue // Qdot = 5
		}
		if list[name] && (r.text[it.from] != 'D' || !list["D"] && list["D2"+name] && r.begun(i)) {
			r.replace(r.items[i:i+1], name+strings.Repeat("'", primes))
			it.kind, it.word = prime, false
		}
	}
}

// spelled returns the name and the order of a derivative such as xdot and D2y, "" where it is none.
func spelled(s string) (name string, order int) {
	switch dot := strings.TrimSuffix(s, "dot"); {
	case dot != s && strings.HasSuffix(dot, "d") && len(dot) > 1:
		return dot[:len(dot)-1], 2
	case dot != s:
		return dot, 1
	case len(s) == 2 && s[0] == 'D':
		return s[1:], 1
	case len(s) == 3 && s[0] == 'D' && '2' <= s[1] && s[1] <= '4':
		return s[2:], int(s[1] - '0')
	}
	return "", 0
}

// begun reports whether a derivative may stand at item i: behind nothing, a separator, a sign or a bracket.
func (r *reader) begun(i int) bool {
	if i == 0 {
		return true
	}
	switch k := r.items[i-1].kind; k {
	case operator, relation, opening, number:
		return true
	default:
		return k.separates()
	}
}
