package notation

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Units behind numbers are remarks where nothing has to be converted: L = 0.1 m, T(0) = 300 K, q = 5 N/m. Nothing is
// scaled: the tool stays dimensionless. Where prefixes are mixed, or temperatures stand in °C and in K, the number to
// write is told instead; where the sheet gives the letters of a unit a value of their own, both readings are.

// units lists the unit symbols that are read, with what they are in the unit without a prefix.
var units = map[string]float64{
	"m": 1, "s": 1, "kg": 1, "g": 1e-3, "K": 1, "mol": 1, "N": 1, "Pa": 1, "J": 1, "W": 1, "V": 1, "A": 1, "Hz": 1,
	"rad": 1,
	"Ohm": 1, "degC": 1,
	"bar": 1e5, "min": 60, "Nm": 1, "m2K": 1,
	"L": 1e-3, "l": 1e-3, "h": 3600, "d": 86400,
}

// celsius is how LaTeX writes °C.
var celsius = regexp.MustCompile(`^\^(\{\\circ\}|\\circ)\s*(\\(mathrm|text|rm|,)\s*)?(\{C\}|C\b)`)

// prefixes are those that engineers use.
var prefixes = map[string]float64{
	"n": 1e-9, "µ": 1e-6, "u": 1e-6, "m": 1e-3, "c": 1e-2, "d": 1e-1, "k": 1e3, "M": 1e6, "G": 1e9,
}

// prefixable are the units that take prefixes.
var prefixable = map[string]bool{"m": true, "s": true, "g": true, "K": true, "mol": true, "N": true, "Pa": true,
	"J": true,
	"W": true, "V": true, "A": true, "Hz": true, "Ohm": true,
	"Nm": true}

// letterUnits are units whose letter is mostly a name where the sheet gives it a value: 2 A is then a product.
var letterUnits = map[string]bool{"A": true, "V": true, "W": true, "J": true, "N": true, "g": true,
	"L": true, "l": true, "h": true, "d": true}

// measure is a number with its unit.
type measure struct {
	number  int     // the token of its number
	at, end int     // the tokens of the unit
	text    string  // as written
	factor  float64 // what the number is to be multiplied by, for units without prefixes
	celsius bool    // a temperature in °C
	kelvin  bool    // a temperature in K
	own     bool    // every letter of it is a name of the sheet
	bare    bool    // and it is one symbol
}

// unitFactor returns what a unit is in the one without a prefix, and whether the name is that of a unit.
func unitFactor(name string) (factor float64, ok bool) {
	if factor, ok = units[name]; ok {
		return factor, true
	}
	for prefix, f := range prefixes {
		if rest, cut := strings.CutPrefix(name, prefix); cut && prefixable[rest] {
			return f * units[rest], true
		}
	}
	return 0, false
}

// IsUnit reports whether a text is a unit: m, kN/m, W/(m^2 K), °C. It is for text beside a sheet.
func IsUnit(text string) bool {
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("/·*⋅() ", r) })
	for _, p := range parts {
		p = strings.TrimRight(p, "^-−0123456789²³⁴¹⁻⁰{}")
		if _, ok := unitFactor(strings.Replace(p, "μ", "µ", 1)); !ok && p != "°C" && p != "°" && p != "Ω" && p != "1" {
			return false
		}
	}
	return len(parts) > 0
}

// symbol reads a unit symbol and its exponent at token i: m, kN, mm^2, m2.
func (s *settler) symbol(i int) (factor float64, name string, end int) {
	t := s.toks[i]
	name = t.Text
	end = i + 1
	if t.is(NameToken, "mu") && t.raw != "mu" && end < len(s.toks) && s.toks[end].Kind == NameToken &&
		!s.toks[end].Space {
		name = "µ" + s.toks[end].Text // µm
		end++
	}
	power := 1.0
	if n := len(name); n > 1 && (name[n-1] == '2' || name[n-1] == '3' || name[n-1] == '4') {
		power = float64(name[n-1] - '0')
		name = name[:n-1]
	}
	factor, ok := unitFactor(name)
	if !ok {
		return 0, "", 0
	}
	if end+1 < len(s.toks) && s.toks[end].is(OperatorToken, "^") {
		j := end + 1
		group := s.toks[j].Kind == OpenToken
		if group {
			j++
		}
		sign := 1.0
		if j < len(s.toks) && s.toks[j].is(OperatorToken, "-") {
			sign, j = -1, j+1
		}
		if j >= len(s.toks) || s.toks[j].Kind != NumberToken {
			return 0, "", 0
		}
		v, err := strconv.ParseFloat(s.toks[j].Text, 64)
		if err != nil {
			return 0, "", 0
		}
		power *= sign * v
		if j++; group {
			j++
		}
		end = j
	}
	return math.Pow(factor, power), name, end
}

// unit reads the unit that begins at token i. ok is false where there is none, or more behind it.
func (s *settler) unit(i int) (m measure, ok bool) {
	m = measure{at: i, factor: 1, own: true}
	depth, below, symbols := 0, false, 0
	group := []bool{}
	k := i
	if k < len(s.toks) && s.toks[k].is(OpenToken, "[") {
		k++ // 0.1 [m]
		defer func() {
			if ok = ok && m.end < len(s.toks) && s.toks[m.end].is(CloseToken, "]"); ok {
				m.end++
				m.text = written(s.toks[i:m.end])
			}
		}()
	}
loop:
	for k < len(s.toks) {
		t := s.toks[k]
		switch {
		case t.Kind == NameToken:
			f, name, end := s.symbol(k)
			if name == "mK" && below {
				f = 1 // W/mK and W/(mK) are W/(m K)
			}
			if end == 0 {
				break loop
			}
			symbols++
			if below {
				f = 1 / f
			}
			m.factor *= f
			m.own = m.own && s.named[t.Text]
			m.celsius = m.celsius || name == "degC"
			m.kelvin = name == "K" && symbols == 1
			m.bare = symbols == 1
			k = end
			if depth == 0 {
				below = false
			}
		case t.is(OperatorToken, "/") && k > i:
			below = true
			k++
		case t.is(OperatorToken, "*") && symbols > 0,
			t.Kind == stop && symbols > 0 && depth > 0 && !t.Space && s.closed(k+1).Kind == NameToken: // W/(m.K)
			k++
		case t.is(NumberToken, "1") && symbols == 0 && k+1 < len(s.toks) && s.toks[k+1].is(OperatorToken, "/"):
			k++
		case t.Kind == OpenToken && t.Text != "[" && (symbols == 0 || below):
			depth++
			group = append(group, below)
			k++
		case t.Kind == CloseToken && depth > 0:
			depth--
			group = group[:len(group)-1]
			if depth == 0 {
				below = false
			}
			k++
		default:
			break loop
		}
	}
	if symbols == 0 || depth > 0 {
		return m, false
	}
	m.end = k
	m.text = written(s.toks[i:k])
	m.kelvin = m.kelvin && symbols == 1 && k == i+1
	m.celsius = m.celsius && symbols == 1
	return m, true
}

// valueEnds reports whether a value ends at token i.
func (s *settler) valueEnds(i int) bool {
	if i >= len(s.toks) {
		return true
	}
	t := s.toks[i]
	return ends(t) || t.Kind == stop || t.Kind == CloseToken || t.relation() && t.Text != "=" ||
		t.Kind == NameToken && (t.Text == "at" || t.Text == "when" || t.Text == "if" || t.Text == "in")
}

// valueBegins reports whether the number at token i is a whole value: behind a relation, a bracket or a comma, and its
// sign.
func (s *settler) valueBegins(i int) bool {
	if i > 0 && (s.toks[i-1].is(OperatorToken, "-") || s.toks[i-1].is(OperatorToken, "+")) {
		i--
	}
	if i == 0 {
		return false
	}
	t := s.toks[i-1]
	return t.relation() || t.Kind == OpenToken || t.Kind == CommaToken || t.is(NameToken, "to")
}

// value reads the number at token i, which may go on as in 2·10^5, and returns its value and where it ends.
func (s *settler) value(i int) (v float64, end int) {
	v, err := strconv.ParseFloat(s.toks[i].Text, 64)
	if err != nil {
		return 0, 0
	}
	t := s.toks
	if i+4 < len(t) && t[i+1].is(OperatorToken, "*") && t[i+2].is(NumberToken, "10") && t[i+3].is(OperatorToken, "^") {
		j, sign := i+4, 1.0
		group := t[j].Kind == OpenToken
		if group {
			j++
		}
		if j < len(t) && t[j].is(OperatorToken, "-") {
			sign, j = -1, j+1
		}
		if j < len(t) && t[j].Kind == NumberToken {
			p, err := strconv.ParseFloat(t[j].Text, 64)
			if j++; err == nil {
				if group {
					j++
				}
				return v * math.Pow(10, sign*p), j
			}
		}
	}
	return v, i + 1
}

// measures takes the units off.
func (s *settler) measures() {
	var found []measure
	var numbers []float64
	for i := 0; i < len(s.toks); i++ {
		if s.toks[i].Kind != NumberToken || !s.valueBegins(i) || s.equation(i) {
			continue
		}
		v, k := s.value(i)
		if k == 0 || k >= len(s.toks) {
			continue
		}
		if s.toks[k].Kind != NameToken && s.toks[k].Kind != OpenToken && !s.toks[k].is(NumberToken, "1") {
			continue
		}
		s.findNamed()
		m, ok := s.unit(k)
		if !ok || !s.valueEnds(m.end) || m.own && !s.toks[k].Space || m.own && m.bare && letterUnits[s.toks[k].Text] {
			continue
		}
		if m.own {
			number := written(s.toks[i:k])
			m.number = i
			s.refuse(m, fmt.Sprintf("“%s %s” can be read in two ways, as %s has a value of its own", number, m.text,
				m.text),
				fmt.Sprintf("write %s for the unit, or %s*%s for the product", number, number, m.text),
				number, number+"*"+m.text)
			return
		}
		m.number = i
		found, numbers = append(found, m), append(numbers, v)
		i = m.end - 1
	}
	if len(found) > 0 && s.coherent(found, numbers) {
		s.drop(found)
	}
}

// findNamed finds the names that the text gives a value or a derivative.
func (s *settler) findNamed() {
	if s.named != nil {
		return
	}
	s.named = map[string]bool{}
	for i, t := range s.toks {
		if m, ok := matchLeibniz(s.toks, i); ok {
			s.named[m.variable] = true
		}
		compared := i > 0 && s.toks[i-1].relation() && s.toks[i-1].Text != "=" ||
			i+1 < len(s.toks) && s.toks[i+1].relation() && s.toks[i+1].Text != "="
		argument := i > 1 && i+1 < len(s.toks) && s.toks[i-1].is(OpenToken, "(") && s.toks[i-2].Kind == NameToken &&
			s.toks[i+1].is(CloseToken, ")")
		if t.Kind == NameToken && (compared && (i == 0 || s.toks[i-1].Kind != NumberToken) || argument) {
			s.named[t.Text] = true
		}
	}
	for i := 0; i < len(s.toks); { // no unit stands in an equation
		end := i
		for end < len(s.toks) && !ends(s.toks[end]) {
			end++
		}
		if end > i && s.equation(i) {
			for _, t := range s.toks[i:end] {
				if t.Kind == NameToken {
					s.named[t.Text] = true
				}
			}
		}
		i = end + 1
	}
	for i, t := range s.toks {
		if t.Kind != NameToken || i+1 >= len(s.toks) {
			continue
		}
		next := s.toks[i+1]
		if next.is(OperatorToken, "=") && s.starts(i) || next.Kind == PrimeToken || next.is(OpenToken, "(") &&
			!next.Space {
			s.named[t.Text] = true
		}
	}
}

// equation reports whether the statement of token i is an equation: there a letter behind a number is no unit.
func (s *settler) equation(i int) bool {
	from := i
	for from > 0 && !ends(s.toks[from-1]) {
		from--
	}
	to := i
	for to < len(s.toks) && !ends(s.toks[to]) {
		to++
	}
	marks, point := false, false
	for k := from; k < to; k++ {
		if _, ok := matchLeibniz(s.toks, k); ok || s.toks[k].Kind == PrimeToken {
			marks = true
		}
		if k+1 < to && k > from && s.toks[k].is(OpenToken, "(") && !s.toks[k].Space &&
			s.toks[k-1].Kind != OperatorToken && (s.toks[k+1].Kind == NumberToken ||
			s.toks[k+1].Kind == NameToken) {
			point = true
		}
		point = point || s.toks[k].is(NameToken, "at") || s.toks[k].Kind == CommandToken
	}
	return marks && !point
}

// coherent reports whether the numbers may stand as they are, and tells the numbers to write where they may not.
func (s *settler) coherent(found []measure, numbers []float64) bool {
	same, celsius, kelvin := true, -1, -1
	for k, m := range found {
		same = same && m.text == found[0].text
		if m.celsius {
			celsius = k
		}
		if m.kelvin {
			kelvin = k
		}
	}
	if same {
		return true
	}
	if celsius >= 0 && kelvin >= 0 {
		m := found[kelvin]
		s.refuse(m, "temperatures stand in K and in °C", fmt.Sprintf("write all in one of them; %s K are %s °C",
			short(numbers[kelvin]), short(numbers[kelvin]-273.15)), short(numbers[kelvin]-273.15)+" °C")
		return false
	}
	for k, m := range found {
		if math.Abs(m.factor-1) > 1e-12 {
			s.refuse(m, fmt.Sprintf("the unit %s does not fit the others, and nothing is converted", m.text),
				fmt.Sprintf("write %s, the number in units without prefixes", short(numbers[k]*m.factor)),
				strings.TrimSpace(short(numbers[k]*m.factor)+" "+s.coherentUnit(m)))
			return false
		}
	}
	return true
}

// baseUnits are the coherent units of those that are no power of ten of one.
var baseUnits = map[string]string{"g": "kg", "bar": "Pa", "min": "s", "h": "s", "d": "s", "L": "m^3", "l": "m^3"}

// coherentUnit returns a unit as it is written without its prefixes; "" where that would not be read as one.
func (s *settler) coherentUnit(m measure) string {
	toks := slices.Clone(s.toks[m.at:m.end])
	for i := range toks {
		t := &toks[i]
		if t.Kind != NameToken {
			continue
		}
		base := strings.TrimRight(t.Text, "234")
		power := t.Text[len(base):]
		if _, ok := units[base]; !ok {
			for prefix := range prefixes {
				if rest, cut := strings.CutPrefix(base, prefix); cut && prefixable[rest] {
					base = rest
					break
				}
			}
		}
		if to := baseUnits[base]; to != "" {
			base = to
		}
		raised := power != "" || i+1 < len(toks) && toks[i+1].is(OperatorToken, "^")
		if units[base] != 1 && base != "m^3" || s.named[base] || base == "m^3" && raised {
			return ""
		}
		t.raw = base + power
	}
	return written(toks)
}

// refuse makes a number with its unit a faulty token, with clear ways to write it.
func (s *settler) refuse(m measure, msg, hint string, choices ...string) {
	names := &Names{Constants: map[string]bool{}}
	for _, t := range s.toks[m.at:m.end] {
		names.Constants[t.Text] = t.Kind == NameToken
	}
	s.toks[m.number].Sp.To = s.toks[m.end-1].Sp.To
	s.faultOf(m.number, &Error{Msg: msg, Hint: hint, Choices: ReadChoices(names, choices...)})
	s.toks = slices.Delete(s.toks, m.number+1, m.end)
}

func short(v float64) string { return strconv.FormatFloat(v, 'g', 10, 64) }

// drop leaves the units out.
func (s *settler) drop(found []measure) {
	var out []Token
	from := 0
	for _, m := range found {
		out = append(out, s.toks[from:m.at]...)
		s.remarks = append(s.remarks, Remark{Sp: out[len(out)-1].Sp, Unit: printedUnit(s.toks[m.at:m.end]),
			Text: "the unit " + m.text + " is taken as a remark"})
		from = m.end
	}
	s.toks = append(out, s.toks[from:]...)
}

// printedUnit is a unit as it is printed on an axis: m², W/(m² K), °C.
func printedUnit(toks []Token) string {
	raised := map[rune]rune{'-': '⁻', '0': '⁰', '1': '¹', '2': '²', '3': '³', '4': '⁴', '5': '⁵', '6': '⁶', '7': '⁷',
		'8': '⁸', '9': '⁹'}
	above := func(text string) string {
		return strings.Map(func(r rune) rune {
			if up, ok := raised[r]; ok {
				return up
			}
			return r
		}, text)
	}
	var b strings.Builder
	power := false
	for i, t := range toks {
		name := t.Text
		switch {
		case t.Text == "[" || t.Text == "]" || t.Text == "{" || t.Text == "}":
			continue
		case t.is(OperatorToken, "^"):
			power = true
			continue
		case power && (t.Kind == NumberToken || t.is(OperatorToken, "-")):
			b.WriteString(above(t.Text))
			power = t.Kind != NumberToken
			continue
		case t.Kind != NameToken:
		case name == "degC":
			name = "°C"
		case name == "Ohm":
			name = "Ω"
		case name == "mu":
			name = "µ"
		case name != "m2K" && strings.ContainsAny(name[len(name)-1:], "234"):
			name = name[:len(name)-1] + above(name[len(name)-1:])
		}
		if t.Space && i > 0 && b.Len() > 0 && !t.is(OperatorToken, "/") && !toks[i-1].is(OperatorToken, "/") {
			b.WriteByte(' ')
		}
		b.WriteString(strings.ReplaceAll(name, "*", "·"))
	}
	return b.String()
}
