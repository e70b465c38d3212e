package words

import "testing"

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 nodes", 1: "1 node", 2: "2 nodes", 11: "11 nodes"} {
		if got := Count(n, "node"); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
}
