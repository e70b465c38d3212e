//go:build unix

package differences

import "syscall"

// processorTime says that other programs on the machine do not slow the clock's tasks down.
const processorTime = true

// clock returns seconds of processor time.
func clock() float64 {
	var r syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		panic(err)
	}
	return float64(r.Utime.Sec+r.Stime.Sec) + float64(r.Utime.Usec+r.Stime.Usec)/1e6
}
