// The few lines of JavaScript that start Go. The build puts them behind Go's own wasm_exec.js, and
// the same text runs twice: in the page and, without a document, in its workers.
"use strict";

(() => {
	let fail; // what to do with an error that ends the program
	const run = async (module) => {
		const go = new Go();
		go.exit = (code) => fail(new Error("the program ended with code " + code));
		const instance = await WebAssembly.instantiate(module, go.importObject);
		await go.run(instance);
	};

	if (typeof document === "undefined") {
		// A worker: the first message is the compiled module. What comes before Go listens waits in the inbox.
		const inbox = [];
		fail = (error) => setTimeout(() => { throw error; }); // reaches the page as the worker's error event
		globalThis.nodespan = { inbox };
		globalThis.onmessage = ({ data }) => {
			if (data instanceof WebAssembly.Module) run(data).catch(fail);
			else inbox.push(data);
		};
		return;
	}

	// The page. In the one-file build the module lies in the document, gzip in ASCII85; in the folder it lies beside
	// it.
	const script = document.currentScript;
	const packed = document.getElementById("module");
	const local = (text) => URL.createObjectURL(new Blob([text], { type: "text/javascript" }));
	let source = script.src || local(script.textContent);
	// In a sandboxed frame without allow-same-origin the page's own server is a foreign one, and a worker from there is
	// refused: its script is fetched, which the server must allow, and made local.
	const sandboxed = script.src && globalThis.origin === "null";

	// Five characters from "!" on are four bytes, "z" is four zeros; "v" stands for "<", which HTML would take up.
	const bytes = (text) => {
		text = text.replaceAll("z", "!!!!!").replaceAll("v", "<");
		const short = (5 - text.length % 5) % 5;
		const view = new DataView(new ArrayBuffer((text.length + short) / 5 * 4));
		text += "u".repeat(short);
		for (let i = 0, to = 0; i < text.length; to += 4) {
			let group = 0;
			for (const end = i + 5; i < end; i++) group = group * 85 + text.charCodeAt(i) - 33;
			view.setUint32(to, group);
		}
		return new Uint8Array(view.buffer, 0, view.byteLength - short);
	};

	const compile = async () => {
		if (packed) {
			const unzipped = new Blob([bytes(packed.textContent)]).stream()
				.pipeThrough(new DecompressionStream("gzip"));
			packed.remove();
			return WebAssembly.compileStreaming(new Response(unzipped,
				{ headers: { "Content-Type": "application/wasm" } }));
		}
		const response = await fetch(new URL("nodespan.wasm", document.baseURI));
		if (!response.ok) throw new Error("nodespan.wasm: " + response.status + " " + response.statusText);
		if ((response.headers.get("Content-Type") || "").startsWith("application/wasm"))
			return WebAssembly.compileStreaming(response);
		return WebAssembly.compile(await response.arrayBuffer());
	};

	fail = (error) => {
		const sentence = document.createElement("p");
		sentence.textContent = typeof WebAssembly === "undefined"
			? "This browser has no WebAssembly, which Nodespan calculates with. A current Firefox, Chromium or " +
				"Safari has it."
			: sandboxed && error instanceof TypeError
			? "Nodespan could not start in this sandboxed frame: the server that it lies on must send the header " +
				"Access-Control-Allow-Origin: * with nodespan.js, nodespan.wasm and math.woff2. The one file " +
				"nodespan.html needs none; nor does a frame with allow-same-origin in its sandbox."
			: "Nodespan could not start here (" + error.message +
				"). Loading the page again may help; else try a current Firefox, Chromium or Safari.";
		document.getElementById("answer").replaceChildren(sentence);
		document.documentElement.classList.add("stopped");
	};

	const start = async () => {
		if (sandboxed) source = local(await (await fetch(source)).text());
		const module = await compile();
		const spawn = () => {
			const worker = new Worker(source);
			worker.postMessage(module);
			return worker;
		};
		globalThis.nodespan = { spawn, first: spawn() }; // the first worker starts while the page's own Go does
		await run(module);
	};
	start().catch(fail);

	// The folder, as a page of its own, is kept for when there is no network (sw.js).
	if (script.src && !sandboxed && parent === globalThis && navigator.serviceWorker)
		addEventListener("load", () => navigator.serviceWorker.register("sw.js").catch(() => {}));
})();
