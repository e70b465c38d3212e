// Unpacks the module of the one-file build: characters -> a .lzma file -> the module.
"use strict";

// charactersToBytes reads what encode in site/build wrote: a character holds seven bits, the lowest bits first; ¡, ¢ and £ stand for the
// three characters that cannot lie in a page.
const charactersToBytes = (text) => {
	const out = new Uint8Array(Math.floor(text.length * 7 / 8));
	for (let i = 0, n = 0, held = 0, bits = 0; i < text.length; i++) {
		let c = text.charCodeAt(i);
		if (c > 127) c = c === 0xa1 ? 0 : c === 0xa2 ? 13 : 60;
		held |= c << bits;
		bits += 7;
		if (bits >= 8) {
			out[n++] = held;
			held >>>= 8;
			bits -= 8;
		}
	}
	return out;
};

// bytesOfLZMA unpacks a .lzma file whose header gives its length, as Igor Pavlov's LZMA specification (public
// domain, 2015) describes. Browsers have a decoder for gzip, but that makes the module a third larger.
const bytesOfLZMA = (src) => {
	const header = new DataView(src.buffer);
	const properties = src[0];
	const lc = properties % 9, lp = Math.floor(properties / 9) % 5, pb = Math.floor(properties / 45);
	const out = new Uint8Array(header.getUint32(5, true));

	// All probabilities in one array; a table's name is where it begins.
	const isMatch = 0, isRep = 192, isRepG0 = 204, isRepG1 = 216, isRepG2 = 228, isRep0Long = 240, slot = 432,
		special = 688, align = 803, length = 819, repLength = 1333, literal = 1847;
	const probabilities = new Uint16Array(literal + (0x300 << (lc + lp))).fill(1024);

	// The range coder. Its registers are in typed arrays, which keeps them unsigned.
	const register = new Uint32Array([0xffffffff, header.getUint32(14)]); // range, code
	let next = 18;
	const bit = (i) => {
		const p = probabilities[i];
		const bound = (register[0] >>> 11) * p;
		let b = 0;
		if (register[1] < bound) {
			register[0] = bound;
			probabilities[i] = p + ((2048 - p) >> 5);
		} else {
			register[0] -= bound;
			register[1] -= bound;
			probabilities[i] = p - (p >> 5);
			b = 1;
		}
		if (register[0] < 0x1000000) {
			register[0] <<= 8;
			register[1] = (register[1] << 8) | src[next++];
		}
		return b;
	};
	const direct = (count) => {
		let v = 0;
		for (; count > 0; count--) {
			register[0] >>>= 1;
			v <<= 1;
			if (register[1] >= register[0]) {
				register[1] -= register[0];
				v |= 1;
			}
			if (register[0] < 0x1000000) {
				register[0] <<= 8;
				register[1] = (register[1] << 8) | src[next++];
			}
		}
		return v;
	};
	const tree = (table, bits) => {
		let m = 1;
		for (let i = 0; i < bits; i++) m = (m << 1) | bit(table + m);
		return m - (1 << bits);
	};
	const reversed = (table, bits) => {
		let m = 1, v = 0;
		for (let i = 0; i < bits; i++) {
			const b = bit(table + m);
			m = (m << 1) | b;
			v |= b << i;
		}
		return v;
	};
	const lengthOf = (table, position) => {
		if (!bit(table)) return tree(table + 2 + (position << 3), 3);
		if (!bit(table + 1)) return 8 + tree(table + 130 + (position << 3), 3);
		return 16 + tree(table + 258, 8);
	};

	let state = 0, rep0 = 0, rep1 = 0, rep2 = 0, rep3 = 0;
	for (let n = 0; n < out.length; ) {
		const position = n & ((1 << pb) - 1);
		if (!bit(isMatch + (state << 4) + position)) {
			const before = n ? out[n - 1] : 0;
			const table = literal + 0x300 * (((n & ((1 << lp) - 1)) << lc) + (before >> (8 - lc)));
			let m = 1;
			if (state >= 7) { // after a match, the byte that would have continued it guides
				for (let guide = out[n - rep0 - 1]; m < 0x100; ) {
					guide <<= 1;
					const expected = guide & 0x100;
					const b = bit(table + 0x100 + expected + m);
					m = (m << 1) | b;
					if (b !== expected >> 8) break;
				}
			}
			while (m < 0x100) m = (m << 1) | bit(table + m);
			out[n++] = m;
			state = state < 4 ? 0 : state < 10 ? state - 3 : state - 6;
			continue;
		}
		let count;
		if (bit(isRep + state)) {
			if (!bit(isRepG0 + state)) {
				if (!bit(isRep0Long + (state << 4) + position)) {
					state = state < 7 ? 9 : 11;
					out[n] = out[n - rep0 - 1];
					n++;
					continue;
				}
			} else {
				let distance = rep1;
				if (bit(isRepG1 + state)) {
					distance = rep2;
					if (bit(isRepG2 + state)) {
						distance = rep3;
						rep3 = rep2;
					}
					rep2 = rep1;
				}
				rep1 = rep0;
				rep0 = distance;
			}
			count = lengthOf(repLength, position);
			state = state < 7 ? 8 : 11;
		} else {
			rep3 = rep2;
			rep2 = rep1;
			rep1 = rep0;
			count = lengthOf(length, position);
			state = state < 7 ? 7 : 10;
			rep0 = tree(slot + (Math.min(count, 3) << 6), 6);
			if (rep0 >= 4) {
				const s = rep0, bits = (s >> 1) - 1;
				rep0 = (2 | (s & 1)) << bits;
				rep0 += s < 14 ? reversed(special + rep0 - s, bits) : (direct(bits - 4) << 4) + reversed(align, 4);
			}
		}
		for (count += 2; count > 0; count--, n++) out[n] = out[n - rep0 - 1];
	}
	return out;
};

// moduleOfShort undoes what shorten in site/build did: f0 d stands for i64.const previous + d.
const moduleOfShort = (short) => {
	const out = new Uint8Array(new DataView(short.buffer).getUint32(0, true));
	let i = 12, from = 4, n = 0; // where reading goes on; copied up to here, to there
	const unsigned = () => {
		let v = 0, unit = 1, c;
		do {
			c = short[i++];
			v += (c & 127) * unit;
			unit *= 128;
		} while (c > 127);
		return v;
	};
	const operands = new Uint8Array(256); // how many numbers follow an instruction, of those not treated below
	for (const op of [0x02, 0x03, 0x04, 0x0c, 0x0d, 0x10, 0x20, 0x21, 0x22, 0x23, 0x24, 0x3f, 0x40, 0x41]) operands[op] = 1;
	operands.fill(2, 0x28, 0x3f);
	operands[0x11] = 2;
	while (i < short.length) {
		const section = short[i++], size = unsigned();
		if (section !== 10) {
			i += size;
			continue;
		}
		let previous = 0;
		for (let functions = unsigned(); functions > 0; functions--) {
			const size = unsigned();
			const end = n + i - from + size; // in out
			for (let locals = unsigned(); locals > 0; locals--) {
				unsigned();
				i++;
			}
			previous = (Math.floor(previous / 65536) + 1) * 65536;
			while (n + i - from < end) {
				const op = short[i++];
				if (op === 0xf0) {
					out.set(short.subarray(from, i - 1), n);
					n += i - 1 - from;
					previous += short[i++];
					from = i;
					out[n++] = 0x42;
					for (let v = previous; ; ) {
						const c = v % 128;
						v = Math.floor(v / 128);
						if (v === 0 && c < 64) {
							out[n++] = c;
							break;
						}
						out[n++] = c + 128;
					}
				} else if (op === 0x42) {
					let v = 0, unit = 1, c;
					do {
						c = short[i++];
						v += (c & 127) * unit;
						unit *= 128;
					} while (c > 127);
					if (c < 64 && v >= 2 ** 28 && v < 2 ** 40) previous = v;
				} else if (op === 0x0e) {
					for (let k = unsigned() + 1; k > 0; k--) while (short[i++] > 127);
				} else if (op === 0xfc) {
					const further = unsigned();
					i += further === 8 || further === 10 ? 2 : further === 9 || further === 11 ? 1 : 0;
				} else if (op === 0x43 || op === 0x44) {
					i += op === 0x43 ? 4 : 8;
				} else {
					for (let k = operands[op]; k > 0; k--) while (short[i++] > 127);
				}
			}
		}
	}
	out.set(short.subarray(from), n);
	return out;
};
