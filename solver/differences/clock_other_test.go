//go:build !unix

package differences

import "time"

const processorTime = false

var begin = time.Now()

// clock returns seconds; a browser's engine has no other clock.
func clock() float64 { return time.Since(begin).Seconds() }
