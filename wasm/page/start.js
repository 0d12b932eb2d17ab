// The program is asked for before anything else, and the browser compiles it as it
// comes. The loader takes it from here.
{
	// Its bytes are counted as they go by. The worker of an earlier visit has them all, and
	// there the browser may have kept what it made of them: that is not to be got between.
	const coming = { bytes: 0 };
	const response = fetch(document.currentScript.dataset.program).then((answer) => {
		if (!answer.ok) throw new Error(`the program did not come: ${answer.status}`);
		if (navigator.serviceWorker?.controller) return answer;
		// In large pieces, where the browser can: each takes from compiling.
		const piece = 1 << 19;
		const { read } = ((body) => {
			try {
				const reader = body.getReader({ mode: "byob" });
				return { read: () => reader.read(new Uint8Array(piece), { min: piece }) };
			} catch {
				const reader = body.getReader();
				return { read: () => reader.read() };
			}
		})(answer.body);
		const counted = new ReadableStream({
			async pull(to) {
				const { done, value } = await read();
				if (value?.length) {
					coming.bytes += value.length;
					to.enqueue(value);
				}
				if (done) to.close();
			},
		});
		return new Response(counted, { headers: answer.headers });
	});
	coming.program = WebAssembly.compileStreaming(response);
	globalThis.coming = coming;

	// While that goes on, the picture's canvas is joined to the graphics card, which takes
	// as long again; the window library is given it when it asks for one. The drawing
	// smooths its own edges, so that the card need not draw everything four times over.
	const canvas = document.createElement("canvas");
	canvas.width = canvas.height = 16; // as the library will have it
	canvas.getContext("webgl2", { alpha: true, premultipliedAlpha: true, stencil: true, depth: false, antialias: false });
	document.createElement = (name, ...more) => {
		if (name !== "canvas") return Document.prototype.createElement.call(document, name, ...more);
		delete document.createElement;
		return canvas;
	};
}
