// Package words forms what many sentences share: counts that agree with their nouns.
package words

import "strconv"

// Count is a number of things: 1 node, 3 nodes. The noun has a plural in s.
func Count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
