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
	// as long again. The window library makes its canvas by itself and asks the card to
	// draw every point four times over; the drawing smooths its own edges, so it is given
	// this one instead, in the one place where that can be done: as it asks for it.
	// TestTheCanvasIsNotSmoothedTwice says when the library no longer needs to be.
	const canvas = document.createElement("canvas");
	canvas.width = canvas.height = 16; // as the library will have it
	canvas.getContext("webgl2", { alpha: true, premultipliedAlpha: true, stencil: true, depth: false, antialias: false });
	document.createElement = (name, ...more) => {
		if (name !== "canvas") return Document.prototype.createElement.call(document, name, ...more);
		delete document.createElement;
		return canvas;
	};
}
