package sheet

import "testing"

// TestToldRefused lists sheets whose words leave more than one problem.
func TestToldRefused(t *testing.T) {
	for _, tt := range []struct{ sheet, want string }{
		{"r T'' + T' = -r, T(1) = 0, r > 0, T bounded", // within r < 1 or beyond it
			"1:28: this gives only one end of the interval; give both, as in 0 <= r <= 1; inf is an end too"},
		{"y'' = -2, y(0) = 0 and y is bounded, 0 < x < 1", "1:1: too few conditions: 1 condition, but an equation " +
			"of order 2 takes 2; add 1 condition, such as y(…) = …"},
		{"(a) y'' = y, y(0)=0, y(1)=1\n(b) y'' = 2 y, y(0)=0, y(1)=1",
			"2:5: 2 equations for 1 unknown (y); leave out what is said twice"},
		{"y'' = 1, y(0) = 0, y(1) = 0, -1 < x-1 >^2",
			"1:30: “-1 < x-1 >^2” has no equals sign, so it says nothing"},
		{"T'' = 1, T(0) = 100 and 50 at x = 1",
			"1:28: this “at” stands before no point, or has no condition before it; " +
				"write it as in y = 2 at x = 0"},
		{"y'' = y, y(0) = 1 @ 5, y(1) = 0", "1:19: “@” is not read; delete it or write what it stands for"},
	} {
		if _, err := Read(tt.sheet, Options{}); err == nil || err.Error() != tt.want {
			t.Errorf("%s\n got %v\nwant %s", tt.sheet, err, tt.want)
		}
	}
}
