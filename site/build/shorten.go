package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
)

// At every call Go's code for WebAssembly writes down where the caller goes on: a constant of five bytes that is unlike all others, but
// near the one before it. shorten puts the step from one to the next in their place, which packs to little:
//
//	i64.const v   becomes   f0 d,   v = previous + d, 0 ≤ d < 128,   for 2²⁸ ≤ v < 2⁴⁰,
//
// where previous is the last such v, and at the start of a function the next multiple of 2¹⁶ (the number of the function stands above the
// lowest sixteen bits). f0 is no instruction. In front stand four bytes with the length of the module. What is
// packed becomes smaller by one sixteenth; the page undoes it (unpack.js) in some hundredths of a second.
func shorten(module []byte) ([]byte, error) {
	if len(module) > math.MaxInt32 || !bytes.HasPrefix(module, []byte("\x00asm\x01\x00\x00\x00")) {
		return nil, fmt.Errorf("not a WebAssembly module")
	}
	out := binary.LittleEndian.AppendUint32(nil, uint32(len(module)))
	r := &reader{data: module, at: 8}
	copied := 0 // up to here
	for r.at < len(module) && r.err == nil {
		id := r.byte()
		size := int(r.unsigned())
		if id != 10 { // the code
			r.bytes(size)
			continue
		}
		previous := int64(0)
		for functions := r.unsigned(); functions > 0 && r.err == nil; functions-- {
			size := int(r.unsigned())
			end := r.at + size
			for locals := r.unsigned(); locals > 0 && r.err == nil; locals-- {
				r.unsigned()
				r.byte()
			}
			previous = (previous>>16 + 1) << 16
			for r.at < end && r.err == nil {
				from := r.at
				v, constant, err := r.instruction()
				if err != nil {
					return nil, err
				}
				if !constant || v < 1<<28 || v >= 1<<40 {
					continue
				}
				step := v - previous
				previous = v
				if step < 0 || step > 127 || !bytes.Equal(appendSigned([]byte{0x42}, v), module[from:r.at]) {
					continue
				}
				out = append(out, module[copied:from]...)
				out = append(out, 0xf0, byte(step))
				copied = r.at
			}
			if r.at != end {
				return nil, fmt.Errorf("the code is not as expected at byte %d", r.at)
			}
		}
	}
	if r.err != nil {
		return nil, r.err
	}
	return append(out, module[copied:]...), nil
}

// instruction reads an instruction with its operands (WebAssembly core specification, 5.4); v is the value of an i64.const.
func (r *reader) instruction() (v int64, constant bool, err error) {
	switch op := r.byte(); {
	case op == 0x42:
		return r.signed(), true, nil
	case op >= 0x20 && op <= 0x24, op == 0x41, op == 0x10, op == 0x0c, op == 0x0d, op == 0x02, op == 0x03, op == 0x04, op == 0x3f, op == 0x40:
		r.skip() // a variable, a constant, a function, a label, a type of block, a memory
	case op >= 0x28 && op <= 0x3e, op == 0x11: // a place in memory; a call through a table
		r.skip()
		r.skip()
	case op == 0x43:
		r.bytes(4)
	case op == 0x44:
		r.bytes(8)
	case op == 0x0e: // br_table
		for n := r.unsigned() + 1; n > 0 && r.err == nil; n-- {
			r.skip()
		}
	case op == 0xfc:
		switch further := r.unsigned(); {
		case further == 8 || further == 10:
			r.bytes(2)
		case further == 9 || further == 11:
			r.bytes(1)
		case further > 11:
			err = fmt.Errorf("an instruction fc %02x that is not known here", further)
		}
	case op > 0xc4 || op == 0x1c || op == 0x25 || op == 0x26 || op >= 0x06 && op <= 0x0a || op >= 0x12 && op <= 0x19:
		err = fmt.Errorf("an instruction %02x that is not known here", op)
	}
	return 0, false, err
}

// skip passes over a number.
func (r *reader) skip() {
	for r.byte() > 0x7f {
	}
}
