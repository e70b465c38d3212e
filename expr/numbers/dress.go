package numbers

import (
	"fmt"
	"regexp"
	"strings"

	"nodespan/expr/notation"
)

// This file takes off what people write around numbers: units, names, powers of ten.

var (
	// powerOfTen is 1.2×10^3 or 1.2·10⁻³.
	powerOfTen = regexp.MustCompile(`(\d)\s*[×·⋅*]\s*10(?:\^\s*\{?\s*([-+]?\d+)\s*\}?|([⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+))`)
	raised     = strings.NewReplacer("⁻", "-", "⁺", "", "⁰", "0", "¹", "1", "²", "2", "³", "3", "⁴", "4", "⁵", "5",
		"⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9")
	// measured is a number with what may be its unit behind it.
	measured = regexp.MustCompile(`(^|[\s,;|&=≈"$])([-+]?\d*[.,]?\d+[.,]?(?:[eE][-+]?\d+)?)` +
		`[ ~]*([\p{L}°Ω][\p{L}°Ω/·⋅*^()\d²³⁴⁻¹-]*)`)
	// behindUnit is what may stand behind a unit.
	behindUnit = regexp.MustCompile(`^("|\$)?\s*($|[\s,;|&])`)
	// relation is the mark between a name and its number.
	relation = regexp.MustCompile(`\s*[=≈]\s*`)
	// named is a cell such as x=0.5 or T(x)=3.
	named = regexp.MustCompile(`^\$?\\?([\p{L}_][\p{L}\p{N}_]*['′]*)(?:\([^()]*\))?[=≈]`)
	// value is T(0.5)=3.2.
	value = regexp.MustCompile(`[\p{L}_][\p{L}\p{N}_]*['′]*\(\s*([-+]?[\d.,]+(?:[eE][-+]?\d+)?)\s*\)=` +
		`([-+]?\d*[.,]?\d+[.,]?(?:[eE][-+]?\d+)?)`)
	// unitOfName is a unit in brackets behind the name of a column.
	unitOfName = regexp.MustCompile(`\s*\[[^\]]*\]|\s+\([^()]*\)`)
)

// undress takes units, powers of ten as they are typeset, and blanks around relations off the lines. The units of a
// column are those of its first: another one is refused, for nothing is converted.
func undress(lines []string, places []int) error {
	var first []string
	for i, l := range lines {
		l = powerOfTen.ReplaceAllStringFunc(l, func(s string) string {
			m := powerOfTen.FindStringSubmatch(s)
			return m[1] + "e" + m[2] + raised.Replace(m[3])
		})
		l, units := withoutUnits(relation.ReplaceAllString(l, "="))
		lines[i] = l
		if first == nil {
			first = units
		}
		for k, u := range units {
			if len(units) == len(first) && u != first[k] {
				return fmt.Errorf("line %d has the unit %s where a line before it has %s; write one unit in each "+
					"column", places[i], u, first[k])
			}
		}
	}
	return nil
}

// withoutUnits returns a line without the units behind its numbers, and these.
func withoutUnits(line string) (string, []string) {
	var units []string
	var out strings.Builder
	rest := line
	for {
		m := measured.FindStringSubmatchIndex(rest)
		if m == nil {
			break
		}
		unit := rest[m[6]:m[7]]
		if !notation.IsUnit(unit) || !behindUnit.MatchString(rest[m[7]:]) {
			out.WriteString(rest[:m[5]])
			rest = rest[m[5]:]
			continue
		}
		out.WriteString(rest[:m[5]])
		rest = rest[m[7]:]
		units = append(units, unit)
	}
	return out.String() + rest, units
}

// valuesAt rewrites lines such as T(0) = 20, T(0.5) = 32 as a row for each value, if all lines are such.
func valuesAt(lines []string, places []int) ([]string, []int) {
	var rows []string
	var at []int
	for i, l := range lines {
		found := value.FindAllStringSubmatch(l, -1)
		if len(found) == 0 || strings.Trim(value.ReplaceAllString(l, ""), ",;$ \t") != "" {
			return lines, places
		}
		for _, m := range found {
			rows, at = append(rows, m[1]+"\t"+m[2]), append(at, places[i])
		}
	}
	return rows, at
}

// nameOf cuts the name off a cell such as x=0.5.
func nameOf(cell string) (name, number string) {
	m := named.FindStringSubmatch(cell)
	if m == nil {
		return "", cell
	}
	return m[1], strings.TrimRight(cell[len(m[0]):], "$")
}
