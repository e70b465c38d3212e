//go:build unix

package main

import (
	"fmt"
	"math"
	"os"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"nodespan/expr/sheet/sheettest"
	"nodespan/solver"
)

const waves = "y'' = y + x y' + sin(100 x); y(0) = 0; y(1) = 1"

// work solves the same problem on a number of elements of degree 4 and returns the processor time and the memory asked
// for in all.
func work(t testing.TB, elements int) (seconds, bytes float64) {
	sh := sheettest.Read(t, waves)
	cpu := func() float64 {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			t.Fatal(err)
		}
		return float64(u.Utime.Sec) + float64(u.Utime.Usec)/1e6
	}
	var m0, m1 runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m0)
	begin := cpu()
	s := solver.MustSolve(sh.Problem(), solver.Options{Method: solver.Pieces, Elements: elements, Nodes: 3})
	seconds = cpu() - begin
	runtime.ReadMemStats(&m1)
	if s.Elements != elements || s.Degree != 4 || !s.Usable() {
		t.Fatalf("%d elements of degree %d: %s", s.Elements, s.Degree, s.Message)
	}
	return seconds, float64(m1.TotalAlloc - m0.TotalAlloc)
}

// TestScaling: processor time and memory grow with the number of elements no faster than its power 1.1. The number is
// moderate; SCALING_ELEMENTS sets another, as for 100000: SCALING_ELEMENTS=100000 go test -run Scaling -v
// ./solver/cmd/check
func TestScaling(t *testing.T) {
	most := 8000
	if v := os.Getenv("SCALING_ELEMENTS"); v != "" {
		most, _ = strconv.Atoi(v)
	}
	least := most / 8
	slopes := func() (time, memory float64) {
		t0, m0 := math.Inf(1), 0.0
		for range 4 { // the least of several: what else the machine does only adds
			t1, m1 := work(t, least)
			t0, m0 = math.Min(t0, t1), m1
		}
		t1, m1 := work(t, most)
		if t2, _ := work(t, most); t2 < t1 {
			t1 = t2
		}
		time, memory = math.Log(t1/t0)/math.Log(8), math.Log(m1/m0)/math.Log(8)
		t.Logf("%d elements: %.3f s, %.1f MB; %d elements: %.3f s, %.1f MB; slopes %.2f and %.2f", least, t0, m0/1e6,
			most, t1, m1/1e6, time, memory)
		return time, memory
	}
	time, memory := slopes()
	for range 5 { // a busy machine's caches may spoil a measurement or two
		if time > 1.1 {
			again, _ := slopes()
			time = math.Min(time, again)
		}
	}
	if time > 1.1 || memory > 1.1 {
		t.Errorf("time grows with the power %.2f of the number of elements, memory with %.2f", time, memory)
	}
}

// BenchmarkElements measures time and memory against the number of elements of degree 4, nanoseconds and bytes per
// element.
func BenchmarkElements(b *testing.B) {
	for _, n := range []int{100, 1000, 10000, 100000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var seconds, bytes float64
			for b.Loop() {
				s, m := work(b, n)
				seconds, bytes = seconds+s, bytes+m
			}
			b.ReportMetric(seconds*1e9/float64(b.N)/float64(n), "cpu-ns/element")
			b.ReportMetric(bytes/float64(b.N)/float64(n), "B/element")
			b.ReportMetric(peak(), "peak-MB")
		})
	}
}

// peak is the process's largest resident memory so far in MB, 0 where the system does not say.
func peak() float64 {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for _, line := range strings.Split(string(text), "\n") {
		var kb float64
		if n, _ := fmt.Sscanf(line, "VmHWM: %f kB", &kb); n == 1 {
			return kb / 1024
		}
	}
	return 0
}
